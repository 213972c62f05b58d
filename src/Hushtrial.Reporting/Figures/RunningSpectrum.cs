using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;

namespace Hushtrial.Reporting.Figures;

/// <summary>The one-third-octave levels of a take while it is made: a line of steps on paper, of the width of a phone.</summary>
public static class RunningSpectrum
{
    private const double Width = 344, Height = 210, Left = 34, Right = Width - 6, Top = 24, Bottom = Height - 38;

    /// <summary>Draws it; the second ear is dashed.</summary>
    /// <param name="ears">Name of each ear, "" where there is one, and its one-third-octave levels, dB.</param>
    /// <param name="absolute">Whether they are sound pressure levels; else they are re full scale.</param>
    /// <returns>The svg element for a page that carries <see cref="FigureStyle.PageCss"/>; "" without any level.</returns>
    public static string Draw(IReadOnlyList<(string Name, IReadOnlyDictionary<Band, double> Bands)> ears, bool absolute)
    {
        ArgumentNullException.ThrowIfNull(ears);
        var values = ears.SelectMany(e => e.Bands.Values).ToList();
        if (values.Count == 0) return "";
        // Steps of 20 dB, and no finer: a scale that follows every second is no scale.
        var high = 20 * Math.Ceiling((values.Max() + 1) / 20);
        var scale = new ValueScale(high - 80, high, 20);
        var frequencies = FrequencyScale.Covering(ears.SelectMany(e => e.Bands.Keys));
        double Y(double value) => scale.Place(value, Bottom, Top);
        var svg = new Svg();
        svg.Text(2, 14, Unit(absolute), "h-tick");
        foreach (var tick in scale.Ticks())
        {
            svg.Line(Left, Y(tick), Right, Y(tick), "h-grid");
            svg.Text(Left - 6, Y(tick) + 4, Words.Number(tick, 0), "h-tick", "end");
        }
        foreach (var (i, (hertz, label)) in frequencies.Ticks().Index())
        {
            var x = frequencies.Place(hertz, Left, Right);
            svg.Line(x, Bottom, x, Bottom + 4, "h-axis");
            if (i % 2 == 1) svg.Text(x, Bottom + 16, label, "h-tick", "middle");
        }
        svg.Text(Right, Bottom + 31, "Frequency, Hz", "h-tick", "end");
        svg.Line(Left, Bottom, Right, Bottom, "h-axis");
        foreach (var (i, (name, bands)) in ears.Index())
        {
            var dash = i == 0 ? null : "4 3";
            svg.Path(Steps(bands, frequencies, Y), "h-ln h-ink", name.Length > 0 ? name : null, dash);
            if (name.Length == 0) continue;
            svg.Path($"M{Svg.N(Left + 100 + (i * 100))} 10h24", "h-ln h-ink", dash: dash).Text(Left + 130 + (i * 100), 14, name, "h-tick");
        }
        var loudest = ears[0].Bands.MaxBy(b => b.Value);
        var described = Phrasebook.Say($"One-third-octave levels of the take; the loudest band is {loudest.Key.NominalHertz} Hz with {Words.Decibels(loudest.Value)}.");
        return $"<svg class=\"h-fig\" viewBox=\"0 0 {Svg.N(Width)} {Svg.N(Height)}\" width=\"{Svg.N(Width)}\" height=\"{Svg.N(Height)}\" role=\"img\" aria-label=\"{Svg.Escape(described)}\">{svg}</svg>";
    }

    private static string Unit(bool absolute) => absolute ? "dB re 20 µPa, one-third octaves of this take" : "dB re full scale, one-third octaves of this take";

    private static string Steps(IReadOnlyDictionary<Band, double> bands, FrequencyScale frequencies, Func<double, double> y)
    {
        var path = new System.Text.StringBuilder();
        Band? before = null;
        foreach (var (band, level) in bands.OrderBy(b => b.Key))
        {
            var (from, to) = (frequencies.Place(band.LowerEdge.Hertz, Left, Right), frequencies.Place(band.UpperEdge.Hertz, Left, Right));
            path.Append(before is { } b && b.Index == band.Index - 1 ? "L" : "M").Append(Svg.N(from)).Append(' ').Append(Svg.N(y(level))).Append('H').Append(Svg.N(to));
            before = band;
        }
        return path.ToString();
    }
}
