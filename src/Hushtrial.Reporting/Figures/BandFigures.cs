using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>The two pictures over frequency: the spectrum at the ear, and the loss per band. One panel per device, same axes in all.</summary>
internal static class BandFigures
{
    private const int PanelsPerFigure = 12;

    /// <summary>Loss per band; several figures when there are more devices than fit one page.</summary>
    public static IEnumerable<Figure> Loss(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        var scope = results.Document.Scope;
        var shown = results.Conditions.Where(c => c.Loss.Bands.Any(b => b.Effect.In(scope) is not null)).ToList();
        if (shown.Count == 0) yield break;
        var panels = Devices(shown).Select(d => Panel(d, c => Series(c, styles, scope, c.Loss, level: false), null)).ToList();
        var axes = new BandPanels(Frequencies(shown.SelectMany(c => c.Loss.Bands)), Values(panels, withZero: true), $"{Words.Quantity(results.Document.Quantity)}, dB", BoundUp: true);
        var name = Words.Quantity(results.Document.Quantity);
        var parts = panels.Chunk(PanelsPerFigure).ToList();
        for (var i = 0; i < parts.Count; i++)
        {
            var sheet = new Sheet(Part("loss-by-band", i), $"{name} in each band" + Words.PartOf(i, parts.Count),
                $"{name}: {Words.QuantityExplained(results.Document.Quantity)}, by {Fraction(shown)}; higher is better. "
                + $"Curves and 95\u00A0% intervals {Words.ScopeLong(scope)}, each band on its own.", width);
            var y = axes.Draw(sheet, parts[i], sheet.Top + 6);
            y = Key(parts[i], "one donning", "at least this (microphone noise reached)", bound: true, dots: true).Draw(sheet.Body, 0, y + 8, sheet.Width);
            yield return sheet.Finish(y, "The same axes for every device. A curve breaks where a band is not trusted.", Describe(parts[i], Words.QuantityLower(results.Document.Quantity)))
                with { Numbers = BandNumbers.Of(Part("loss-by-band", i), $"{name} in each band, {Words.Scope(scope)}", parts[i], boundUp: true) };
        }
    }

    /// <summary>The active part per band, where it is not the trial's own quantity.</summary>
    public static IEnumerable<Figure> ActiveParts(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        if (results.Document.Quantity == MeasuredQuantity.ActivePart) yield break;
        var scope = results.Document.Scope;
        var shown = results.ActiveParts.Where(p => p.Part.Bands.Any(b => b.Effect.In(scope) is not null))
            .Select(p => (Part: p, Condition: results.Conditions.FirstOrDefault(c => c.Condition.Id == p.Condition))).Where(p => p.Condition is not null).ToList();
        if (shown.Count == 0) yield break;
        var panels = shown.GroupBy(p => p.Condition!.Device.Id).Select(d =>
        {
            List<BandSeries> series = [.. d.Select(p => new BandSeries(SeriesStyles.Kind(p.Condition!), styles[p.Condition!], Points(p.Part.Part.Bands, scope, p.Part.Name, level: false), []))];
            return new BandPanel(d.First().Condition!.Device.Name, null, series, Untrusted(series));
        }).ToList();
        var axes = new BandPanels(Frequencies(shown.SelectMany(p => p.Part.Part.Bands)), Values(panels, withZero: true), "Active part, dB", BoundUp: true);
        var parts = panels.Chunk(PanelsPerFigure).ToList();
        for (var i = 0; i < parts.Count; i++)
        {
            var sheet = new Sheet(Part("active-part-by-band", i), "Active part in each band" + Words.PartOf(i, parts.Count),
                $"Active part: {Words.QuantityExplained(MeasuredQuantity.ActivePart)}; below 0 the electronics make it worse. Curves and 95\u00A0% intervals {Words.ScopeLong(scope)}, each band on its own.", width);
            var y = axes.Draw(sheet, parts[i], sheet.Top + 6);
            y = Key(parts[i], "", "at least this (microphone noise reached)", bound: true, dots: false).Draw(sheet.Body, 0, y + 8, sheet.Width);
            yield return sheet.Finish(y, "The seal of a donning is common to off and on and has cancelled.", Describe(parts[i], "active part"));
        }
    }

