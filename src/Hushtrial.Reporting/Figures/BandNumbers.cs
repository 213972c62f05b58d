using Hushtrial.Quantities;
using Hushtrial.Reporting.Tables;
using Hushtrial.Reporting.Wording;

namespace Hushtrial.Reporting.Figures;

/// <summary>The numbers of a figure over frequency: a row for each band, a column for each curve, as drawn.</summary>
internal static class BandNumbers
{
    /// <summary>The table of some panels.</summary>
    /// <param name="figure">Name of the figure; the table's identity follows from it.</param>
    /// <param name="caption">What it holds.</param>
    /// <param name="panels">The panels; a curve that stands in several of them has one column.</param>
    /// <param name="boundUp">Whether a bound says 'at least'; else 'at most'.</param>
    public static ReportTable Of(string figure, string caption, IReadOnlyList<BandPanel> panels, bool boundUp)
    {
        var curves = panels.SelectMany(p => p.Series.Select(s => (Panel: p, Series: s))).DistinctBy(c => c.Series, ReferenceEqualityComparer.Instance).ToList();
        var shared = panels.Count > 1 ? panels[0].Series.Where(s => panels.All(p => p.Series.Contains(s))).ToHashSet<object>(ReferenceEqualityComparer.Instance) : [];
        // Published figures come in octaves; an octave is not the third of the same name.
        var widths = curves.SelectMany(c => c.Series.Points).Select(p => p.Band).Distinct().Order().GroupBy(b => b.Fraction).OrderByDescending(g => g.Count()).ToList();
        return new("numbers-" + figure, caption, [new("Band"), .. curves.Select(c => shared.Contains(c.Series) ? new Column(c.Series.Label, null, true) : new Column(c.Panel.Title, c.Series.Label, true))],
            [.. widths.SelectMany(w => w.Select(b => new Row([b.ToString(), .. curves.Select(c => Of(c.Series.Points.FirstOrDefault(p => p.Band == b), boundUp))]))
                .Prepend(widths.Count > 1 ? new Row([w.Key == BandFraction.ThirdOctave ? "One-third octaves" : "Octaves"]) : null).OfType<Row>())],
            ["In dB, the 95\u00A0% interval below; each band on its own."]);
    }

    private static Cell Of(BandPoint? point, bool boundUp) => point?.Value is not { } value ? Cell.Nothing
        : !point.Valid ? new(Words.Number(value), "not trusted", Muted: true)
        : point.Bound ? new((boundUp ? "≥ " : "≤ ") + Words.Number(value), boundUp ? "at least" : "at most")
        : point.Low < point.High ? new(Words.Number(value), Words.Range(point.Low, point.High))
        : new Cell(Words.Number(value));
}
