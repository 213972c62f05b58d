using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Reporting.Figures;

/// <summary>A scale of values with its ticks. Limits are multiples of the step.</summary>
internal sealed record ValueScale(double Low, double High, double Step)
{
    /// <summary>A scale that holds all values, with about the wished number of steps of 1, 2, 5 or 10 dB.</summary>
    /// <param name="values">Everything that will be drawn; when empty 0 to 10.</param>
    /// <param name="steps">About how many steps.</param>
    /// <param name="withZero">Whether 0 belongs to it.</param>
    public static ValueScale Covering(IEnumerable<double> values, int steps, bool withZero)
    {
        var all = values.Where(double.IsFinite).ToList();
        if (withZero || all.Count == 0) all.Add(0);
        double low = all.Min(), high = all.Max();
        if (high - low < 1) (low, high) = withZero && low >= 0 ? (low, low + 10) : (low - 5, high + 5);
        double[] choices = [1, 2, 5, 10, 20, 50, 100];
        var step = choices.FirstOrDefault(c => (high - low) / c <= steps, 100);
        return new(Math.Floor(low / step) * step, Math.Ceiling(high / step) * step, step);
    }

    /// <summary>The ticks, rising.</summary>
    public IEnumerable<double> Ticks()
    {
        var n = (int)Math.Round((High - Low) / Step);
        for (var i = 0; i <= n; i++) yield return Low + (i * Step);
    }

    /// <summary>Where a value lies between <paramref name="atLow"/> and <paramref name="atHigh"/>; values outside are held at the edge.</summary>
    public double Place(double value, double atLow, double atHigh) =>
        atLow + ((Math.Clamp(value, Low, High) - Low) / (High - Low) * (atHigh - atLow));
}

/// <summary>A logarithmic scale of frequency from the lower edge of the first band to the upper edge of the last.</summary>
/// <remarks>Positions are exact midbands (IEC 61260-1:2014, base ten); labels are the preferred octave frequencies of ISO 266.</remarks>
internal sealed record FrequencyScale(Band First, Band Last)
{
    /// <summary>A scale that holds all bands; 63 Hz to 8 kHz when there is none.</summary>
    public static FrequencyScale Covering(IEnumerable<Band> bands)
    {
        var all = bands.Distinct().Order().ToList();
        return all.Count == 0 ? new(Band.Octave(-4), Band.Octave(3)) : new(all[0], all[^1]);
    }

    /// <summary>Where a frequency lies between <paramref name="left"/> and <paramref name="right"/>.</summary>
    public double Place(double hertz, double left, double right)
    {
        double low = Math.Log10(First.LowerEdge.Hertz), high = Math.Log10(Last.UpperEdge.Hertz);
        return left + ((Math.Log10(hertz) - low) / (high - low) * (right - left));
    }

    /// <summary>Octave ticks with their labels: 31.5, 63, 125 … 16k.</summary>
    public IEnumerable<(double Hertz, string Label)> Ticks() => Enumerable.Range(-6, 12).Select(Band.Octave)
        .Where(o => o.ExactMidband.Hertz > First.LowerEdge.Hertz && o.ExactMidband.Hertz < Last.UpperEdge.Hertz)
        .Select(o => (o.ExactMidband.Hertz, Label(o.NominalHertz)));

    private static string Label(double nominal) => nominal < 1000
        ? nominal.ToString("0.#", CultureInfo.InvariantCulture)
        : (nominal / 1000).ToString("0.##", CultureInfo.InvariantCulture) + "k";
}
