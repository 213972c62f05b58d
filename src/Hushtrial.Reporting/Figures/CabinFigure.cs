using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>The A-weighted loss carried to another cabin, largest first, beside that in the noise measured. Nothing in it was measured there, and it says so.</summary>
internal static class CabinFigure
{
    /// <summary>Draws one figure for every cabin of which something can be said.</summary>
    public static IEnumerable<Figure> Draw(TrialResults results, SeriesStyles styles, FigureWidth width) =>
        results.Cabins.Select((c, i) => One(results, c, i, styles, width)).OfType<Figure>();

    private static Figure? One(TrialResults results, CabinResult cabin, int number, SeriesStyles styles, FigureWidth width)
    {
        var scope = results.Document.Scope;
        var rows = cabin.Conditions.Where(c => Shown(c, scope) is not null).OrderBy(c => c.Predicted).ThenByDescending(c => Shown(c, scope)!.Value).ToList();
        if (rows.Count == 0) return null;
        var sheet = new Sheet(FormattableString.Invariant($"cabin-{number + 1}"), $"Carried to ‘{cabin.Cabin.Name}’: A-weighted loss",
            $"Insertion loss, A-weighted, computed for this noise from the measured bands{(cabin.LevelA is { } l ? $" ({Words.Number(l)}\u00A0dB(A) outside)" : "")}. Not measured there. Numbers: estimate and 95\u00A0% interval {Words.ScopeLong(scope)}.", width);
        var scale = ValueScale.Covering(rows.SelectMany(r => Drawn(r, results)), sheet.Narrow ? 6 : 9, withZero: true);
        double left = sheet.Narrow ? 8 : 200, right = sheet.Narrow ? sheet.Width - 10 : sheet.Width - 152, rowHeight = sheet.Narrow ? 60 : 46, top = sheet.Top + 10, bottom = top + (rows.Count * rowHeight);
        double X(double v) => scale.Place(v, left, right);
        foreach (var tick in scale.Ticks())
        {
            sheet.Body.Line(X(tick), top, X(tick), bottom, tick == 0 ? "h-zero" : "h-grid");
            sheet.Body.Text(X(tick), bottom + 17, Words.Number(tick, 0), "h-tick", "middle");
        }
        sheet.Body.Text(right, bottom + 34, "A-weighted loss, dB (0: as the open ear)", "h-tick", "end");
        foreach (var (i, row) in rows.Index()) Row(sheet, results, row, styles, top + (i * rowHeight), X);
        var y = Key(rows, results, styles).Draw(sheet.Body, 0, bottom + 56, sheet.Width);
        return sheet.Finish(y - 4, "The open mark on the thin line above a row is the loss in the noise that was measured: what lies between the two is the other cabin’s doing.",
            string.Join(' ', rows.Select(r => $"{r.Name}{(r.Predicted ? " (published, not measured)" : "")}: {(r.AtLeast ? "at least " : "")}{Words.Estimate(Shown(r, scope)!)}; in the noise measured {(Here(results, r) is { } h ? Words.Decibels(h) : "not known")}.")));
    }

    private static void Row(Sheet sheet, TrialResults results, CarriedCondition row, SeriesStyles styles, double y, Func<double, double> x)
    {
        var style = Style(results, styles, row);
        var svg = sheet.Body.Group(row.Name);
        var middle = y + (sheet.Narrow ? 36 : 22);
        var shown = Shown(row, results.Document.Scope)!;
        Label(sheet, row, shown, y, middle);
        if (row.LossA!.General is { } general)
            svg.Path($"M{Svg.N(x(general.Low))} {Svg.N(middle)}H{Svg.N(x(general.High))}", style.Css("thin"), $"{row.Name}, in general: {Words.Estimate(general)}", row.Predicted ? "4 3" : null)
                .Path($"M{Svg.N(x(general.Low))} {Svg.N(middle - 4)}v8M{Svg.N(x(general.High))} {Svg.N(middle - 4)}v8", style.Css("thin"));
        if (row.LossA.AsWorn is { } worn && !row.Predicted)
            svg.Rect(x(worn.Low), middle - 6, x(worn.High) - x(worn.Low), 12, style.Css("bar"), $"{row.Name}, as worn: {Words.Estimate(worn)}", radius: 2);
        svg.Path(style.MarkPath(x(shown.Value), middle, 5), style.Css(style.Open ? "op" : "fl"), $"{row.Name}: {(row.AtLeast ? "at least " : "")}{Words.Estimate(shown)}");
        foreach (var donning in row.Donnings) svg.Circle(x(donning), middle + 13, 2.4, style.Css("dot"), $"{row.Name}, one donning: {Words.Decibels(donning)}");
        if (Here(results, row) is { } here)
            svg.Line(x(here), middle - 11, x(shown.Value), middle - 11, "h-zero").Path(SeriesStyle.MarkPath(Mark.Square, x(here), middle - 11, 3), "h-op h-ink", $"{row.Name} in the noise measured: {Words.Decibels(here)}");
        if (y > sheet.Top + 11) svg.Line(0, y - 1, sheet.Width, y - 1, "h-grid");
        svg.End();
    }

