using Hushtrial.Statistics.Simultaneous;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>One pair of the prior-free check, with Tukey-Kramer simultaneous intervals.</summary>
/// <param name="Contrast">The contrast.</param>
/// <param name="SimultaneousLow95">Simultaneous 95 % limit, dB.</param>
/// <param name="SimultaneousHigh95">Simultaneous 95 % limit, dB.</param>
/// <param name="AdjustedP">Probability of so large a difference between equal conditions, adjusted for all pairs.</param>
/// <param name="EquivalenceP">Two one-sided tests at the margin, not adjusted.</param>
/// <param name="Verdict">By the same rule as the primary method.</param>
public sealed record PriorFreePair(PriorFreeContrast Contrast, double SimultaneousLow95, double SimultaneousHigh95, double AdjustedP, double EquivalenceP, VerdictKind Verdict)
{
    /// <summary>A pair among all pairs of a fit's conditions; null when the readings cannot say.</summary>
    /// <param name="fit">The fit.</param>
    /// <param name="first">First condition.</param>
    /// <param name="second">Second condition.</param>
    /// <param name="margin">Margin of equivalence, dB.</param>
    public static PriorFreePair? Of(PriorFreeFit fit, string first, string second, double margin)
    {
        if (fit.Along(LevelContrast.Difference(first, second)) is not { } contrast) return null;
        var (groups, freedom) = (fit.Conditions.Count, contrast.DegreesOfFreedom);
        double half95 = TukeyKramer.CriticalValue(0.95, groups, freedom) * contrast.StandardError, half90 = TukeyKramer.CriticalValue(0.90, groups, freedom) * contrast.StandardError;
        return new(contrast, contrast.Estimate - half95, contrast.Estimate + half95, TukeyKramer.PValue(contrast.Estimate / contrast.StandardError, groups, freedom),
            Equivalence.PValue(contrast.Estimate, contrast.StandardError, freedom, margin), PairRule.Decide(contrast.Estimate, half95, half90, margin));
    }
}
