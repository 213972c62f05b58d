using Hushtrial.Reporting.Wording;

namespace Hushtrial.Reporting.Figures;

/// <summary>One row: a value with its interval, its numbers beside it, and small dots for values that belong to it.</summary>
internal sealed record PlotRow(string Name, SeriesStyle Style, double Value, double Low, double High, string Number, string Range, string Title, IReadOnlyList<(double Value, string Title)> Dots);

/// <summary>Rows under a head of their own; null for none.</summary>
internal sealed record PlotGroup(string? Head, IReadOnlyList<PlotRow> Rows);

/// <summary>A value that rows are held against, with its words.</summary>
internal sealed record PlotLine(double Value, string Words);

/// <summary>Draws rows of values with intervals over one axis. On a phone names and numbers stand above the marks.</summary>
/// <param name="Scale">The axis.</param>
/// <param name="Decimals">Decimals of its ticks.</param>
/// <param name="Label">Its words, with the unit.</param>
/// <param name="Lines">What rows are held against.</param>
internal sealed record RowPlot(ValueScale Scale, int Decimals, string Label, IReadOnlyList<PlotLine> Lines)
{
    /// <summary>Draws the groups below the head of the sheet; returns the y below the axis.</summary>
    public double Draw(Sheet sheet, IReadOnlyList<PlotGroup> groups)
    {
        double left = sheet.Narrow ? 8 : 216, right = sheet.Narrow ? sheet.Width - 10 : sheet.Width - 128;
        double rowHeight = sheet.Narrow ? 50 : 34, top = sheet.Top + 10 + (15 * Lines.Count);
        double HeadOf(PlotGroup g) => g.Head is null ? 0 : 26;
        var bottom = top + groups.Sum(g => HeadOf(g) + (g.Rows.Count * rowHeight));
        double X(double v) => Scale.Place(v, left, right);
        foreach (var tick in Scale.Ticks())
        {
            sheet.Body.Line(X(tick), top, X(tick), bottom, "h-grid");
            sheet.Body.Text(X(tick), bottom + 17, Words.Number(tick, Decimals), "h-tick", "middle");
        }
        sheet.Body.Text(right, bottom + 34, Label, "h-tick", "end");
        bool IsToLeft(PlotLine line) => X(line.Value) + 5 + TextMetrics.Width(line.Words, 11) > sheet.Width;
        var anyToLeft = Lines.Any(IsToLeft);
        for (var i = 0; i < Lines.Count; i++)
        {
            // Words to the left of their line stand above those of the lines they reach over.
            var y = top - (15 * (anyToLeft ? i + 1 : Lines.Count - i)) + 9;
            var x = X(Lines[i].Value);
            var toLeft = IsToLeft(Lines[i]);
            sheet.Body.Line(x, y + 2, x, sheet.Narrow ? top : bottom, "h-ln h-ink", Lines[i].Words);
            sheet.Body.Text(x + (toLeft ? -5 : 5), y + 6, Lines[i].Words, "h-small", toLeft ? "end" : "start");
        }
        var at = top;
        foreach (var group in groups)
        {
            if (group.Head is not null) sheet.Body.Text(0, at + 18, TextMetrics.Fit(group.Head, 12.5, (sheet.Narrow ? sheet.Width : left) - 8, bold: true), "h-head", title: group.Head);
            at += HeadOf(group);
            foreach (var row in group.Rows)
            {
                // On a phone the names stand above the marks: there the lines are broken, so that they cross no text.
                if (sheet.Narrow) foreach (var line in Lines) sheet.Body.Line(X(line.Value), at + 23, X(line.Value), at + 43, "h-ln h-ink");
                Row(sheet, row, at, left, rowHeight, X);
                at += rowHeight;
            }
        }
        return bottom + 38;
    }

    private static void Row(Sheet sheet, PlotRow row, double y, double left, double height, Func<double, double> x)
    {
        var svg = sheet.Body.Group(row.Name);
        var middle = sheet.Narrow ? y + 33 : y + (height / 2);
        if (sheet.Narrow)
        {
            var numbers = $"{row.Number} ({row.Range})";
            svg.Text(0, y + 16, TextMetrics.Fit(row.Name, 12, sheet.Width - TextMetrics.Width(numbers, 11) - 10), "h-strong", title: row.Name).Text(sheet.Width, y + 16, numbers, "h-tick", "end");
        }
        else
        {
            svg.Text(0, middle + 4, TextMetrics.Fit(row.Name, 12, left - 14), "h-sub", title: row.Name);
            svg.Text(sheet.Width - 84, middle + 4, row.Number, "h-strong", "end").Text(sheet.Width, middle + 4, row.Range, "h-tick", "end");
        }
        svg.Path($"M{Svg.N(x(row.Low))} {Svg.N(middle)}H{Svg.N(x(row.High))}M{Svg.N(x(row.Low))} {Svg.N(middle - 4)}v8M{Svg.N(x(row.High))} {Svg.N(middle - 4)}v8", row.Style.Css("thin"), row.Title);
        foreach (var (value, title) in row.Dots) svg.Circle(x(value), middle, 2.6, row.Style.Css("dot"), title);
        svg.Path(row.Style.MarkPath(x(row.Value), middle, 5), row.Style.Css(row.Style.Open ? "op" : "fl"), row.Title);
        svg.End();
    }
}
