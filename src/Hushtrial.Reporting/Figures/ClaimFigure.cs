using Hushtrial.Hearing.Claims;
using Hushtrial.Reporting.Tables;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>Every published figure beside what was measured of it: the figure as a bar across, the measurement with both intervals.</summary>
internal static class ClaimFigure
{
    /// <summary>Draws it; null when nothing published could be held against a measurement.</summary>
    public static Figure? Draw(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        var scope = results.Document.Scope;
        var rows = results.Claims.Where(c => Shown(c, scope) is not null).ToList();
        if (rows.Count == 0) return null;
        var sheet = new Sheet("published-and-measured", "Published figures beside the measurement",
            $"{Words.Quantity(results.Document.Quantity)}, dB: {Words.QuantityExplained(results.Document.Quantity)}; A-weighted, or in the band named. Measured: estimate and 95\u00A0% interval {Words.ScopeLong(scope)}.", width);
        var scale = ValueScale.Covering(rows.SelectMany(r => Drawn(r)), sheet.Narrow ? 6 : 9, withZero: true);
        double left = sheet.Narrow ? 8 : 300, right = sheet.Narrow ? sheet.Width - 10 : sheet.Width - 128;
        double rowHeight = sheet.Narrow ? 78 : 54, top = sheet.Top + 10, bottom = top + (rows.Count * rowHeight);
        double X(double v) => scale.Place(v, left, right);
        foreach (var tick in scale.Ticks())
        {
            // On a phone names stand above the marks: there the lines are broken, so that they cross no text.
            if (!sheet.Narrow) sheet.Body.Line(X(tick), top, X(tick), bottom, tick == 0 ? "h-zero" : "h-grid");
            else
                for (var r = 0; r < rows.Count; r++) sheet.Body.Line(X(tick), top + (r * rowHeight) + 38, X(tick), top + ((r + 1) * rowHeight) - 5, tick == 0 ? "h-zero" : "h-grid");
            sheet.Body.Text(X(tick), bottom + 17, Words.Number(tick, 0), "h-tick", "middle");
        }
        sheet.Body.Text(right, bottom + 34, $"{Words.QuantityLower(results.Document.Quantity)}, dB", "h-tick", "end");
        for (var i = 0; i < rows.Count; i++) Row(sheet, results, rows[i], styles, top + (i * rowHeight), left, X);
        var y = Key(rows, styles, results).Draw(sheet.Body, 0, bottom + 56, sheet.Width);
        return sheet.Finish(y - 4, "A verdict rests on the interval in general and allows 2\u00A0dB for differences of method. ‘Up to’ speaks of the best band, an average of the middle, ‘at least’ of the lower side.",
            string.Join(' ', rows.Select(r => $"{r.Name}, published: {r.Words}; measured{Where(r)} {Words.Estimate(Shown(r, scope)!)}: {Verdict(r)}.")));
    }

    /// <summary>The outcome in two or three words.</summary>
    public static string Verdict(ClaimResult claim) => claim switch
    {
        { Probability: null } => "not tested",
        { Kind: PublishedFigureKind.Octaves, Standing: { } s } => s switch { PublishedStanding.Below => "below published", PublishedStanding.Above => "above published", _ => "consistent" },
        { Kind: PublishedFigureKind.Rating } => "not comparable",
        { ReachedAt: not null } => "reached in a band",
        _ => claim.Verdict switch { ClaimVerdict.Supported => "supported", ClaimVerdict.Contradicted => "contradicted here", _ => "not resolved" },
    };

    private static Estimate? Shown(ClaimResult claim, EstimateScope scope) => claim.Measured?.In(scope) ?? claim.Measured?.General ?? claim.Measured?.AsWorn;

    private static IEnumerable<double> Drawn(ClaimResult r) => new[] { r.Measured?.AsWorn, r.Measured?.General, r.Predicted }.OfType<Estimate>().SelectMany(e => new[] { e.Low, e.High })
        .Concat(r.Claimed is { } c ? [c] : []);

    private static string Where(ClaimResult r) => r.Band is { } b ? $" at {b}" : "";

