using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>Which octaves carry the A-weighted energy at the ear: a row of bars per condition, the tallest with its share.</summary>
internal static class SharesFigure
{
    /// <summary>Draws it; null without enough bands.</summary>
    public static Figure? Draw(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        if (results.Shares.Count == 0) return null;
        var octaves = results.Shares.SelectMany(s => s.ByOctave.Keys).Distinct().Order().ToList();
        var sheet = new Sheet("energy-shares", "Which octaves carry what is left at the ear", "Share of the sound energy behind the level in dB(A), by octave, in the noise measured; the bars of a row add up to 100\u00A0%. A better device gains most where the bar is tallest.", width);
        double left = sheet.Narrow ? 6 : 200, right = sheet.Width - 6, rowHeight = sheet.Narrow ? 72 : 58, top = sheet.Top + 8, bars = sheet.Narrow ? 40 : 42;
        var step = (right - left) / octaves.Count;
        // One height for one share in all rows.
        var tallest = results.Shares.Max(s => s.ByOctave.Values.Max());
        foreach (var (i, row) in results.Shares.Index())
        {
            var style = results.Conditions.FirstOrDefault(c => c.Condition.Id == row.Condition) is { } c ? styles[c] : SeriesStyle.OpenEar;
            var floor = top + (i * rowHeight) + rowHeight - 6;
            var svg = sheet.Body.Group(row.Name);
            if (sheet.Narrow) svg.Text(0, floor - bars - 12, TextMetrics.Fit(row.Name, 12.5, sheet.Width, bold: true), "h-head", title: row.Name);
            else svg.Text(0, floor - 16, TextMetrics.Fit(row.Name, 12.5, 188, bold: true), "h-head", title: row.Name);
            svg.Line(left, floor, right, floor, "h-axis");
            foreach (var (k, octave) in octaves.Index())
            {
                if (!row.ByOctave.TryGetValue(octave, out var share)) continue;
                var (x, height) = (left + (k * step), share / tallest * (bars - 12));
                svg.Rect(x + (step * 0.14), floor - height, step * 0.72, height, style.Css("bar"), $"{row.Name}, {octave}: {Words.Number(100 * share, 0)}\u00A0%");
                if (octave == row.Leading) svg.Path($"M{Svg.N(x + (step * 0.14))} {Svg.N(floor - height)}h{Svg.N(step * 0.72)}", style.Css("ln")).Text(x + (step / 2), floor - height - 4, $"{Words.Number(100 * share, 0)}\u00A0%", "h-small", "middle");
            }
            svg.End();
        }
        var bottom = top + (results.Shares.Count * rowHeight);
        foreach (var (k, octave) in octaves.Index())
            sheet.Body.Text(left + ((k + 0.5) * step), bottom + 10, octave.NominalHertz < 1000 ? Words.Number(octave.NominalHertz, octave.NominalHertz < 100 && octave.NominalHertz % 1 != 0 ? 1 : 0) : Words.Number(octave.NominalHertz / 1000, 0) + "k", "h-tick", "middle");
        sheet.Body.Text(right, bottom + 27, "midband of the octave, Hz", "h-tick", "end");
        return sheet.Finish(bottom + 34, "Bars count what is left after the loss, weighted as the ear hears it: a band may be loud and carry little.", string.Join(' ', results.Shares.Select(s => s.Sentence)));
    }
}
