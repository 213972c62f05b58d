using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Screening;

/// <summary>Which measured quantities the analysis can estimate. The three never share a column, so one that it cannot estimate is refused, not taken for another.</summary>
public static class AnalysedQuantity
{
    /// <summary>Why a trial's quantity cannot be analysed; null when it can.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="name">Name of the document for people.</param>
    public static Problem? Refusal(TrialDocument document, string name) => document.Quantity == MeasuredQuantity.InsertionLoss ? null
        : new("ANA-001", Severity.Error, $"{name} (trial, quantity)",
            document.Quantity == MeasuredQuantity.LevelDifference ? "the quantity level-difference" : "the quantity active-part", "the quantity insertion-loss, the one that is analysed so far",
            document.Quantity == MeasuredQuantity.LevelDifference
                ? "With open-ear takes, the design outside-channel and the quantity insertion-loss the same recordings can be analysed; the level difference itself cannot yet."
                : "With open-ear takes and the quantity insertion-loss the report compares active on with passive of the same donning; the active part alone cannot yet be estimated.");

    /// <summary>Refuses a trial whose quantity cannot be analysed.</summary>
    /// <exception cref="ArgumentException">The quantity is not insertion loss: ask <see cref="Refusal"/> first.</exception>
    public static void Require(TrialDocument document)
    {
        if (Refusal(document, "the trial") is { } problem) throw new ArgumentException(problem.ToString(), nameof(document));
    }
}
