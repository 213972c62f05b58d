using Hushtrial.Quantities;

namespace Hushtrial.Reporting.Figures;

/// <summary>One band of one curve.</summary>
/// <param name="Band">The band.</param>
/// <param name="Value">Estimate, dB; null when it cannot be said.</param>
/// <param name="Low">Lower 95 % limit, dB.</param>
/// <param name="High">Upper 95 % limit, dB.</param>
/// <param name="Valid">False when the band is not trusted.</param>
/// <param name="Bound">True when only a bound is known.</param>
/// <param name="Title">The point in words.</param>
internal sealed record BandPoint(Band Band, double? Value, double Low, double High, bool Valid, bool Bound, string Title);

/// <summary>One donning's value in one band; <paramref name="Aside"/> is how far beside the midband it is drawn, in bandwidths, so that dots do not hide each other.</summary>
internal sealed record BandDot(Band Band, double Value, string Title, double Aside);

/// <summary>One curve of a panel with its dots.</summary>
internal sealed record BandSeries(string Label, SeriesStyle Style, IReadOnlyList<BandPoint> Points, IReadOnlyList<BandDot> Dots);

/// <summary>One panel: a device, its curves, and the bands that are not trusted with the reason.</summary>
internal sealed record BandPanel(string Title, string? Note, IReadOnlyList<BandSeries> Series, IReadOnlyDictionary<Band, string> Untrusted);

/// <summary>Draws panels of curves over frequency, all with the same axes.</summary>
/// <param name="Frequencies">The frequency axis of every panel.</param>
/// <param name="Values">The value axis of every panel.</param>
/// <param name="ValueLabel">Words above the value axis, with the unit.</param>
/// <param name="BoundUp">True when a bound is a lower one (mark points up), false for an upper one.</param>
internal sealed record BandPanels(FrequencyScale Frequencies, ValueScale Values, string ValueLabel, bool BoundUp)
{
    private const double AxisRoom = 34;

    /// <summary>Draws the panels in rows; returns the y below them.</summary>
    public double Draw(Sheet sheet, IReadOnlyList<BandPanel> panels, double top)
    {
        var columns = sheet.Narrow || panels.Count == 1 ? 1 : panels.Count <= 6 ? 2 : 3;
        var width = (sheet.Width - ((columns - 1) * 28)) / columns;
        var plotHeight = columns == 1 && !sheet.Narrow ? 260 : columns == 3 ? 118 : sheet.Narrow ? 178 : 160;
        var y = top;
        foreach (var row in panels.Chunk(columns))
        {
            var headers = row.Select(p => Header(p, width)).ToList();
            var headerLines = headers.Max(h => h.Count);
            var titles = row.Select(p => TextMetrics.Wrap(p.Title, 12.5, width, 2, bold: true)).ToList();
            var titleRoom = (titles.Max(t => t.Count) - 1) * 16;
            var noteLines = row.Any(p => p.Note is not null) ? 1 : 0;
            var plotTop = y + titleRoom + 20 + (headerLines * 17) + (noteLines * 15) + 24;
            for (var i = 0; i < row.Length; i++)
            {
                var left = i * (width + 28);
                DrawHeader(sheet.Body, row[i], titles[i], headers[i], left, y, titleRoom, width);
                Plot(sheet, row[i], left + AxisRoom, left + width - 6, plotTop, plotTop + plotHeight);
            }
            y = plotTop + plotHeight + 44;
        }
        return y - 4;
    }

    private static List<List<BandSeries>> Header(BandPanel panel, double width)
    {
        var lines = new List<List<BandSeries>> { new() };
        double x = 0;
        foreach (var series in panel.Series)
        {
            var room = 40 + TextMetrics.Width(series.Label, 12) + 14;
            if (x > 0 && x + room > width)
            {
                lines.Add([]);
                x = 0;
            }
            lines[^1].Add(series);
            x += room;
        }
        return lines;
    }

    private static void DrawHeader(Svg svg, BandPanel panel, IReadOnlyList<string> title, List<List<BandSeries>> lines, double left, double y, double titleRoom, double width)
    {
        for (var i = 0; i < title.Count; i++) svg.Text(left, y + 14 + (i * 16), title[i], "h-head", title: panel.Title);
        var lineY = y + titleRoom + 32;
        foreach (var line in lines)
        {
            var x = left;
            foreach (var series in line)
            {
                Sample(svg, series.Style, x, lineY - 4);
                var label = TextMetrics.Fit(series.Label, 12, width - 40);
                svg.Text(x + 36, lineY, label, "h-sub", title: series.Label);
                x += 40 + TextMetrics.Width(label, 12) + 14;
            }
            lineY += 17;
        }
        if (panel.Note is not null) svg.Text(left, lineY, TextMetrics.Fit(panel.Note, 11, width, bold: true), "h-small h-strong", title: panel.Note);
    }

    /// <summary>Line and mark of a style, 30 px wide.</summary>
    internal static void Sample(Svg svg, SeriesStyle style, double x, double y)
    {
        svg.Path($"M{Svg.N(x)} {Svg.N(y)}h30", style.Css("ln"), dash: style.Dash);
        if (style.Colour >= 0) svg.Path(style.MarkPath(x + 15, y, 4), style.Css(style.Open ? "op" : "fl"));
    }

