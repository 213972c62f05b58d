using Hushtrial.Quantities;

namespace Hushtrial.Trials.Synthesis;

/// <summary>What a perfect instrument would read of a stated cabin behind a stated loss: integrals over frequency, no samples.</summary>
/// <remarks>The bands are those of a sixth-order Butterworth band-pass (the prototype whose class 1 realisation the level analysis uses),
/// so that the truth of a band under a steep loss contains the same neighbours.</remarks>
public static class TruthIntegration
{
    private const int PointsPerThird = 24;
    private static readonly (double Hertz, double Width, double A, double C)[] _grid = MakeGrid();
    private static readonly Dictionary<Band, double[]> _responses = Band.ThirdOctaves.ToDictionary(b => b, b => Array.ConvertAll(_grid, g => BandResponse(b, g.Hertz)));

    /// <summary>Levels of the 31 one-third octaves, dB.</summary>
    public static IReadOnlyDictionary<Band, double> ThirdOctaves(CabinNoise cabin, Func<double, double> loss)
    {
        // What arrives at each frequency is the same for all bands.
        var arriving = Array.ConvertAll(_grid, g => cabin.Density(g.Hertz) * g.Width * Math.Pow(10, -loss(g.Hertz) / 10));
        var tones = cabin.Tones.Select(t => (t.Hertz, Power: Math.Pow(10, (t.Level - loss(t.Hertz)) / 10))).ToArray();
        return Band.ThirdOctaves.ToDictionary(b => b, band =>
        {
            var (sum, response) = (0.0, _responses[band]);
            for (var i = 0; i < arriving.Length; i++) sum += arriving[i] * response[i];
            foreach (var (hertz, power) in tones) sum += power * BandResponse(band, hertz);
            return 10 * Math.Log10(sum);
        });
    }

    /// <summary>A- or C-weighted or flat (20 Hz to 20 kHz) level, dB.</summary>
    public static double Level(CabinNoise cabin, Func<double, double> loss, FrequencyWeighting weighting)
    {
        double Weight(double f) => Math.Pow(10, Weightings.At(weighting, Frequency.FromHertz(f)).Decibels / 10);
        var sum = 0.0;
        foreach (var (f, width, a, c) in _grid)
            sum += cabin.Density(f) * width * Math.Pow(10, -loss(f) / 10) * (weighting == FrequencyWeighting.A ? a : weighting == FrequencyWeighting.C ? c : 1);
        foreach (var tone in cabin.Tones)
            sum += Math.Pow(10, (tone.Level - loss(tone.Hertz)) / 10) * Weight(tone.Hertz);
        return 10 * Math.Log10(sum);
    }

    /// <summary>Power response of the band-pass prototype at a frequency; 1 at the midband.</summary>
    private static double BandResponse(Band band, double f)
    {
        var mid = band.ExactMidband.Hertz;
        var x = ((f / mid) - (mid / f)) / ((band.UpperEdge.Hertz / mid) - (mid / band.UpperEdge.Hertz));
        return 1 / (1 + (x * x * (x * x) * (x * x)));
    }

    private static (double, double, double, double)[] MakeGrid()
    {
        var ratio = Math.Pow(10, 0.1 / PointsPerThird);
        var points = new List<(double, double, double, double)>();
        for (var f = 12.0; f < 22_000; f *= ratio)
        {
            var hertz = Frequency.FromHertz(f);
            points.Add((f, f * (Math.Sqrt(ratio) - (1 / Math.Sqrt(ratio))),
                Math.Pow(10, Weightings.At(FrequencyWeighting.A, hertz).Decibels / 10),
                Math.Pow(10, Weightings.At(FrequencyWeighting.C, hertz).Decibels / 10)));
        }
        return [.. points];
    }
}