    /// <summary>Level at the ear: absolute levels where the trial is calibrated, the shape of the open-ear spectrum where it is not.</summary>
    public static IEnumerable<Figure> Spectrum(TrialResults results, SeriesStyles styles, FigureWidth width) =>
        results.Mode == TrialMode.Absolute ? Levels(results, styles, width) : Shape(results, width);

    private static IEnumerable<Figure> Levels(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        var scope = results.Document.Scope;
        var shown = results.Conditions.Where(c => c.EarLevel?.Bands.Any(b => b.Effect.In(scope) is not null) == true).ToList();
        var (reference, gap) = results switch
        {
            { Document.Quantity: MeasuredQuantity.LevelDifference } => ("outside microphone", "The outside microphone’s spectrum, mean of all takes and without an interval, stands in every panel; the gap between the curves is the level difference."),
            { OpenEarLevel.Bands.Count: > 0, Document.Quantity: MeasuredQuantity.InsertionLoss } => ("open ear", "The same open-ear spectrum stands in every panel; the gap between the curves is the loss."),
            { OpenEarLevel.Bands.Count: > 0 } => ("open ear", "The same open-ear spectrum stands in every panel."),
            _ => ("", "The gap between off and on of one device is its active part."),
        };
        var open = results.Outside is { Bands.Count: > 0 } outside
            ? new BandSeries(reference, SeriesStyle.OpenEar, [.. outside.Bands.OrderBy(b => b.Key).Select(b => new BandPoint(b.Key, b.Value, b.Value, b.Value, true, false, $"{reference}, {b.Key}: {Words.Decibels(b.Value)}"))], [])
            : results.OpenEarLevel is { Bands.Count: > 0 } o ? new BandSeries(reference, SeriesStyle.OpenEar, Points(o.Bands, scope, reference, level: true), []) : null;
        if (shown.Count == 0 && open is null) yield break;
        var panels = shown.Count == 0 ? [new BandPanel("Open ear", null, [open!], Untrusted([open!]))]
            : Devices(shown).Select(d => Panel(d, c => Series(c, styles, scope, c.EarLevel!, level: true), open)).ToList();
        var bands = shown.SelectMany(c => c.EarLevel!.Bands).Concat(results.OpenEarLevel?.Bands ?? []);
        var axes = new BandPanels(Frequencies(bands), Values(panels, withZero: false), "Level, dB re 20 µPa", BoundUp: false);
        var parts = panels.Chunk(PanelsPerFigure).ToList();
        for (var i = 0; i < parts.Count; i++)
        {
            var sheet = new Sheet(Part("spectrum-at-the-ear", i), (results.Outside is not null ? "Spectrum outside and at the ear under each device" : open is null ? "Spectrum at the ear under each device" : "Spectrum at the ear, open and under each device") + Words.PartOf(i, parts.Count),
                $"Unweighted sound pressure level as read at the ear microphone in the trial’s mean noise, by {Fraction(shown)}; lower is quieter. "
                + $"Curves and 95\u00A0% intervals {Words.ScopeLong(scope)}, each band on its own.", width);
            var y = axes.Draw(sheet, parts[i], sheet.Top + 6);
            y = Key(parts[i], "", "at most this (microphone noise reached)", bound: false, dots: false).Draw(sheet.Body, 0, y + 8, sheet.Width);
            yield return sheet.Finish(y, gap, Describe(parts[i], "level at the ear"))
                with { Numbers = BandNumbers.Of(Part("spectrum-at-the-ear", i), $"Level at the ear in each band, {Words.Scope(scope)}", parts[i], boundUp: false) };
        }
    }

