using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Finding;

/// <summary>Turns the probability of a label into a confidence: how often such proposals are right and lie inside what they claim.</summary>
/// <remarks>Fitted by hand to 150 made trials (seeds 2000 to 2149) and tried on others: docs/validation-finding.md. Inside brackets the
/// alignment's probability holds as it stands; what caps it are edges that cannot be heard, a hand still at the ear or a change of power.</remarks>
internal static class ConfidenceScale
{
    private const double MostOfDevice = 0.97;
    private const double MostOfOpen = 0.93;
    private const double MostOfNone = 0.98;

    /// <summary>Most confidence in a device outside the open-ear brackets of its card: there it was right in 4 of 10.</summary>
    public const double MostOutsideBrackets = 0.4;

    /// <summary>Confidence of a tone or of quiet: the rules leave wide margins on both sides, and none was wrong in the made trials.</summary>
    public const double OfSound = 0.97;

    /// <summary>The confidence of a take's label.</summary>
    /// <param name="candidate">The likeliest candidate.</param>
    public static double OfLabel(SpanCandidate candidate) => candidate.Condition switch
    {
        TrialDocument.OpenEar => Math.Min(candidate.Probability, MostOfOpen),
        // A device that sounds a little unlike its other donnings is called a stranger too readily.
        null => Math.Min(Math.Max(0.1, 1 - (2.5 * (1 - candidate.Probability))), MostOfNone),
        _ => Math.Min(candidate.Probability, MostOfDevice),
    };
}
