using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>The A-weighted loss of every condition, largest first: thick bar as worn, thin line in general, a dot per donning.</summary>
internal static class OverallLossFigure
{
    private const string Published = "published, not measured";

    /// <summary>Draws it; null when no condition has an A-weighted loss.</summary>
    public static Figure? Draw(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        var scope = results.Document.Scope;
        var rows = Ranking.ByLoss(results).Where(c => c.Loss.A is { } a && (a.AsWorn ?? a.General) is not null).ToList();
        if (rows.Count == 0) return null;
        var name = Words.Quantity(results.Document.Quantity);
        var sheet = new Sheet("a-weighted-loss", $"A-weighted {char.ToLowerInvariant(name[0])}{name[1..]}, largest first" + (rows.Any(r => r.Predicted) ? "; published below" : ""),
            $"{name}, A-weighted: {Words.QuantityExplained(results.Document.Quantity)}. Numbers: estimate and 95\u00A0% interval {Words.ScopeLong(scope)}.", width);
        var scale = ValueScale.Covering(rows.SelectMany(Drawn), sheet.Narrow ? 6 : 9, withZero: true);
        var labelRoom = sheet.Narrow ? 0 : Math.Min(220, rows.Max(r => Math.Max(TextMetrics.Width(r.Name, 12.5, bold: true), r.Predicted ? TextMetrics.Width(Published, 11) : 0)) + 14);
        double left = sheet.Narrow ? 8 : Math.Max(110, labelRoom), right = sheet.Narrow ? sheet.Width - 10 : sheet.Width - 152;
        var tall = rows.Any(r => TextMetrics.Width(r.Name, 12.5, bold: true) > labelRoom - 10);
        double rowHeight = sheet.Narrow ? 60 : tall ? 60 : 46, top = sheet.Top + 10, bottom = top + (rows.Count * rowHeight);
        double X(double v) => scale.Place(v, left, right);

        foreach (var tick in scale.Ticks())
        {
            sheet.Body.Line(X(tick), top, X(tick), bottom, tick == 0 ? "h-zero" : "h-grid");
            sheet.Body.Text(X(tick), bottom + 17, Words.Number(tick, 0), "h-tick", "middle");
        }
        sheet.Body.Text(right, bottom + 34, $"A-weighted {Words.QuantityLower(results.Document.Quantity)}, dB (0: {Words.Zero(results.Document.Quantity)})", "h-tick", "end");
        for (var i = 0; i < rows.Count; i++) Row(sheet, rows[i], styles[rows[i]], scope, top + (i * rowHeight), labelRoom, tall, X);
        var y = Key(rows, styles).Draw(sheet.Body, 0, bottom + 56, sheet.Width);
        return sheet.Finish(y - 4, "The thick bar speaks of these donnings alone; the thin line of what to expect when the device is put on again.",
            string.Join(' ', rows.Select(r => $"{r.Name}{(r.Predicted ? " (published, not measured)" : "")}: {Value(r, scope)}.")));
    }

    private static void Row(Sheet sheet, ConditionResult row, SeriesStyle style, EstimateScope scope, double y, double labelRoom, bool tall, Func<double, double> x)
    {
        var svg = sheet.Body.Group(row.Name);
        var middle = !sheet.Narrow ? y + (tall ? 27 : 20) : row.Predicted ? y + 42 : y + 33;
        var shown = row.Loss.A!.In(scope) ?? row.Loss.A.AsWorn ?? row.Loss.A.General!;
        Label(sheet, row, shown, y, middle, labelRoom);
        if (row.Loss.A.General is { } general)
        {
            svg.Path($"M{Svg.N(x(general.Low))} {Svg.N(middle)}H{Svg.N(x(general.High))}", style.Css("thin"),
                $"{row.Name}, in general: {Words.Estimate(general)}", row.Predicted ? "4 3" : null);
            svg.Path($"M{Svg.N(x(general.Low))} {Svg.N(middle - 4)}v8M{Svg.N(x(general.High))} {Svg.N(middle - 4)}v8", style.Css("thin"));
        }
        if (row.Loss.A.AsWorn is { } worn && !row.Predicted)
            svg.Rect(x(worn.Low), middle - 6, x(worn.High) - x(worn.Low), 12, style.Css("bar"), $"{row.Name}, as worn: {Words.Estimate(worn)}", radius: 2);
        svg.Path(style.MarkPath(x(shown.Value), middle, 5), style.Css(style.Open ? "op" : "fl"), $"{row.Name}: {Words.Estimate(shown)}");
        foreach (var fit in row.FitsDetail.Where(f => f.LossA is not null))
            svg.Circle(x(fit.LossA!.Value), middle + 13, 2.4, style.Css("dot"), $"{row.Name}, donning {fit.Fit}: {Words.Decibels(fit.LossA.Value)}");
        if (y > sheet.Top + 11) svg.Line(0, y - 3, sheet.Width, y - 3, "h-grid");
        svg.End();
    }

