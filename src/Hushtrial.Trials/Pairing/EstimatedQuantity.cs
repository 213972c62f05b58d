using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Pairing;

/// <summary>Which of the three quantities is estimated, and from what.</summary>
/// <param name="Quantity">The quantity.</param>
/// <param name="Partners">For the active part: by condition with the electronics on, the same device with them off.</param>
/// <param name="ReferenceKnown">For the level difference: whether both microphones are calibrated. If not, only differences between conditions can be said.</param>
public sealed record EstimatedQuantity(MeasuredQuantity Quantity, IReadOnlyDictionary<string, string> Partners, bool ReferenceKnown)
{
    /// <summary>The quantity of a trial.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="absolute">Whether its levels are absolute.</param>
    public static EstimatedQuantity Of(TrialDocument document, bool absolute) => Of(document, document.Quantity, absolute);

    /// <summary>One quantity of a trial.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="quantity">The quantity.</param>
    /// <param name="absolute">Whether its levels are absolute.</param>
    public static EstimatedQuantity Of(TrialDocument document, MeasuredQuantity quantity, bool absolute) =>
        new(quantity, quantity == MeasuredQuantity.ActivePart ? ActivePartners.Of(document) : new Dictionary<string, string>(StringComparer.Ordinal), quantity != MeasuredQuantity.LevelDifference || absolute);
}
