using Hushtrial.Hearing.Exposure;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>The days of a week and the week; the peaks of the takes. Absolute trials only.</summary>
internal static class WeekFigures
{
    private static readonly SeriesStyle _day = new(1, Mark.Circle, Open: false, Dash: null);
    private static readonly SeriesStyle _week = new(0, Mark.Diamond, Open: false, Dash: null);

    /// <summary>LEX,8h of every kind of day and LEX,40h of the week; null without a week.</summary>
    public static Figure? Week(TrialResults results, FigureWidth width)
    {
        if (results.Mode == TrialMode.Relative || results.Week is not { Level: { } level, Days.Count: > 0 } week) return null;
        var sheet = new Sheet("week", "The days of a week and the week itself", $"A-weighted level at the worse ear, dB re 20 µPa: LEX,8h of each kind of day, LEX,40h of the week, with 95\u00A0% interval {Words.ScopeLong(week.Scope)}.", width);
        IntervalRow Row(string name, string? second, Bounded<Quantities.Level> l, SeriesStyle style) => new(name, second, l.Best.Decibels, l.Low.Decibels, l.High.Decibels, style, $"{Words.Number(l.Best.Decibels)} ({Words.Range(l.Low.Decibels, l.High.Decibels)})", []);
        var rows = week.Days.Select(d => Row(d.Day.Day, $"{Words.Number(d.Day.Times, 0)} a week", d.Level, _day)).Append(Row("The week", "LEX,40h", level, _week)).ToList();
        var lines = week.Days[0].Rules.Where(r => r.Rules.CriterionTime.TotalHours == 8).SelectMany(r => r.Thresholds.Where(t => t.Threshold.ProtectorCounted).Select(t => (t.Threshold.Level.Decibels, r.Rules.ShortName)))
            .GroupBy(l => l.Decibels).OrderBy(g => g.Key).Select(g => (g.Key, $"{Words.Number(g.Key, 0)} ({string.Join(", ", g.Select(l => l.ShortName).Distinct(StringComparer.Ordinal))})")).ToList();
        var end = IntervalRows.Draw(sheet, rows, lines, "A-weighted level, dB re 20 µPa", withZero: false);
        var key = new Legend();
        key.Add(30, "95 %", (svg, x, y) => svg.Path($"M{Svg.N(x)} {Svg.N(y)}h30m-30 -4v8m30 -8v8", _day.Css("thin")));
        if (lines.Count > 0) key.Add(8, "level of a rule, at the ear", (svg, x, y) => svg.Path($"M{Svg.N(x + 4)} {Svg.N(y - 8)}v16", "h-ln h-ink"));
        return sheet.Finish(key.Draw(sheet.Body, 0, end, sheet.Width) - 4, "The week adds the energies of its days over five nominal days: loud days weigh more than many quiet ones.", week.Sentence);
    }

    /// <summary>The peak of every take and the highest of each condition; null without peaks.</summary>
    public static Figure? Peaks(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        if (results.Mode == TrialMode.Relative || results.Peaks is not { Conditions.Count: > 0 } peaks) return null;
        var sheet = new Sheet("peaks", "Peaks in the takes beside the peak levels of the rules", "C-weighted peak sound pressure level at the ear microphone, dB re 20 µPa: the highest of every take. A peak of a few takes has no interval.", width);
        var rows = peaks.Conditions.Select(p => new IntervalRow(p.Name, p.AtLeast ? "recorder full: at least" : null, p.Highest, null, null,
            results.Conditions.FirstOrDefault(c => c.Condition.Id == p.Condition) is { } c ? styles[c] : SeriesStyle.OpenEar, (p.AtLeast ? "≥ " : "") + Words.Number(p.Highest) + "\u00A0dB(C)", p.Takes)).ToList();
        var lines = peaks.Conditions[0].Rules.SelectMany(r => r.Levels.Select(l => (l.Threshold.Level.Decibels, r.Rules.ShortName))).GroupBy(l => l.Decibels).OrderBy(g => g.Key)
            .Select(g => (g.Key, $"{Words.Number(g.Key, 0)} ({string.Join(", ", g.Select(l => l.ShortName).Distinct(StringComparer.Ordinal))})")).Append((peaks.Capacity, "recorder full (unweighted)")).OrderBy(l => l.Item1).ToList();
        var end = IntervalRows.Draw(sheet, rows, lines, "C-weighted peak level, dB re 20 µPa", withZero: false);
        var key = new Legend();
        key.Add(12, "highest of a condition", (svg, x, y) => svg.Path(_day.MarkPath(x + 6, y, 4.5), _day.Css("fl")));
        key.Add(10, "one take", (svg, x, y) => svg.Circle(x + 5, y, 2.4, _day.Css("dot")));
        key.Add(8, "level of a rule", (svg, x, y) => svg.Path($"M{Svg.N(x + 4)} {Svg.N(y - 8)}v16", "h-ln h-ink"));
        return sheet.Finish(key.Draw(sheet.Body, 0, end, sheet.Width) - 4, "A microphone that overloads shows peaks too low; a knock between takes is not in the picture.", peaks.Sentence);
    }

    /// <summary>Measured minus predicted, dashed, because one side of every row was never measured; null without any.</summary>
    public static Figure? PredictedPairs(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        if (results.PredictedPairs.Count == 0) return null;
        var others = results.PredictedPairs.Select(p => p.PredictedName).Distinct(StringComparer.Ordinal).ToList();
        var sheet = new Sheet("measured-beside-predicted", $"Measured beside predicted: {string.Join(", ", others)} was never measured",
            "A-weighted insertion loss, dB: measured less the loss that published octave data predict for one wearer in this noise. 95\u00A0% interval of the difference of the two distributions, in general. Dashed: half of it is a prediction.", width);
        var rows = results.PredictedPairs.Select(p => new IntervalRow(p.MeasuredName, $"less {p.PredictedName}, predicted", p.Difference.Value, p.Difference.Low, p.Difference.High, SeriesStyle.Published,
            $"{Words.Signed(p.Difference.Value)} ({Words.Range(p.Difference.Low, p.Difference.High)})", [], Dashed: true)).ToList();
        var end = IntervalRows.Draw(sheet, rows, [], "measured less predicted, dB (above 0: takes more off)", withZero: true);
        return sheet.Finish(end - 14, "A prediction is no measurement: one wearer may lie anywhere in it, and no verdict between devices rests on it.", string.Join(' ', results.PredictedPairs.Select(p => p.Sentence)));
    }
}
