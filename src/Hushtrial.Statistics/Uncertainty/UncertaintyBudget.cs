using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Statistics.Uncertainty;

/// <summary>One independent input of a measurement equation.</summary>
/// <param name="Name">What it is.</param>
/// <param name="StandardUncertainty">Its standard uncertainty, in its own unit.</param>
/// <param name="Sensitivity">Change of the result per change of the input.</param>
/// <param name="DegreesOfFreedom">Degrees of freedom of the standard uncertainty; infinite when it is taken as known.</param>
public sealed record UncertaintyInput(string Name, double StandardUncertainty, double Sensitivity = 1, double DegreesOfFreedom = double.PositiveInfinity)
{
    /// <summary>Contribution to the result's standard uncertainty, in the result's unit.</summary>
    public double Contribution => Math.Abs(Sensitivity) * StandardUncertainty;
}

/// <summary>First-order combination of independent inputs (JCGM 100:2008, 5.1.2 and annex G.4).</summary>
public sealed class UncertaintyBudget
{
    /// <summary>Combines inputs.</summary>
    public UncertaintyBudget(IReadOnlyList<UncertaintyInput> inputs)
    {
        Inputs = inputs;
        StandardUncertainty = Math.Sqrt(inputs.Sum(i => i.Contribution * i.Contribution));
        var denominator = inputs.Sum(i => Math.Pow(i.Contribution, 4) / i.DegreesOfFreedom);
        EffectiveDegreesOfFreedom = denominator > 0 ? Math.Pow(StandardUncertainty, 4) / denominator : double.PositiveInfinity;
    }

    /// <summary>The inputs.</summary>
    public IReadOnlyList<UncertaintyInput> Inputs { get; }

    /// <summary>Root of the sum of squares of the contributions.</summary>
    public double StandardUncertainty { get; }

    /// <summary>Welch-Satterthwaite; infinite when every input counts as known.</summary>
    public double EffectiveDegreesOfFreedom { get; }

    /// <summary>Half-width of the two-sided interval of this confidence.</summary>
    /// <param name="confidence">Above 0 and below 1, for example 0.95.</param>
    public double Expanded(double confidence)
    {
        var p = 0.5 * (1 + confidence);
        return StandardUncertainty * (double.IsInfinity(EffectiveDegreesOfFreedom) ? Gaussian.Quantile(p) : StudentT.Quantile(p, EffectiveDegreesOfFreedom));
    }
}
