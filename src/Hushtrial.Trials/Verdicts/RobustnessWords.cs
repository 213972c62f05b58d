using System.Globalization;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>What would change the verdicts, in plain sentences.</summary>
internal static class RobustnessWords
{
    /// <summary>One changed set: 'Without donning F2-birch Birch (active) loses … ; Birch (active) against Cedar (active) would be different'.</summary>
    public static string Answer(string opening, IReadOnlyList<LossShift> losses, IReadOnlyList<VerdictShift> verdicts, Func<string, string> nameOf)
    {
        var loss = losses.Count == 0 ? "" : " " + string.Join(", ", losses.Select(l => Text($"{nameOf(l.Condition)} has {l.Changed:0.0} dB instead of {l.Value:0.0} dB")));
        var change = verdicts.Count == 0 ? "no verdict changes" : string.Join(", ", verdicts.Select(v => Shift(v, nameOf)));
        return losses.Count == 0 ? $"{opening} {change}." : $"{opening}{loss}; {change}.";
    }

    /// <summary>All donnings left out in turn.</summary>
    public static string Whole(IReadOnlyList<ChangedAnswer> without, int pairs, Func<string, string> nameOf)
    {
        if (without.Count == 0) return "Every device was put on once, so no donning can be left out to see what hangs on it: that is the weakest point of this trial.";
        if (pairs == 0) return Text($"Each of {without.Count} donnings was left out in turn; there is no verdict that could change.");
        var turned = without.SelectMany(w => w.Verdicts).GroupBy(v => (v.First, v.Second)).ToList();
        if (turned.Count == 0) return Text($"Each of {without.Count} donnings was left out in turn: no verdict changes.");
        var names = turned.Select(t => Text($"{nameOf(t.Key.First)} against {nameOf(t.Key.Second)} ({t.Count()} of {without.Count})"));
        return Text($"Each of {without.Count} donnings was left out in turn. {turned.Count} of {pairs} verdicts hang on a single donning: {string.Join("; ", names)}.");
    }

    private static string Shift(VerdictShift shift, Func<string, string> nameOf)
    {
        var pair = $"{nameOf(shift.First)} against {nameOf(shift.Second)}";
        var range = shift.Low is { } low && shift.High is { } high ? $" ({Signed(low)} to {Signed(high)} dB)" : "";
        return shift.To switch
        {
            VerdictKind.Different => $"{pair} would be different{range}",
            VerdictKind.DifferentWithinMargin => $"{pair} would be different by less than the margin{range}",
            VerdictKind.Equivalent => $"{pair} would be equivalent",
            VerdictKind.Unresolved => $"{pair} would not be resolved{range}",
            _ => $"{pair} could not be said",
        };
    }

    private static string Signed(double value) => (value < 0 ? "−" : "+") + Math.Abs(value).ToString("0.0", CultureInfo.InvariantCulture);

    private static string Text(FormattableString text) => FormattableString.Invariant(text);
}
