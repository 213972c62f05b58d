using Hushtrial.Statistics.Simultaneous;
using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>A family of pairs compared at once in one scope.</summary>
/// <param name="Pairs">Verdict by pair, in the order asked; null for a pair of which the readings say nothing.</param>
/// <param name="Critical95">Critical value of the 95 % simultaneous intervals.</param>
/// <param name="Critical90">Critical value of the 90 % simultaneous intervals.</param>
public sealed record PairFamily(IReadOnlyList<PairVerdict?> Pairs, double Critical95, double Critical90)
{
    /// <summary>All pairs of conditions, each first before second in the given order.</summary>
    public static IReadOnlyList<(string First, string Second)> AllPairs(IReadOnlyList<string> conditions) =>
        [.. conditions.SelectMany((a, i) => conditions.Skip(i + 1).Select(b => (a, b)))];

    /// <summary>Compares pairs in one scope; null when the readings say nothing about any of them.</summary>
    /// <param name="fit">The fit.</param>
    /// <param name="pairs">The family.</param>
    /// <param name="settings">The settings.</param>
    /// <param name="sensitivity">Whether to see if halving or doubling the assumed donning scatter changes a verdict; false leaves that question open and no budget is made.</param>
    public static PairFamily? Compare(ScopeFit fit, IReadOnlyList<(string First, string Second)> pairs, EstimatorSettings settings, bool sensitivity = true)
    {
        var said = pairs.Where(p => fit.CanSay(LevelContrast.Difference(p.First, p.Second))).ToArray();
        if (said.Length == 0) return null;
        var family = Family.Of(fit, said);
        ScopeFit?[] other = sensitivity ? [fit.WithDonningScatter(0.5), fit.WithDonningScatter(2)] : [];
        Family[] others = [.. other.Where(f => f is not null).Select(f => Family.Of(f!, said))];
        var verdicts = said.Select((pair, j) => (pair, Verdict: Judge(fit, family, others, j, pair, settings, sensitivity))).ToDictionary(v => v.pair, v => v.Verdict);
        return new([.. pairs.Select(p => verdicts.GetValueOrDefault(p))], family.Critical95, family.Critical90);
    }

    private static PairVerdict Judge(ScopeFit fit, Family family, Family[] sensitivity, int j, (string First, string Second) pair, EstimatorSettings settings, bool budget)
    {
        var posterior = family.Posteriors[j];
        double mean = posterior.Mean, half95 = family.Critical95 * posterior.Sd, half90 = family.Critical90 * posterior.Sd, margin = settings.MarginDecibels;
        var verdict = family.Verdict(j, margin);
        var estimate = budget ? fit.Estimate(LevelContrast.Difference(pair.First, pair.Second), posterior)
            : new Estimate(mean, posterior.Quantile(0.025), posterior.Quantile(0.975), posterior.Sd, null, []);
        return new(estimate, mean - half95, mean + half95, mean - half90, mean + half90, verdict, posterior.UpperTail(0),
            Math.Max(0, posterior.Cdf(margin) - posterior.Cdf(-margin)), sensitivity.Any(s => s.Verdict(j, margin) != verdict),
            PairSentence.Of(pair.First, pair.Second, fit.Scope, verdict, mean, mean - half95, mean + half95, mean - half90, mean + half90, margin, settings.Quantity));
    }

    private sealed record Family(NormalMixture[] Posteriors, double Critical95, double Critical90)
    {
        public static Family Of(ScopeFit fit, (string First, string Second)[] pairs)
        {
            LevelContrast[] contrasts = [.. pairs.Select(p => LevelContrast.Difference(p.First, p.Second))];
            NormalMixture[] posteriors = [.. contrasts.Select(c => fit.Along(c)!)];
            var critical = MaxDeviation.CriticalValues([.. contrasts.Zip(posteriors, fit.Member)], 0.95, 0.90);
            return new(posteriors, critical[0], critical[1]);
        }

        public VerdictKind Verdict(int j, double margin) =>
            PairRule.Decide(Posteriors[j].Mean, Critical95 * Posteriors[j].Sd, Critical90 * Posteriors[j].Sd, margin);
    }
}
