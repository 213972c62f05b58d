using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>What the estimator needs to know of a condition.</summary>
/// <param name="Id">As in <see cref="Reading.Condition"/>.</param>
/// <param name="ScatterFactor">Factor of the donning scatter: over-ear 1, on-ear 1.35, plug or in-canal 2, with spectacles × 1.25.</param>
/// <param name="ScatterClass">Conditions of one class share a donning scatter when the model has one per class.</param>
public sealed record ConditionTraits(string Id, double ScatterFactor = 1, string ScatterClass = "");

/// <summary>Settings of the estimator. The defaults are the method's; every departure is printed with the results.</summary>
/// <param name="OutsideChannel">Whether the noise outside was read at the same time: then ambient wander has cancelled inside every reading and its term is left out.</param>
/// <param name="DonningScatterMedian">Median of the lognormal prior of the donning scatter of an over-ear device, dB.</param>
/// <param name="ScatterPerClass">Whether every <see cref="ConditionTraits.ScatterClass"/> has a donning scatter of its own.</param>
/// <param name="MarginDecibels">Differences inside ± this count as equivalent, dB.</param>
/// <param name="ReadingStep">Step of hand-noted readings, dB; 0 when continuous. A reading then carries the known variance step²/12 (uniform rounding) beside its own scatter.</param>
public sealed record EstimatorSettings(bool OutsideChannel = false, double DonningScatterMedian = 1.6, bool ScatterPerClass = false,
    double MarginDecibels = 2, double ReadingStep = 0)
{
    /// <summary>What is estimated of a condition: it decides the columns of the model.</summary>
    public EstimatedQuantity Of { get; init; } = new(MeasuredQuantity.InsertionLoss, new Dictionary<string, string>(StringComparer.Ordinal), true);

    internal MeasuredQuantity Quantity => Of.Quantity;

    internal IReadOnlyDictionary<string, string> Partners => Of.Partners;

    internal bool ReferenceKnown => Of.ReferenceKnown;

    /// <summary>Standard deviation of the logarithm in the prior of the donning scatter.</summary>
    public double DonningScatterLogSd { get; init; } = 0.6;

    /// <summary>Joint draws behind simultaneous intervals.</summary>
    public int Draws { get; init; } = 200_000;

    /// <summary>Seed of the draws.</summary>
    public ulong Seed { get; init; } = 1;
}
