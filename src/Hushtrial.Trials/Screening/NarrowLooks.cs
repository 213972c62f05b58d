using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Trials.Screening;

/// <summary>What a narrow-band look at one claimed frequency shows in one channel of one take.</summary>
/// <param name="Hertz">The claimed frequency, Hz.</param>
/// <param name="NoiseLevel">Level of the noise within a twelfth of an octave either side, tones left out, dB as the take's; null when tones leave none.</param>
/// <param name="ToneHertz">Frequency of the strongest tone in the one-third octave that holds it, Hz; null without a tone.</param>
/// <param name="ToneExcess">Level of that one-third octave less its level without the tones' lines, dB; 0 without a tone.</param>
/// <param name="CentroidHertz">Energy centroid of that one-third octave, Hz.</param>
public sealed record NarrowLook(double Hertz, double? NoiseLevel, double? ToneHertz, double ToneExcess, double CentroidHertz);

/// <summary>Looks at a claimed frequency in a narrow-band spectrum: is there a tone, where, and how loud is the noise beside it?</summary>
/// <remarks>A line is a tone's where it stands 9 dB above the median line of the one-third octave and its neighbours; it is left out with three lines either side (own rule).
/// The noise is the mean density of the lines that are left, so that a line left out in one take and not in another moves nothing. The microphone's own noise is not taken
/// off here: a band in which it matters is not trusted anyway.</remarks>
public static class NarrowLooks
{
    private const double ToneOverMedian = 8;
    private const int LinesBeside = 3;
    // Twenty lines in a sixth of an octave.
    private const double ResolutionPerHertz = 0.006;

    /// <summary>The look; null when the span is too short for it, or holds no sound there.</summary>
    /// <param name="samples">The recording.</param>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="first">First frame.</param>
    /// <param name="count">Frames.</param>
    /// <param name="hertz">The claimed frequency, Hz.</param>
    /// <param name="fullScale">Level of 0 dB re full scale, dB.</param>
    public static NarrowLook? At(SampleSource samples, int channel, long first, long count, double hertz, double fullScale)
    {
        ArgumentNullException.ThrowIfNull(samples);
        var points = 1024;
        while (points < 262_144 && samples.SampleRate / (double)points > ResolutionPerHertz * hertz) points *= 2;
        if (count < 2L * points || hertz * Math.Pow(2, 1 / 3.0) > samples.SampleRate / 2.0 || Band.ThirdOctaves.Where(b => Holds(b, hertz)).Select(b => (Band?)b).FirstOrDefault() is not { } band) return null;
        var spectrum = NarrowBand.Spectrum(samples, channel, first, count, points);
        int Line(double f) => (int)Math.Round(f / spectrum.Resolution);
        var (low, high) = (Line(band.LowerEdge.Hertz), Line(band.UpperEdge.Hertz));
        var (widest, last) = (Line(band.LowerEdge.Hertz / 1.26), Math.Min(Line(band.UpperEdge.Hertz * 1.26), spectrum.Density.Count - 1));
        var around = Enumerable.Range(widest, last - widest + 1).Select(k => spectrum.Density[k]).Order().ToList();
        var median = around[around.Count / 2];
        if (!(median > 0)) return null;
        var tonal = new bool[last + 1];
        for (var k = widest; k <= last; k++)
            if (spectrum.Density[k] > ToneOverMedian * median)
                for (var j = Math.Max(0, k - LinesBeside); j <= Math.Min(last, k + LinesBeside); j++) tonal[j] = true;
        var lines = Enumerable.Range(low, high - low + 1).ToList();
        var free = lines.Where(k => !tonal[k]).Select(k => spectrum.Density[k]).DefaultIfEmpty(median).Average();
        var energy = lines.Sum(k => spectrum.Density[k]);
        var excess = lines.Any(k => tonal[k]) ? 10 * Math.Log10(Math.Max(1, energy / (free * lines.Count))) : 0;
        var (from, to) = (hertz * Math.Pow(2, -1 / 12.0), hertz * Math.Pow(2, 1 / 12.0));
        var beside = Enumerable.Range(Line(from), Line(to) - Line(from) + 1).Where(k => k <= last && !tonal[k]).Select(k => spectrum.Density[k]).ToList();
        return new(hertz, beside.Count < 5 ? null : (10 * Math.Log10(beside.Average() * (to - from))) + fullScale, Tone(spectrum, lines, tonal), excess, lines.Sum(k => k * spectrum.Resolution * spectrum.Density[k]) / energy);
    }

    // The cluster of lines with most energy, by its energy's centre.
    private static double? Tone(NarrowBandSpectrum spectrum, List<int> lines, bool[] tonal)
    {
        (double Energy, double Hertz) best = (0, 0);
        for (var i = 0; i < lines.Count; i++)
        {
            if (!tonal[lines[i]]) continue;
            double energy = 0, moment = 0;
            for (; i < lines.Count && tonal[lines[i]]; i++)
            {
                energy += spectrum.Density[lines[i]];
                moment += spectrum.Density[lines[i]] * lines[i] * spectrum.Resolution;
            }
            if (energy > best.Energy) best = (energy, moment / energy);
        }
        return best.Energy > 0 ? best.Hertz : null;
    }

    private static bool Holds(Band band, double hertz) => hertz >= band.LowerEdge.Hertz && hertz < band.UpperEdge.Hertz;
}
