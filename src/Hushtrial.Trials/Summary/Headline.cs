using System.Globalization;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Summary;

/// <summary>The answer of a trial in one plain sentence with its interval.</summary>
internal static class Headline
{
    /// <summary>Says which condition keeps out most, by how much, and what it cannot be told apart from.</summary>
    public static string Of(TrialDocument document, IReadOnlyList<ConditionResult> conditions, IReadOnlyList<PairResult> pairs, IReadOnlyList<string> obstacles, LevelReference? reference = null)
    {
        if (obstacles.Count > 0) return $"No insertion loss of this trial may be published: automatic gain or a limiter was found ({obstacles[0]}).";
        var answer = Answer(document, conditions, pairs);
        var best = Ranked(document, conditions).FirstOrDefault();
        // A raw in-canal difference counts the ear's own gain in the open arm only.
        return reference is { Kind: LevelKind.FieldRelated } && best?.FieldLoss?.A?.In(document.Scope) is { } field
            ? string.Create(CultureInfo.InvariantCulture, $"{answer} Referred to the field without the head it is {field.Value:0.0} dB ({Signed(field.Low)} to {Signed(field.High)}).") : answer;
    }

    private static List<ConditionResult> Ranked(TrialDocument document, IReadOnlyList<ConditionResult> conditions) =>
        [.. conditions.Where(c => !c.Predicted && c.Loss.A?.In(document.Scope) is not null).OrderByDescending(c => c.Loss.A!.In(document.Scope)!.Value)];

    private static string Answer(TrialDocument document, IReadOnlyList<ConditionResult> conditions, IReadOnlyList<PairResult> pairs)
    {
        var scope = document.Scope;
        var ranked = Ranked(document, conditions);
        if (ranked.Count == 0) return Differences(document, conditions, pairs);
        var best = ranked[0];
        var loss = best.Loss.A!.In(scope)!;
        var noise = document.Design == TrialDesign.ReadingsOnly ? "this noise" : "this cabin's noise";
        var sentence = string.Create(CultureInfo.InvariantCulture, $"{(ranked.Count == 1 ? Alone(document.Quantity, best.Name, noise) : Opening(document.Quantity, best.Name, noise))}{loss.Value:0.0} dB, A-weighted (95 %: {Signed(loss.Low)} to {Signed(loss.High)})");
        var others = ranked.Skip(1).Select(c => (c.Name, Verdict: VerdictAgainst(best, c, pairs, scope))).ToList();
        var open = others.Where(o => o.Verdict is VerdictKind.Unresolved or null).Select(o => o.Name).ToList();
        var equal = others.Where(o => o.Verdict == VerdictKind.Equivalent).Select(o => o.Name).ToList();
        if (others.Count == 0) return sentence + ".";
        if (open.Count == 0 && equal.Count == 0) return sentence + ", more than every other that was measured.";
        var tail = new List<string>();
        if (open.Count > 0) tail.Add($"the data cannot tell it apart from {List(open)}");
        if (equal.Count > 0) tail.Add(string.Create(CultureInfo.InvariantCulture, $"{List(equal)} {(equal.Count == 1 ? "is" : "are")} equivalent to it within ±{document.Margin.Decibels:0.#} dB"));
        return $"{sentence}; {string.Join(", and ", tail)}.";
    }

    private static string Opening(MeasuredQuantity quantity, string best, string noise) => quantity switch
    {
        MeasuredQuantity.InsertionLoss => $"{best} kept out the most of {noise}: ",
        MeasuredQuantity.LevelDifference => $"Level difference, which is not insertion loss: under {best} the level at the ear lay furthest below that outside, by ",
        _ => $"Active part, on against off in the same donning: {best} adds most, ",
    };

    // Nothing else was measured that it could be ahead of.
    private static string Alone(MeasuredQuantity quantity, string only, string noise) => quantity switch
    {
        MeasuredQuantity.InsertionLoss => $"Of {noise} {only} kept out ",
        MeasuredQuantity.LevelDifference => $"Level difference, which is not insertion loss: under {only} the level at the ear lay below that outside by ",
        _ => $"Active part, on against off in the same donning: {only} adds ",
    };

    private static string Differences(TrialDocument document, IReadOnlyList<ConditionResult> conditions, IReadOnlyList<PairResult> pairs)
    {
        var sure = pairs.FirstOrDefault(p => p.In(document.Scope)?.Verdict is VerdictKind.Different or VerdictKind.DifferentWithinMargin);
        if (sure is not null) return $"{(document.Quantity == MeasuredQuantity.InsertionLoss ? "Without an open ear" : "Without calibration of both microphones")} only devices can be compared: {sure.In(document.Scope)!.Sentence}";
        if (document.Quantity == MeasuredQuantity.ActivePart && !conditions.Any(c => !c.IsReference)) return "No active part could be measured: no device was read both off and on in one donning.";
        return conditions.Count == 0 ? "Nothing could be measured: no usable take of any device." : "The data cannot tell the devices apart.";
    }

    private static VerdictKind? VerdictAgainst(ConditionResult best, ConditionResult other, IReadOnlyList<PairResult> pairs, EstimateScope scope) =>
        pairs.FirstOrDefault(p => (p.First == best.Condition.Id && p.Second == other.Condition.Id) || (p.First == other.Condition.Id && p.Second == best.Condition.Id))?.In(scope)?.Verdict;

    private static string List(List<string> names) => names.Count switch { 1 => names[0], _ => string.Join("; ", names.Take(names.Count - 1)) + " or " + names[^1] };

    private static string Signed(double value) => value.ToString("0.0", CultureInfo.InvariantCulture).Replace('-', '−');
}
