using Hushtrial.Reporting.Wording;

namespace Hushtrial.Reporting.Figures;

/// <summary>One row of an interval figure.</summary>
/// <param name="Name">What it is.</param>
/// <param name="Second">Small text below the name, on a page.</param>
/// <param name="Value">Where its mark stands.</param>
/// <param name="Low">Lower limit; null for none.</param>
/// <param name="High">Upper limit; null for none.</param>
/// <param name="Style">Its style.</param>
/// <param name="Words">Value and interval in words.</param>
/// <param name="Dots">Single observations below the mark.</param>
/// <param name="Dashed">Whether the interval is of something predicted.</param>
internal sealed record IntervalRow(string Name, string? Second, double Value, double? Low, double? High, SeriesStyle Style, string Words, IReadOnlyList<double> Dots, bool Dashed = false);

/// <summary>Rows of values with their intervals on one scale, and levels of rules as lines across it.</summary>
internal static class IntervalRows
{
    /// <summary>Draws the rows and returns where the legend may begin, px.</summary>
    public static double Draw(Sheet sheet, IReadOnlyList<IntervalRow> rows, IReadOnlyList<(double At, string Words)> lines, string axis, bool withZero)
    {
        var scale = ValueScale.Covering(rows.SelectMany(r => new[] { r.Value, r.Low ?? r.Value, r.High ?? r.Value }.Concat(r.Dots)).Concat(lines.Select(l => l.At + 2)), sheet.Narrow ? 5 : 9, withZero);
        double left = sheet.Narrow ? 8 : 220, right = sheet.Narrow ? sheet.Width - 10 : sheet.Width - 150, rowHeight = sheet.Narrow ? 54 : 42;
        double top = sheet.Top + 10 + (15 * lines.Count), bottom = top + (rows.Count * rowHeight);
        double X(double v) => scale.Place(v, left, right);
        foreach (var tick in scale.Ticks())
        {
            sheet.Body.Line(X(tick), top, X(tick), bottom, withZero && tick == 0 ? "h-zero" : "h-grid");
            sheet.Body.Text(X(tick), bottom + 17, Words.Number(tick, 0), "h-tick", "middle");
        }
        sheet.Body.Text(right, bottom + 34, axis, "h-tick", "end");
        foreach (var (i, line) in lines.Index())
        {
            var y = top - (15 * (lines.Count - i)) + 9;
            var toLeft = X(line.At) + 5 + TextMetrics.Width(line.Words, 11) > sheet.Width;
            // On a phone names and numbers stand above the marks: the line is broken there.
            sheet.Body.Line(X(line.At), y + 2, X(line.At), sheet.Narrow ? top : bottom, "h-ln h-ink", line.Words);
            if (sheet.Narrow)
                for (var r = 0; r < rows.Count; r++) sheet.Body.Line(X(line.At), top + (r * rowHeight) + 24, X(line.At), top + (r * rowHeight) + 46, "h-ln h-ink");
            sheet.Body.Text(X(line.At) + (toLeft ? -5 : 5), y + 6, line.Words, "h-small", toLeft ? "end" : "start");
        }
        foreach (var (i, row) in rows.Index()) Row(sheet, row, top + (i * rowHeight), X);
        return bottom + 56;
    }

    private static void Row(Sheet sheet, IntervalRow row, double y, Func<double, double> x)
    {
        var svg = sheet.Body.Group(row.Name);
        var middle = y + (sheet.Narrow ? 34 : 19);
        if (sheet.Narrow)
        {
            var words = TextMetrics.Width(row.Words, 11);
            svg.Text(sheet.Width, y + 14, row.Words, "h-tick", "end").Text(0, y + 14, TextMetrics.Fit(row.Name, 12.5, sheet.Width - words - 12, bold: true), "h-head", title: row.Name);
        }
        else
        {
            svg.Text(0, row.Second is null ? middle + 4 : middle - 2, TextMetrics.Fit(row.Name, 12.5, 208, bold: true), "h-head", title: row.Name).Text(sheet.Width, middle + 4, row.Words, "h-sub", "end");
            if (row.Second is not null) svg.Text(0, middle + 13, TextMetrics.Fit(row.Second, 11, 208), "h-tick");
        }
        if (row.Low is { } low && row.High is { } high)
            svg.Path($"M{Svg.N(x(low))} {Svg.N(middle)}H{Svg.N(x(high))}", row.Style.Css("thin"), $"{row.Name}: {row.Words}", row.Dashed ? "4 3" : null)
                .Path($"M{Svg.N(x(low))} {Svg.N(middle - 4)}v8M{Svg.N(x(high))} {Svg.N(middle - 4)}v8", row.Style.Css("thin"));
        svg.Path(row.Style.MarkPath(x(row.Value), middle, 5), row.Style.Css(row.Style.Open ? "op" : "fl"), $"{row.Name}: {row.Words}");
        foreach (var dot in row.Dots) svg.Circle(x(dot), middle + 12, 2.4, row.Style.Css("dot"), $"{row.Name}: {Words.Number(dot)}");
        svg.End();
    }
}