    private static IEnumerable<Figure> Shape(TrialResults results, FigureWidth width)
    {
        if (results.OpenSpectrum.Count == 0) yield break;
        // Moving the curve so that its highest band is 0 takes away the recorder's arbitrary reference: only the shape is left.
        var highest = results.OpenSpectrum.Values.Max();
        var points = results.OpenSpectrum.OrderBy(b => b.Key).Select(b => new BandPoint(b.Key, b.Value - highest, b.Value - highest, b.Value - highest,
            true, false, $"open ear, {b.Key}: {Words.Decibels(b.Value - highest)} re the highest band")).ToList();
        var panel = new BandPanel("Open ear", null, [new("open ear", SeriesStyle.OpenEar, points, [])], new Dictionary<Band, string>());
        var sheet = new Sheet("spectrum-shape", "Shape of the noise at the open ear",
            "Unweighted band level at the open ear relative to its highest band. Not calibrated: the shape is known, the level is not. No interval is given for a shape.", width);
        var axes = new BandPanels(FrequencyScale.Covering(results.OpenSpectrum.Keys), ValueScale.Covering(points.Select(p => p.Value!.Value), 6, withZero: true), "dB re the highest band", BoundUp: false);
        var y = axes.Draw(sheet, [panel], sheet.Top + 6);
        yield return sheet.Finish(y, "It tells which bands the noise is made of.", Describe([panel], "relative level"));
    }

    private static string Part(string name, int i) => i == 0 ? name : FormattableString.Invariant($"{name}-{i + 1}");

    private static IEnumerable<List<ConditionResult>> Devices(IEnumerable<ConditionResult> conditions) => conditions.GroupBy(c => c.Device.Id).Select(g => g.ToList());

    private static BandPanel Panel(List<ConditionResult> device, Func<ConditionResult, BandSeries> series, BandSeries? open)
    {
        List<BandSeries> all = [.. open is null ? [] : new[] { open }, .. device.Select(series)];
        return new(device[0].Device.Name, device.Any(c => c.Predicted) ? "Published, not measured" : null, all, Untrusted(all));
    }

    private static Dictionary<Band, string> Untrusted(IEnumerable<BandSeries> series) => series.SelectMany(s => s.Points).Where(p => !p.Valid)
        .GroupBy(p => p.Band).ToDictionary(g => g.Key, g => string.Join("; ", g.Select(p => p.Title).Distinct(StringComparer.Ordinal)));

    private static BandSeries Series(ConditionResult condition, SeriesStyles styles, EstimateScope scope, SpectrumEffect effect, bool level)
    {
        var label = condition.Predicted ? "from published data" : SeriesStyles.Kind(condition);
        var dots = level ? [] : condition.FitsDetail.SelectMany((f, i) => f.Bands.OrderBy(b => b.Key)
            .Select(b => new BandDot(b.Key, b.Value, $"{condition.Name}, donning {f.Fit}, {b.Key}: {Words.Decibels(b.Value)}", Aside(i)))).ToList();
        return new(label, styles[condition], Points(effect.Bands, scope, condition.Name, level), dots);
    }

    /// <summary>Left and right of the mark in turn, at most 0.45 of a bandwidth away.</summary>
    private static double Aside(int donning) => (donning % 2 == 0 ? -1 : 1) * (0.28 + (0.17 * (donning / 2 % 2)));

    private static List<BandPoint> Points(IReadOnlyList<BandEffect> bands, EstimateScope scope, string name, bool level) =>
    [
        .. bands.OrderBy(b => b.Band).Select(b => b.Effect.In(scope) is { } e
            ? new BandPoint(b.Band, e.Value, e.Low, e.High, b.Valid, b.LowerBoundOnly, Title(name, b, e, level))
            : new BandPoint(b.Band, null, 0, 0, b.Valid, false, $"{name}, {b.Band}: {b.Reason ?? b.Effect.Reason ?? "cannot be said"}")),
    ];

