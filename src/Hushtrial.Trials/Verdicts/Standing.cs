using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>Where a condition stands among the others.</summary>
/// <param name="Condition">The condition.</param>
/// <param name="BeatenBy">Conditions that were shown to reduce more; empty: nothing was shown to beat it.</param>
/// <param name="Beats">Conditions that it was shown to reduce more than.</param>
/// <param name="EquivalentTo">Conditions it was shown to be equivalent to.</param>
/// <param name="NotResolved">Conditions it could not be told apart from: no statement that they are equal.</param>
public sealed record Standing(string Condition, IReadOnlyList<string> BeatenBy, IReadOnlyList<string> Beats, IReadOnlyList<string> EquivalentTo, IReadOnlyList<string> NotResolved)
{
    /// <summary>Whether nothing was shown to beat it: the group a buyer may choose from by comfort, price or weight.</summary>
    public bool Unbeaten => BeatenBy.Count == 0;

    /// <summary>Standings of all conditions that occur in the pairs, in the order of the pairs.</summary>
    /// <param name="pairs">The pairs.</param>
    /// <param name="scope">The scope.</param>
    public static IReadOnlyList<Standing> Of(IReadOnlyList<PairResult> pairs, EstimateScope scope)
    {
        var conditions = pairs.SelectMany(p => new[] { p.First, p.Second }).Distinct(StringComparer.Ordinal);
        return [.. conditions.Select(c => Of(c, [.. pairs.Where(p => p.First == c || p.Second == c)], scope))];
    }

    /// <summary>The unbeaten conditions in one plain sentence.</summary>
    /// <param name="standings">The standings.</param>
    /// <param name="nameOf">Name of a condition for readers.</param>
    public static string Sentence(IReadOnlyList<Standing> standings, Func<string, string> nameOf)
    {
        var best = standings.Where(s => s.Unbeaten).ToList();
        var behind = standings.Count - best.Count;
        var names = string.Join(", ", best.Select(s => nameOf(s.Condition)));
        if (best.Count == 1 && behind > 0) return $"{names} stands alone: nothing was shown to reduce more.";
        if (behind == 0) return "Nothing was shown to reduce more than anything else: the readings do not rank these devices.";
        var settled = best.All(s => best.All(o => o == s || s.EquivalentTo.Contains(o.Condition, StringComparer.Ordinal)));
        return settled ? $"Best group: {names}. They are equivalent within the margin, and nothing was shown to beat any of them."
            : $"Best group: {names}. Nothing was shown to beat any of them; which of them is best is not resolved.";
    }

    private static Standing Of(string condition, PairResult[] pairs, EstimateScope scope)
    {
        List<string> beatenBy = [], beats = [], equivalent = [], open = [];
        foreach (var pair in pairs)
        {
            var other = pair.First == condition ? pair.Second : pair.First;
            var verdict = pair.In(scope);
            var ahead = verdict is not null && verdict.Difference.Value > 0 == (pair.First == condition);
            (verdict?.Verdict switch
            {
                VerdictKind.Different or VerdictKind.DifferentWithinMargin => ahead ? beats : beatenBy,
                VerdictKind.Equivalent => equivalent,
                _ => open,
            }).Add(other);
        }
        return new(condition, beatenBy, beats, equivalent, open);
    }
}
