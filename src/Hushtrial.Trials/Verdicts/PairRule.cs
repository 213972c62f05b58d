using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>The rule that turns simultaneous intervals into a verdict (method, section 3).</summary>
public static class PairRule
{
    /// <summary>Asks 'different?' first, then 'equivalent?'.</summary>
    /// <param name="mean">Estimate of the difference, dB.</param>
    /// <param name="half95">Half-width of its 95 % simultaneous interval, dB.</param>
    /// <param name="half90">Half-width of its 90 % simultaneous interval, dB.</param>
    /// <param name="margin">Margin of equivalence, dB.</param>
    public static VerdictKind Decide(double mean, double half95, double half90, double margin)
    {
        var different = Math.Abs(mean) > half95;
        var inside = Math.Abs(mean) + half90 < margin;
        return (different, inside) switch
        {
            (true, true) => VerdictKind.DifferentWithinMargin,
            (true, false) => VerdictKind.Different,
            (false, true) => VerdictKind.Equivalent,
            _ => VerdictKind.Unresolved,
        };
    }
}
