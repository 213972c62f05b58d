using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>The week, the peaks, and measured beside predicted.</summary>
public static class WeekTables
{
    /// <summary>Every segment of every day; null in relative mode or without a week.</summary>
    public static ReportTable? Week(TrialResults results)
    {
        if (results.Mode == TrialMode.Relative || results.Week is not { Level: { } level, Days.Count: > 0 } week) return null;
        var rows = new List<Row>();
        foreach (var day in week.Days)
        {
            rows.Add(new([$"{day.Day.Day}, {Words.Number(day.Day.Times, 0)} a week: LEX,8h {Words.Number(day.Level.Best.Decibels)} dB(A) ({Words.Range(day.Level.Low.Decibels, day.Level.High.Decibels)})"]));
            foreach (var (i, part) in day.Parts.Index())
                rows.Add(new([part.Name, Words.Number(day.Day.Segments[i].Hours, 2), Words.Number(part.WorseEar.Decibels), Share(part.ShareOfDay), day.Day.Segments[i].OffMinutes > 0 ? Words.Number(day.Day.Segments[i].OffMinutes, 0) : Cell.Nothing,
                    part.CommunicationShare > 0 ? Share(part.CommunicationShare) : Cell.Nothing, day.Day.Segments[i].OneEarOff ? "yes" : Cell.Nothing]));
        }
        return new ReportTable("table-week", $"The week: LEX,40h {Words.Number(level.Best.Decibels)} dB(A) ({Words.Range(level.Low.Decibels, level.High.Decibels)}), at the worse ear",
            [new("Segment"), new("Hours", "h", true), new("Level at the worse ear", "dB(A)", true), new("Share of the day’s energy", null, true), new("Device off", "min", true), new("Of it radio or intercom", "at the covered ear", true), new("One ear free")],
            rows, [.. week.Standings.Select(Stands), .. week.Cautions.Select(Words.Sentence)]);
    }

    /// <summary>Peaks by condition; null in relative mode or without peaks.</summary>
    public static ReportTable? Peaks(TrialResults results)
    {
        if (results.Mode == TrialMode.Relative || results.Peaks is not { Conditions.Count: > 0 } peaks) return null;
        var levels = peaks.Conditions[0].Rules.SelectMany((r, i) => r.Levels.Select((l, j) => (r.Rules, l.Threshold, I: i, J: j))).ToList();
        return new ReportTable("table-peaks", "Highest C-weighted peak in the takes",
            [new("Condition"), new("Peak", "dB(C)", true), new("Takes", null, true), .. levels.Select(l => new Column($"{l.Rules.ShortName} {l.Threshold.Name}", $"{Words.Number(l.Threshold.Level.Decibels, 0)} dB(C), {(l.Threshold.ProtectorCounted ? "at the ear" : "outside")}"))],
            [.. peaks.Conditions.Select(p => new Row([p.Name, (p.AtLeast ? "≥ " : "") + Words.Number(p.Highest), Words.Number(p.Takes.Count, 0), .. levels.Select(l => (Cell)Word(p.Rules[l.I].Levels[l.J].Standing))]))],
            [.. levels.Count == 0 ? new[] { "The rule sets named have no peak level." } : ["‘Outside’ is judged by the highest peak at the open ear or the microphone outside."], .. peaks.Cautions.Select(Words.Sentence)]);
    }

    /// <summary>Measured beside predicted; null without any.</summary>
    public static ReportTable? PredictedPairs(TrialResults results) => results.PredictedPairs.Count == 0 ? null
        : new("table-predicted-pairs", "Measured beside predicted: one of each pair was never measured",
            [new("Measured"), new("Predicted, not measured"), new("Measured less predicted", "dB(A), 95\u00A0%", true), new("Probability", "that the measured one takes more off", true)],
            [.. results.PredictedPairs.Select(p => new Row([p.MeasuredName, p.PredictedName, Cell.Of(p.Difference), Share(p.ProbabilityMore)]))],
            ["Published octave data, taken as for one wearer in this noise; the measured loss in general. No verdict between devices rests on a prediction."]);

    private static string Stands(WeekStanding s) => $"{s.Rules.Name}, {s.Threshold.Name} of {Words.Number(s.Threshold.Level.Decibels, 0)} dB(A), {(s.Threshold.ProtectorCounted ? "at the ear" : "outside the device")}: the week is {Word(s.Standing)}.";

    private static string Word(Standing standing) => standing switch { Standing.Below => "below", Standing.Above => "at or above", Standing.Unresolved => "not to be told", _ => "not known" };

    private static string Share(double share) => (share > 0.995 ? "> 99" : share < 0.005 ? "< 1" : Words.Number(100 * share, 0)) + "\u00A0%";
}
