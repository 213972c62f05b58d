namespace Hushtrial.Trials.Finding;

/// <summary>Turns the probability of a label into a confidence that says how often such proposals are right.</summary>
internal static class ConfidenceScale
{
    /// <summary>The confidence of a take's label.</summary>
    public static double OfLabel(double probability) => probability;

    /// <summary>Confidence of a tone or of quiet: the rules leave wide margins on both sides.</summary>
    public const double OfSound = 0.97;
}