    private static string Title(string name, BandEffect band, Estimate estimate, bool level)
    {
        var value = band.LowerBoundOnly ? $"{(level ? "at most" : "at least")} {Words.Decibels(estimate.Value)}" : Words.Estimate(estimate);
        return $"{name}, {band.Band}: {value}" + (band.Valid ? "" : ", not trusted") + (band.Reason is null ? "" : $" ({band.Reason})");
    }

    private static FrequencyScale Frequencies(IEnumerable<BandEffect> bands) => FrequencyScale.Covering(bands.Select(b => b.Band));

    private static ValueScale Values(IEnumerable<BandPanel> panels, bool withZero) => ValueScale.Covering(panels.SelectMany(p => p.Series)
        .SelectMany(s => s.Points.Where(p => p is { Value: not null, Valid: true }).SelectMany(p => p.Bound ? new[] { p.Value!.Value } : [p.Value!.Value, p.Low, p.High])
            .Concat(s.Dots.Select(d => d.Value))), 6, withZero);

    private static string Fraction(IEnumerable<ConditionResult> conditions) =>
        conditions.SelectMany(c => c.Loss.Bands).Any(b => b.Band.Fraction == BandFraction.ThirdOctave) ? "one-third octave" : "octave";

    private static Legend Key(IEnumerable<BandPanel> panels, string dotWords, string boundWords, bool bound, bool dots)
    {
        var all = panels.ToList();
        var legend = new Legend();
        var first = all.SelectMany(p => p.Series).First(s => s.Style.Colour >= 0 || all.Count == 1).Style;
        legend.Add(26, "95 % interval", (svg, x, y) => svg.Rect(x, y - 6, 26, 12, first.Css("bd")).Path($"M{Svg.N(x)} {Svg.N(y - 6)}h26m0 12h-26", first.Css("ed")));
        if (dots && all.SelectMany(p => p.Series).Any(s => s.Dots.Count > 0))
            legend.Add(10, dotWords, (svg, x, y) => svg.Circle(x + 5, y, 2, first.Css("dot")));
        if (all.Any(p => p.Untrusted.Count > 0))
            legend.Add(22, "band not trusted", (svg, x, y) => svg.Hatched(x, y - 6, 22, 12));
        if (all.SelectMany(p => p.Series).SelectMany(s => s.Points).Any(p => p.Bound))
            legend.Add(12, boundWords, (svg, x, y) =>
            {
                var up = bound ? -1 : 1;
                svg.Path($"M{Svg.N(x + 2)} {Svg.N(y - (up * 5))}h8M{Svg.N(x + 6)} {Svg.N(y - (up * 5))}v{Svg.N(up * 10)}m-3.5 {Svg.N(-up * 4)}l3.5 {Svg.N(up * 4)}l3.5 {Svg.N(-up * 4)}", first.Css("thin"));
            });
        if (all.Any(p => p.Note is not null))
            legend.Add(30, "published, not measured", (svg, x, y) => BandPanels.Sample(svg, SeriesStyle.Published, x, y));
        return legend;
    }

    private static string Describe(IEnumerable<BandPanel> panels, string what) => string.Join(' ', panels.Select(p =>
        $"{p.Title}{(p.Note is null ? "" : " (published, not measured)")}: " + string.Join("; ", p.Series.Select(s =>
        {
            var known = s.Points.Where(x => x is { Value: not null, Valid: true }).ToList();
            if (known.Count == 0) return $"{s.Label}: no trusted band";
            BandPoint least = known.MinBy(x => x.Value)!, most = known.MaxBy(x => x.Value)!;
            return $"{s.Label}: {what} from {Words.Decibels(least.Value!.Value)} at {least.Band} to {Words.Decibels(most.Value!.Value)} at {most.Band}";
        })) + (p.Untrusted.Count == 0 ? "." : $"; not trusted: {string.Join(", ", p.Untrusted.Keys.Order())}.")));
}
