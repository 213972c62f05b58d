using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Verdicts;

namespace Hushtrial.Reporting.Figures;

/// <summary>Steps of conditions by what was shown.</summary>
/// <param name="Steps">Conditions by step, the unbeaten first; on each step by estimate.</param>
/// <param name="Lines">Shown differences that do not follow from two others.</param>
/// <param name="Sentences">One plain sentence per step.</param>
internal sealed record Ladder(IReadOnlyList<IReadOnlyList<ConditionResult>> Steps, IReadOnlyList<(string Better, string Worse)> Lines, IReadOnlyList<string> Sentences)
{
    /// <summary>The ladder of a trial in its leading scope; without steps when fewer than two conditions are compared.</summary>
    public static Ladder Of(TrialResults results)
    {
        var scope = results.Document.Scope;
        var measured = Ranking.ByLoss(results).Where(c => !c.Predicted && c.Loss.A?.In(scope) is not null).ToList();
        var ids = measured.Select(c => c.Condition.Id).ToHashSet(StringComparer.Ordinal);
        var standings = Standing.Of([.. results.Pairs.Where(p => ids.Contains(p.First) && ids.Contains(p.Second) && p.In(scope) is not null)], scope).ToDictionary(s => s.Condition, StringComparer.Ordinal);
        measured = [.. measured.Where(c => standings.ContainsKey(c.Condition.Id))];
        if (measured.Count < 2) return new([], [], []);
        // By estimate, whoever beats a condition stands before it: one pass finds every step.
        var depth = new Dictionary<string, int>(StringComparer.Ordinal);
        foreach (var c in measured) depth[c.Condition.Id] = standings[c.Condition.Id].BeatenBy.Select(b => depth.GetValueOrDefault(b) + 1).DefaultIfEmpty(0).Max();
        IReadOnlyList<IReadOnlyList<ConditionResult>> steps = [.. measured.GroupBy(c => depth[c.Condition.Id]).OrderBy(g => g.Key).Select(g => (IReadOnlyList<ConditionResult>)[.. g])];
        List<(string, string)> lines = [.. standings.Values.SelectMany(s => s.Beats
            .Where(worse => !s.Beats.Any(between => standings[between].Beats.Contains(worse, StringComparer.Ordinal))).Select(worse => (s.Condition, worse)))];
        return new(steps, lines, [.. steps.Select((s, i) => Sentence(results, s, i, standings))]);
    }

    /// <summary>Whether every line runs between neighbouring steps of one row each: others would pass behind boxes and mislead.</summary>
    /// <param name="row">Most conditions in a row.</param>
    public bool JoinsNeighbours(int row)
    {
        var step = Steps.SelectMany((s, i) => s.Select(c => (c.Condition.Id, Step: i))).ToDictionary(c => c.Id, c => c.Step, StringComparer.Ordinal);
        return Steps.All(s => s.Count <= row) && Lines.All(l => step[l.Worse] == step[l.Better] + 1);
    }

    private static string Sentence(TrialResults results, IReadOnlyList<ConditionResult> step, int number, Dictionary<string, Standing> standings)
    {
        string Names(IEnumerable<string> ids) => List([.. ids.Select(i => Words.Isolated(Words.ConditionName(results, i)))]);
        var own = step.Select(c => c.Condition.Id).ToList();
        var names = Names(own);
        var equal = own.Count > 1 && own.All(a => own.All(b => a == b || standings[a].EquivalentTo.Contains(b, StringComparer.Ordinal)));
        if (number == 0)
            return own.Count == 1 ? $"{names}: nothing was shown to keep out more."
                : equal ? $"{names}: nothing was shown to keep out more, and they are equivalent within the margin." : $"{names}: nothing was shown to keep out more; which of them is best is not resolved.";
        var beaten = own.SelectMany(o => standings[o].BeatenBy).Distinct(StringComparer.Ordinal).ToList();
        var byAll = beaten.Where(b => own.All(o => standings[o].BeatenBy.Contains(b, StringComparer.Ordinal))).ToList();
        var less = own.Count == 1 ? $"less than {Names(beaten)}" : byAll.Count > 0 ? $"less than {Names(byAll)}" : $"each less than one at least of {Names(beaten)}";
        var open = own.SelectMany(o => standings[o].NotResolved).Distinct(StringComparer.Ordinal).ToList();
        var outside = open.Where(o => !own.Contains(o, StringComparer.Ordinal)).ToList();
        return $"{names}: {less}" + (open.Count > outside.Count ? "; which of them is better is not resolved" : equal ? "; equivalent within the margin" : "")
            + (outside.Count == 0 ? "." : $"; {(own.Count == 1 ? "not" : "not all")} told apart from {Names(outside)}.");
    }

    private static string List(IReadOnlyList<string> names) => names.Count <= 1 ? string.Concat(names)
        : names.Count > 6 ? string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{string.Join(", ", names.Take(4))} and {names.Count - 4} more") : string.Join(", ", names.Take(names.Count - 1)) + " and " + names[^1];
}
