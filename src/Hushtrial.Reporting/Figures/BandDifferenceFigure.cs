using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>Difference by band of pairs that differ in one thing alone: one panel per pair, same axes in all.</summary>
internal static class BandDifferenceFigure
{
    private const int PanelsPerFigure = 12;

    /// <summary>Pairs of one device that differ in one thing alone and have bands, in the order of the pairs.</summary>
    public static IReadOnlyList<PairResult> Pairs(TrialResults results) =>
        [.. results.Pairs.Where(p => p.Only is not null && !IsActivePart(results, p) && p.Bands.Any(b => b.Valid && b.In(results.Document.Scope) is not null))];

    /// <summary>Whether a pair is an active part, which has a figure and a table of its own.</summary>
    public static bool IsActivePart(TrialResults results, PairResult pair) => pair.Only == OnlyDifference.Mode
        && results.ActiveParts.Any(p => (p.Condition, p.Off) == (pair.First, pair.Second) || (p.Condition, p.Off) == (pair.Second, pair.First));

    /// <summary>Draws it; nothing without such a pair.</summary>
    public static IEnumerable<Figure> Draw(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        var scope = results.Document.Scope;
        var panels = Pairs(results).Select(p => Panel(results, styles, p, scope)).ToList();
        if (panels.Count == 0) yield break;
        var bands = Pairs(results).SelectMany(p => p.Bands).Select(b => b.Band).ToList();
        var values = panels.SelectMany(p => p.Series).SelectMany(s => s.Points).Where(p => p is { Value: not null, Valid: true }).SelectMany(p => new[] { p.Low, p.High });
        var axes = new BandPanels(FrequencyScale.Covering(bands), ValueScale.Covering(values, 6, withZero: true), "Difference, dB", BoundUp: true);
        var parts = panels.Chunk(PanelsPerFigure).ToList();
        for (var i = 0; i < parts.Count; i++)
        {
            var sheet = new Sheet(i == 0 ? "difference-by-band" : FormattableString.Invariant($"difference-by-band-{i + 1}"), "What one thing changes, band by band" + Words.PartOf(i, parts.Count),
                $"Difference of the {Words.Quantity(results.Document.Quantity).ToLowerInvariant()} of two conditions of one device; above 0 the first named keeps out more. "
                + $"Curves and 95\u00A0% intervals {Words.ScopeLong(scope)}, each band on its own.", width);
            var y = axes.Draw(sheet, parts[i], sheet.Top + 6);
            if (parts[i].Any(p => p.Untrusted.Count > 0))
            {
                var legend = new Legend();
                legend.Add(22, "band not trusted in one of the two", (svg, x, at) => svg.Hatched(x, at - 6, 22, 12));
                y = legend.Draw(sheet.Body, 0, y + 8, sheet.Width);
            }
            yield return sheet.Finish(y, "The same axes for every pair. An interval that lies off 0 speaks of that band alone; sentences about several bands use wider limits.",
                Describe(parts[i])) with { Numbers = BandNumbers.Of(i == 0 ? "difference-by-band" : FormattableString.Invariant($"difference-by-band-{i + 1}"), $"Difference in each band, {Words.Scope(scope)}", parts[i], boundUp: true) };
        }
    }

    private static string Describe(IEnumerable<BandPanel> panels) => string.Join(' ', panels.Select(p =>
    {
        var known = p.Series[0].Points.Where(x => x is { Value: not null, Valid: true }).ToList();
        BandPoint least = known.MinBy(x => x.Value)!, most = known.MaxBy(x => x.Value)!;
        return $"{p.Title}, {p.Series[0].Label}: from {Words.Decibels(least.Value!.Value)} at {least.Band} to {Words.Decibels(most.Value!.Value)} at {most.Band}.";
    }));

    private static BandPanel Panel(TrialResults results, SeriesStyles styles, PairResult pair, EstimateScope scope)
    {
        ConditionResult first = Find(pair.First), second = Find(pair.Second);
        var (plus, minus, sign) = Turned(pair, first, second) ? (second, first, -1) : (first, second, 1);
        var label = $"{SeriesStyles.Kind(plus)} minus {SeriesStyles.Kind(minus)}";
        var points = pair.Bands.OrderBy(b => b.Band).Select(b => b.In(scope) is { } c
            ? new BandPoint(b.Band, sign * c.Value, sign > 0 ? c.Low : -c.High, sign > 0 ? c.High : -c.Low, b.Valid, false,
                $"{label}, {b.Band}: {Words.Signed(sign * c.Value)} dB (95\u00A0%: {Words.Range(sign > 0 ? c.Low : -c.High, sign > 0 ? c.High : -c.Low)})")
            : new BandPoint(b.Band, null, 0, 0, b.Valid, false, $"{label}, {b.Band}: cannot be said")).ToList();
        return new(plus.Device.Name, null, [new(label, styles[plus.Condition.WornWith.Count > minus.Condition.WornWith.Count || pair.Only == OnlyDifference.Mode ? plus : minus], points, [])],
            points.Where(p => !p.Valid).ToDictionary(p => p.Band, _ => "one of the two conditions is not trusted there"));

        ConditionResult Find(string id) => results.Conditions.First(c => c.Condition.Id == id);
    }

    /// <summary>Plain minus worn-with, so that a cost stands above 0; on minus off, so that a gain does.</summary>
    private static bool Turned(PairResult pair, ConditionResult first, ConditionResult second) => pair.Only == OnlyDifference.WornWith
        ? second.Condition.WornWith.Count == 0
        : second.Condition.Mode == "active" || (first.Condition.Mode == "passive" && second.Condition.Mode != "passive");
}