    private static void Label(Sheet sheet, CarriedCondition row, Estimate shown, double y, double middle)
    {
        var (value, range) = ((row.AtLeast ? "≥ " : "") + Words.Decibels(shown.Value), Words.Range(shown.Low, shown.High));
        var second = row.Predicted ? "published, not measured" : "carried, not measured";
        if (sheet.Narrow)
        {
            var (rangeWidth, valueWidth) = (TextMetrics.Width(range, 11), TextMetrics.Width(value, 12, bold: true));
            sheet.Body.Text(sheet.Width, y + 14, range, "h-tick", "end").Text(sheet.Width - rangeWidth - 8, y + 14, value, "h-strong", "end")
                .Text(0, y + 14, TextMetrics.Fit(row.Name, 12.5, sheet.Width - rangeWidth - valueWidth - 22, bold: true), "h-head", title: row.Name);
            return;
        }
        sheet.Body.Text(0, middle, TextMetrics.Fit(row.Name, 12.5, 190, bold: true), "h-head", title: row.Name).Text(0, middle + 15, second, "h-tick")
            .Text(sheet.Width - 92, middle + 4, value, "h-strong", "end").Text(sheet.Width, middle + 4, range, "h-sub", "end");
    }

    private static Estimate? Shown(CarriedCondition row, EstimateScope scope) => row.LossA?.In(scope) ?? row.LossA?.AsWorn ?? row.LossA?.General;

    private static double? Here(TrialResults results, CarriedCondition row) => results.Conditions.FirstOrDefault(c => c.Condition.Id == row.Condition)?.Loss.A?.In(results.Document.Scope)?.Value;

    private static SeriesStyle Style(TrialResults results, SeriesStyles styles, CarriedCondition row) => styles[results.Conditions.First(c => c.Condition.Id == row.Condition)];

    private static IEnumerable<double> Drawn(CarriedCondition row, TrialResults results) => new[] { row.LossA!.AsWorn, row.LossA.General }.OfType<Estimate>().SelectMany(e => new[] { e.Low, e.High })
        .Concat(row.Donnings).Concat(new[] { Here(results, row) }.OfType<double>());

    private static Legend Key(List<CarriedCondition> rows, TrialResults results, SeriesStyles styles)
    {
        var legend = new Legend();
        var first = Style(results, styles, rows[0]);
        legend.Add(26, "95 % as worn", (svg, x, y) => svg.Rect(x, y - 5, 26, 10, first.Css("bar"), radius: 2));
        legend.Add(30, "95 % in general", (svg, x, y) => svg.Path($"M{Svg.N(x)} {Svg.N(y)}h30m-30 -4v8m30 -8v8", first.Css("thin")));
        legend.Add(10, "one donning", (svg, x, y) => svg.Circle(x + 5, y, 2.4, first.Css("dot")));
        legend.Add(10, "in the noise measured", (svg, x, y) => svg.Path(SeriesStyle.MarkPath(Mark.Square, x + 5, y, 3), "h-op h-ink"));
        if (rows.Any(r => r.Predicted)) legend.Add(30, "published, not measured", (svg, x, y) => svg.Path($"M{Svg.N(x)} {Svg.N(y)}h30", SeriesStyle.Published.Css("thin"), dash: "4 3"));
        return legend;
    }
}