    private static void Label(Sheet sheet, ConditionResult row, Estimate shown, double y, double middle, double labelRoom)
    {
        var second = row.Predicted ? Published : Words.Count(row.Fits, "donning");
        var value = Words.Decibels(shown.Value);
        var range = Words.Range(shown.Low, shown.High);
        if (sheet.Narrow)
        {
            var rangeWidth = TextMetrics.Width(range, 11);
            var valueWidth = TextMetrics.Width(value, 12, bold: true);
            sheet.Body.Text(sheet.Width, y + 14, range, "h-tick", "end").Text(sheet.Width - rangeWidth - 8, y + 14, value, "h-strong", "end");
            var room = sheet.Width - rangeWidth - valueWidth - 22;
            sheet.Body.Text(0, y + 14, TextMetrics.Fit(row.Name, 12.5, room, bold: true), "h-head", title: row.Name);
            if (row.Predicted) sheet.Body.Text(0, y + 29, second, "h-tick");
            return;
        }
        var lines = TextMetrics.Wrap(row.Name, 12.5, labelRoom - 10, 2, bold: true);
        var start = middle + 4 - ((lines.Count - 1) * 15) - (lines.Count == 1 ? 4 : 2);
        for (var i = 0; i < lines.Count; i++) sheet.Body.Text(0, start + (i * 15), lines[i], "h-head", title: row.Name);
        sheet.Body.Text(0, start + (lines.Count * 15), TextMetrics.Fit(second, 11, labelRoom - 6), "h-tick");
        sheet.Body.Text(sheet.Width - 92, middle + 4, value, "h-strong", "end").Text(sheet.Width, middle + 4, range, "h-sub", "end");
    }

    private static IEnumerable<double> Drawn(ConditionResult row) => new[] { row.Loss.A!.AsWorn, row.Loss.A.General }.OfType<Estimate>()
        .SelectMany(e => new[] { e.Low, e.High }).Concat(row.FitsDetail.Select(f => f.LossA).OfType<double>());

    private static string Value(ConditionResult row, EstimateScope scope) => row.Loss.A!.In(scope) is { } e ? Words.Estimate(e)
        : (row.Loss.A.AsWorn ?? row.Loss.A.General) is { } other ? Words.Estimate(other) : "cannot be said";

    private static Legend Key(List<ConditionResult> rows, SeriesStyles styles)
    {
        var legend = new Legend();
        var first = styles[rows.FirstOrDefault(r => !r.Predicted) ?? rows[0]];
        legend.Add(26, "95 % as worn", (svg, x, y) => svg.Rect(x, y - 5, 26, 10, first.Css("bar"), radius: 2));
        legend.Add(30, "95 % in general", (svg, x, y) => svg.Path($"M{Svg.N(x)} {Svg.N(y)}h30m-30 -4v8m30 -8v8", first.Css("thin")));
        legend.Add(10, "one donning", (svg, x, y) => svg.Circle(x + 5, y, 2.4, first.Css("dot")));
        foreach (var style in rows.Where(r => !r.Predicted).Select(r => (SeriesStyles.Kind(r), styles[r])).DistinctBy(k => k.Item1).OrderBy(k => k.Item2.Colour))
            legend.Add(12, style.Item1, (svg, x, y) => svg.Path(style.Item2.MarkPath(x + 6, y, 4.5), style.Item2.Css(style.Item2.Open ? "op" : "fl")));
        if (rows.Any(r => r.Predicted))
            legend.Add(12, Published, (svg, x, y) => svg.Path(SeriesStyle.Published.MarkPath(x + 6, y, 4), SeriesStyle.Published.Css("op")));
        return legend;
    }
}

/// <summary>The order in which conditions are shown where the order tells something.</summary>
internal static class Ranking
{
    /// <summary>Conditions by A-weighted loss in the trial's scope, largest first; those without one follow in the document's order,
    /// and what was not measured stands last, so that a published figure never leads.</summary>
    public static IEnumerable<ConditionResult> ByLoss(TrialResults results) => results.Conditions.OrderBy(c => c.Predicted)
        .ThenByDescending(c => (c.Loss.A?.In(results.Document.Scope) ?? c.Loss.A?.AsWorn ?? c.Loss.A?.General)?.Value ?? double.NegativeInfinity);
}
