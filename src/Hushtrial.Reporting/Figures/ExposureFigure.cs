using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>The day's level of every condition beside the levels of the rule sets; the level while worn where the hours are not known. Absolute trials only.</summary>
internal static class ExposureFigure
{
    /// <summary>Draws it; null in relative mode or without levels.</summary>
    public static Figure? Draw(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        if (results.Mode == TrialMode.Relative || results.Exposure is not { Conditions.Count: > 0 } exposure) return null;
        var rows = exposure.Conditions;
        var day = exposure.HoursPerDay is not null;
        var limits = rows[0].Rules.Where(r => r.Rules.CriterionTime.TotalHours == 8).SelectMany(r => r.Rules.Thresholds.Where(t => t.ProtectorCounted).DefaultIfEmpty(r.Rules.Thresholds[0])
            .Select(t => (t.Level.Decibels, r.Rules.ShortName))).GroupBy(l => l.Decibels).Select(g => (Level: g.Key, Words: $"{Words.Number(g.Key, 0)} ({string.Join(", ", g.Select(l => l.ShortName).Distinct(StringComparer.Ordinal))})")).OrderBy(l => l.Level).ToList();
        var sheet = new Sheet("exposure", day ? "The day’s level at the ear beside the levels of the rules" : "The level at the ear beside the levels of the rules",
            (day ? "LEX,8h: A-weighted level at the ear over the stated hours and minutes off, spread over 8\u00A0h" : "A-weighted level at the ear while worn, hours not stated") + $", dB re 20 µPa, with 95\u00A0% interval {Words.ScopeLong(exposure.Scope)}.", width);
        var scale = ValueScale.Covering(rows.SelectMany(r => new[] { r.Worn, r.Day ?? r.Worn }).SelectMany(l => new[] { l.Low.Decibels, l.High.Decibels }).Concat(limits.Select(l => l.Level + 2)), sheet.Narrow ? 5 : 9, withZero: false);
        double left = sheet.Narrow ? 8 : 200, right = sheet.Narrow ? sheet.Width - 10 : sheet.Width - 128;
        double rowHeight = sheet.Narrow ? 50 : 36, top = sheet.Top + 10 + (15 * limits.Count), bottom = top + (rows.Count * rowHeight);
        double X(double v) => scale.Place(v, left, right);
        foreach (var tick in scale.Ticks())
        {
            sheet.Body.Line(X(tick), top, X(tick), bottom, "h-grid");
            sheet.Body.Text(X(tick), bottom + 17, Words.Number(tick, 0), "h-tick", "middle");
        }
        sheet.Body.Text(right, bottom + 34, "A-weighted level, dB re 20 µPa", "h-tick", "end");
        for (var i = 0; i < limits.Count; i++)
        {
            // Words stand to the right where there is room; each limit has a line of its own.
            var y = top - (15 * (limits.Count - i)) + 9;
            var toLeft = X(limits[i].Level) + 5 + TextMetrics.Width(limits[i].Words, 11) > sheet.Width;
            // On a phone the names stand above the marks: there the line is broken, so that it crosses no text.
            sheet.Body.Line(X(limits[i].Level), y + 2, X(limits[i].Level), sheet.Narrow ? top : bottom, "h-ln h-ink", $"{limits[i].Words} dB(A)");
            if (sheet.Narrow)
                for (var r = 0; r < rows.Count; r++) sheet.Body.Line(X(limits[i].Level), top + (r * rowHeight) + 23, X(limits[i].Level), top + (r * rowHeight) + 43, "h-ln h-ink");
            sheet.Body.Text(X(limits[i].Level) + (toLeft ? -5 : 5), y + 6, limits[i].Words, "h-small", toLeft ? "end" : "start");
        }
        for (var i = 0; i < rows.Count; i++) Row(sheet, rows[i], Style(results, styles, rows[i]), top + (i * rowHeight), left, X);
        var key = new Legend();
        var first = Style(results, styles, rows.FirstOrDefault(r => r.Condition != TrialDocument.OpenEar && !r.Predicted) ?? rows[0]);
        key.Add(30, day ? "the day, 95 %" : "95 %", (svg, x, y) => svg.Path($"M{Svg.N(x)} {Svg.N(y)}h30m-30 -4v8m30 -8v8", first.Css("thin")));
        if (day) key.Add(8, "while worn", (svg, x, y) => svg.Circle(x + 4, y, 2.6, first.Css("dot")));
        key.Add(8, "level of a rule", (svg, x, y) => svg.Path($"M{Svg.N(x + 4)} {Svg.N(y - 8)}v16", "h-ln h-ink"));
        var end = key.Draw(sheet.Body, 0, bottom + 56, sheet.Width);
        return sheet.Finish(end - 4, "Levels are those at the ear microphone, not converted to the field. Informed by the rules named; local rules come first.",
            string.Join(' ', rows.Select(r => Words.Sentence(r.Sentence))));
    }

    private static SeriesStyle Style(TrialResults results, SeriesStyles styles, ConditionExposure row) =>
        results.Conditions.FirstOrDefault(c => c.Condition.Id == row.Condition) is { } c ? styles[c] : SeriesStyle.OpenEar;

    private static void Row(Sheet sheet, ConditionExposure row, SeriesStyle style, double y, double left, Func<double, double> x)
    {
        var level = row.Day ?? row.Worn;
        var svg = sheet.Body.Group(row.Name);
        var middle = sheet.Narrow ? y + 33 : y + 18;
        var (value, range) = (Words.Number(level.Best.Decibels), Words.Range(level.Low.Decibels, level.High.Decibels));
        var name = row.Predicted ? row.Name + ", published" : row.Name;
        if (sheet.Narrow)
        {
            var numbers = $"{value} ({range})";
            svg.Text(0, y + 16, TextMetrics.Fit(name, 12.5, sheet.Width - TextMetrics.Width(numbers, 11) - 10, bold: true), "h-head", title: row.Name).Text(sheet.Width, y + 16, numbers, "h-tick", "end");
        }
        else
        {
            svg.Text(0, middle + 4, TextMetrics.Fit(name, 12.5, left - 14, bold: true), "h-head", title: row.Name);
            svg.Text(sheet.Width - 84, middle + 4, value, "h-strong", "end").Text(sheet.Width, middle + 4, range, "h-tick", "end");
        }
        svg.Path($"M{Svg.N(x(level.Low.Decibels))} {Svg.N(middle)}H{Svg.N(x(level.High.Decibels))}M{Svg.N(x(level.Low.Decibels))} {Svg.N(middle - 4)}v8M{Svg.N(x(level.High.Decibels))} {Svg.N(middle - 4)}v8",
            style.Css("thin"), Words.Sentence(row.Sentence));
        svg.Path(style.MarkPath(x(level.Best.Decibels), middle, 5), style.Css(style.Open ? "op" : "fl"), $"{row.Name}: {Words.Decibels(level.Best.Decibels)}");
        if (row.Day is not null && row.OffShare is not null) svg.Circle(x(row.Worn.Best.Decibels), middle, 2.6, style.Css("dot"), $"{row.Name}, while worn: {Words.Decibels(row.Worn.Best.Decibels)}");
        svg.End();
    }
}
