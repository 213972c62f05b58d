using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>The A-weighted comparisons of a trial in both scopes.</summary>
public static class Comparisons
{
    /// <summary>Compares the declared family of pairs, or all pairs of measured conditions.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="effects">Its fits.</param>
    public static IReadOnlyList<PairResult> Of(TrialDocument document, TrialEffects effects)
    {
        string Name(string condition) => ConditionName.Of(document, document.Conditions.First(c => c.Id == condition));
        var measured = effects.A.Conditions;
        var pairs = document.Family.Count > 0
            ? document.Family.Where(p => measured.Contains(p.First) && measured.Contains(p.Second)).ToList()
            : PairFamily.AllPairs([.. document.Conditions.Select(c => c.Id).Where(measured.Contains)]);
        if (pairs.Count == 0) return [];
        var asWorn = effects.A.AsWorn is { } w ? PairFamily.Compare(w, pairs, effects.Settings) : null;
        var general = effects.A.General is { } g ? PairFamily.Compare(g, pairs, effects.Settings) : null;
        return [.. pairs.Select((pair, i) => new PairResult(pair.First, pair.Second,
            Named(asWorn?.Pairs[i], pair, EstimateScope.AsWorn), Named(general?.Pairs[i], pair, EstimateScope.General),
            MoreFits.For(effects.A, pair.First, pair.Second, general?.Pairs[i], pairs.Count)))];

        PairVerdict? Named(PairVerdict? v, (string First, string Second) pair, EstimateScope scope) => v is null ? null : v with
        {
            Sentence = PairSentence.Of(Name(pair.First), Name(pair.Second), scope, v.Verdict, v.Difference.Value, v.SimultaneousLow95,
                v.SimultaneousHigh95, v.SimultaneousLow90, v.SimultaneousHigh90, document.Margin.Decibels, document.Quantity),
        };
    }
}