    private void Plot(Sheet sheet, BandPanel panel, double left, double right, double top, double bottom)
    {
        var svg = sheet.Body;
        double X(Band band) => Frequencies.Place(band.ExactMidband.Hertz, left, right);
        double Y(double value) => Values.Place(value, bottom, top);

        svg.Text(left - AxisRoom + 2, top - 8, ValueLabel, "h-tick");
        foreach (var tick in Values.Ticks())
        {
            svg.Line(left, Y(tick), right, Y(tick), tick == 0 ? "h-zero" : "h-grid");
            svg.Text(left - 6, Y(tick) + 4, Wording.Words.Number(tick, 0), "h-tick", "end");
        }
        var ticks = Frequencies.Ticks().ToList();
        var every = ticks.Count * 34 > right - left ? 2 : 1;
        for (var i = 0; i < ticks.Count; i++)
        {
            var x = Frequencies.Place(ticks[i].Hertz, left, right);
            svg.Line(x, bottom, x, bottom + 4, "h-axis");
            // The labels that stay include 1k whichever way the axis begins.
            var fromOneKilohertz = (int)Math.Round(Math.Log10(ticks[i].Hertz / 1000) / 0.3);
            if (fromOneKilohertz % every == 0) svg.Text(x, bottom + 16, ticks[i].Label, "h-tick", "middle");
        }
        svg.Text(right, bottom + 31, "Frequency, Hz", "h-tick", "end");
        foreach (var (band, reason) in panel.Untrusted.OrderBy(u => u.Key))
        {
            double l = Math.Max(left, Frequencies.Place(band.LowerEdge.Hertz, left, right)), r = Math.Min(right, Frequencies.Place(band.UpperEdge.Hertz, left, right));
            svg.Hatched(l, top, r - l, bottom - top, $"{band}: not trusted. {reason}");
        }
        svg.Line(left, bottom, right, bottom, "h-axis");
        foreach (var series in panel.Series.Where(s => s.Points.Any(p => p.High > p.Low))) Interval(svg, series, X, Y);
        foreach (var series in panel.Series) Curve(svg, series, X, Y);
        foreach (var series in panel.Series)
            foreach (var (band, value, title, aside) in series.Dots)
                svg.Circle(X(band) + (aside * (Frequencies.Place(band.UpperEdge.Hertz, left, right) - Frequencies.Place(band.LowerEdge.Hertz, left, right))),
                    Y(value), 1.8, series.Style.Css("dot"), title);
    }

    private static void Interval(Svg svg, BandSeries series, Func<Band, double> x, Func<double, double> y)
    {
        foreach (var run in Runs(series.Points))
        {
            var upper = string.Join('L', run.Select(p => $"{Svg.N(x(p.Band))} {Svg.N(y(p.High))}"));
            var lower = string.Join('L', run.Select(p => $"{Svg.N(x(p.Band))} {Svg.N(y(p.Low))}"));
            if (run.Count == 1)
            {
                svg.Path($"M{Svg.N(x(run[0].Band))} {Svg.N(y(run[0].Low))}V{Svg.N(y(run[0].High))}", series.Style.Css("thin"), dash: series.Style == SeriesStyle.Published ? "3 3" : null);
                continue;
            }
            var back = string.Join('L', run.Reverse().Select(p => $"{Svg.N(x(p.Band))} {Svg.N(y(p.Low))}"));
            svg.Path($"M{upper}L{back}z", series.Style.Css("bd"), $"{series.Label}: 95 % interval, each band on its own");
            svg.Path($"M{upper}M{lower}", series.Style.Css("ed"), dash: series.Style.Dash);
        }
    }

    private void Curve(Svg svg, BandSeries series, Func<Band, double> x, Func<double, double> y)
    {
        foreach (var run in Runs(series.Points).Where(r => r.Count > 1))
            svg.Path("M" + string.Join('L', run.Select(p => $"{Svg.N(x(p.Band))} {Svg.N(y(p.Value!.Value))}")), series.Style.Css("ln"), dash: series.Style.Dash);
        foreach (var point in series.Points)
        {
            if (point.Value is not { } value) continue;
            double px = x(point.Band), py = y(value);
            if (!point.Valid) svg.Path(SeriesStyle.MarkPath(Mark.Cross, px, py, 2.6), "h-no", point.Title);
            else if (point.Bound)
            {
                var up = BoundUp ? -1 : 1;
                svg.Path($"M{Svg.N(px - 4)} {Svg.N(py)}h8M{Svg.N(px)} {Svg.N(py)}v{Svg.N(up * 10)}m-3.5 {Svg.N(-up * 4)}l3.5 {Svg.N(up * 4)}l3.5 {Svg.N(-up * 4)}", series.Style.Css("thin"), point.Title);
            }
            else if (series.Style.Colour >= 0) svg.Path(series.Style.MarkPath(px, py, series.Points.Count > 12 ? 2.6 : 3.4), series.Style.Css(series.Style.Open ? "op" : "fl"), point.Title);
            else svg.Circle(px, py, 1.8, series.Style.Css("fl"), point.Title);
        }
    }

    /// <summary>Stretches of neighbouring bands that may be joined by a line: trusted, known, more than a bound, no band missing between.</summary>
    private static IEnumerable<IReadOnlyList<BandPoint>> Runs(IReadOnlyList<BandPoint> points)
    {
        var run = new List<BandPoint>();
        foreach (var point in points.OrderBy(p => p.Band))
        {
            var usable = point is { Valid: true, Bound: false, Value: not null };
            if (run.Count > 0 && (!usable || point.Band.Index != run[^1].Band.Index + 1))
            {
                yield return run;
                run = [];
            }
            if (usable) run.Add(point);
        }
        if (run.Count > 0) yield return run;
    }
}