    private static void Row(Sheet sheet, TrialResults results, ClaimResult row, SeriesStyles styles, double y, double left, Func<double, double> x)
    {
        var style = styles[results.Conditions.First(c => c.Condition.Id == row.Condition)];
        var shown = Shown(row, results.Document.Scope)!;
        var svg = sheet.Body.Group($"{row.Name}: {row.Words}");
        var middle = sheet.Narrow ? y + 56 : y + 24;
        if (y > sheet.Top + 11) svg.Line(0, y - 3, sheet.Width, y - 3, "h-grid");
        var second = (row.ActivePart ? "electronics; " : "") + (row.Band is { } b ? $"{b}: " : "A-weighted: ") + row.Words;
        if (sheet.Narrow)
        {
            var verdict = TextMetrics.Width(Verdict(row), 12, bold: true);
            svg.Text(0, y + 14, TextMetrics.Fit(row.Name, 12.5, sheet.Width - verdict - 12, bold: true), "h-head", title: row.Name).Text(sheet.Width, y + 14, Verdict(row), "h-strong", "end");
            svg.Text(0, y + 30, TextMetrics.Fit(second, 11, sheet.Width), "h-tick", title: second);
        }
        else
        {
            svg.Text(0, y + 19, TextMetrics.Fit(row.Name, 12.5, left - 16, bold: true), "h-head", title: row.Name);
            var lines = TextMetrics.Wrap(second, 11, left - 16, 2);
            for (var i = 0; i < lines.Count; i++) svg.Text(0, y + 33 + (i * 13), lines[i], "h-tick", title: second);
            svg.Text(sheet.Width, y + 19, Verdict(row), "h-strong", "end").Text(sheet.Width, y + 35, $"{Words.Number(shown.Value)} ({Words.Range(shown.Low, shown.High)})", "h-tick", "end");
        }
        if (row.Predicted is { } p && p.High > p.Low)
            svg.Path($"M{Svg.N(x(p.Low))} {Svg.N(middle + 11)}H{Svg.N(x(p.High))}", SeriesStyle.Published.Css("thin"), $"predicted from published data: {Words.Estimate(p)}", "4 3");
        if (row.Claimed is { } q)
            svg.Path($"M{Svg.N(x(q))} {Svg.N(middle - 13)}v26", SeriesStyle.OpenEar.Css("ln"), $"published: {Words.Decibels(q)}");
        if (row.Measured!.General is { } general)
            svg.Path($"M{Svg.N(x(general.Low))} {Svg.N(middle)}H{Svg.N(x(general.High))}M{Svg.N(x(general.Low))} {Svg.N(middle - 4)}v8M{Svg.N(x(general.High))} {Svg.N(middle - 4)}v8", style.Css("thin"), $"measured, in general: {Words.Estimate(general)}");
        if (row.Measured.AsWorn is { } worn)
            svg.Rect(x(worn.Low), middle - 6, x(worn.High) - x(worn.Low), 12, style.Css("bar"), $"measured, as worn: {Words.Estimate(worn)}", radius: 2);
        svg.Path(style.MarkPath(x(shown.Value), middle, 5), style.Css(style.Open ? "op" : "fl"), $"measured: {Words.Estimate(shown)}").End();
    }

    private static Legend Key(List<ClaimResult> rows, SeriesStyles styles, TrialResults results)
    {
        var legend = new Legend();
        var first = styles[results.Conditions.First(c => c.Condition.Id == rows[0].Condition)];
        if (rows.Any(r => r.Claimed is not null)) legend.Add(8, "published", (svg, x, y) => svg.Path($"M{Svg.N(x + 4)} {Svg.N(y - 8)}v16", SeriesStyle.OpenEar.Css("ln")));
        legend.Add(26, "measured, 95 % as worn", (svg, x, y) => svg.Rect(x, y - 5, 26, 10, first.Css("bar"), radius: 2));
        legend.Add(30, "measured, 95 % in general", (svg, x, y) => svg.Path($"M{Svg.N(x)} {Svg.N(y)}h30m-30 -4v8m30 -8v8", first.Css("thin")));
        if (rows.Any(r => r.Predicted is { } p && p.High > p.Low)) legend.Add(30, "95 % of wearers, by published data", (svg, x, y) => svg.Path($"M{Svg.N(x)} {Svg.N(y)}h30", SeriesStyle.Published.Css("thin"), dash: "4 3"));
        return legend;
    }
}
