using Hushtrial.Signals.Recordings;

namespace Hushtrial.Trials.Screening;

/// <summary>How much louder the main track is than the safety track of the same microphone, from stretches in which neither is at its end.</summary>
/// <param name="Decibels">Main minus safety, dB.</param>
/// <param name="StandardUncertainty">Of that, dB.</param>
/// <param name="Stretches">Stretches of 125 ms that it rests on.</param>
/// <param name="Correlation">Median correlation of the two tracks in them: near 1 when it is the same microphone.</param>
internal sealed record SafetyGain(double Decibels, double StandardUncertainty, int Stretches, double Correlation)
{
    private const double StretchSeconds = 0.125;

    /// <summary>A stretch counts when no sample comes near to the largest of all: analogue stages bend before they clip.</summary>
    private const double Free = 0.7;

    /// <summary>Two seconds; fewer stretches give no median to rely on.</summary>
    private const int Fewest = 16;

    /// <summary>Steps of the gain and rounding are below this, dB.</summary>
    private const double LeastUncertainty = 0.005;

    /// <summary>Measures it over spans of a recording.</summary>
    /// <param name="samples">The recording.</param>
    /// <param name="main">Channel of the main track, from 0.</param>
    /// <param name="safety">Channel of the safety track, from 0.</param>
    /// <param name="spans">First frame and number of frames of each span.</param>
    /// <returns>Null with fewer than 16 stretches that can be used.</returns>
    /// <remarks>The ratio of a stretch is Σm²/Σms, means taken off: the own noise of the safety track, the larger one, is not correlated with the main track and drops out.</remarks>
    public static SafetyGain? Of(SampleSource samples, int main, int safety, IEnumerable<(long First, long Count)> spans)
    {
        var size = (int)(samples.SampleRate * StretchSeconds);
        var (m, s) = (new double[size], new double[size]);
        var stretches = new List<(double Peak, double Decibels, double Correlation)>();
        foreach (var (first, count) in spans)
            for (var at = first; at + size <= first + count; at += size)
            {
                samples.Read(main, at, m);
                samples.Read(safety, at, s);
                if (Stretch(m, s) is { } stretch) stretches.Add(stretch);
            }
        var largest = stretches.Select(x => x.Peak).DefaultIfEmpty().Max();
        var free = stretches.Where(x => x.Peak < Free * largest).ToList();
        if (free.Count < Fewest) return null;
        var ratios = free.Where(x => !double.IsNaN(x.Decibels)).Select(x => x.Decibels).ToList();
        var correlation = Robust.Median([.. free.Select(x => x.Correlation)]);
        if (ratios.Count < Fewest) return new(double.NaN, double.PositiveInfinity, free.Count, correlation);
        var median = Robust.Median(ratios);
        var spread = 1.4826 * Robust.Median([.. ratios.Select(r => Math.Abs(r - median))]);
        // The median of normal values is 1.2533 times as uncertain as their mean.
        return new(median, Math.Max(LeastUncertainty, 1.2533 * spread / Math.Sqrt(ratios.Count)), ratios.Count, correlation);
    }

    private static (double Peak, double Decibels, double Correlation)? Stretch(double[] m, double[] s)
    {
        var (meanM, meanS) = (m.Average(), s.Average());
        double mm = 0, ms = 0, ss = 0, peak = 0;
        for (var i = 0; i < m.Length; i++)
        {
            var (a, b) = (m[i] - meanM, s[i] - meanS);
            mm += a * a;
            ms += a * b;
            ss += b * b;
            peak = Math.Max(peak, Math.Abs(m[i]));
        }
        return mm > 0 && ss > 0 ? (peak, ms > 0 ? 20 * Math.Log10(mm / ms) : double.NaN, ms / Math.Sqrt(mm * ss)) : null;
    }
}
