using Hushtrial.Signals.Levels;

namespace Hushtrial.Trials.Alignment;

/// <summary>Where two fluctuations fit best over all offsets and some drifts, and how clearly.</summary>
/// <param name="Offset">Time of the reference at the start of the other, s.</param>
/// <param name="Drift">Of the other, as a fraction.</param>
/// <param name="Peak">Height of the best fit, in standard deviations of all fits.</param>
/// <param name="Second">Height of the best one at another offset.</param>
internal readonly record struct CoarseMatch(double Offset, double Drift, double Peak, double Second)
{
    /// <summary>Offsets closer than this are one fit, s: level fluctuations of a cabin last a second or two.</summary>
    private const double SamePeak = 8;

    private const double DriftStep = 100e-6;
    private const int DriftSteps = 5;

    /// <summary>Tries every offset that leaves enough in common.</summary>
    /// <param name="reference">The finer curve.</param>
    /// <param name="referenceSeconds">Its length, s.</param>
    /// <param name="other">The other curve.</param>
    /// <param name="otherSeconds">Its length, s.</param>
    /// <param name="step">Grid to compare on, s.</param>
    /// <param name="leastOverlap">Least common time, s.</param>
    public static CoarseMatch? Find(Fluctuation reference, double referenceSeconds, Fluctuation other, double otherSeconds, double step, double leastOverlap)
    {
        var a = Sampled(reference, referenceSeconds, step, 1);
        var size = 2;
        while (size < a.Length + (int)(otherSeconds / step) + 2) size *= 2;
        var fourier = new Fourier(size);
        var (ar, ai) = Spectrum(fourier, size, a);
        var fits = new List<(double Height, double Offset, double Drift)>();
        // In short recordings a drift is not seen on this grid.
        var steps = Math.Min(DriftSteps, (int)Math.Ceiling(Math.Min(referenceSeconds, otherSeconds) * DriftStep * DriftSteps / step));
        for (var d = -steps; d <= steps; d++)
        {
            var b = Sampled(other, otherSeconds, step, 1 + (d * DriftStep));
            Heights(fourier, ar, ai, a, b, step, leastOverlap, d * DriftStep, fits);
        }
        if (fits.Count < 16) return null;
        var sizes = fits.Select(f => Math.Abs(f.Height)).Order().ToArray();
        var sigma = 1.4826 * sizes[sizes.Length / 2];
        if (!(sigma > 0)) return null;
        var best = fits.MaxBy(f => f.Height);
        var second = fits.Where(f => Math.Abs(f.Offset - best.Offset) > SamePeak).Select(f => f.Height).DefaultIfEmpty().Max();
        return new(best.Offset, best.Drift, best.Height / sigma, second / sigma);
    }

    private static double[] Sampled(Fluctuation curve, double seconds, double step, double rate)
    {
        var values = new double[Math.Max(1, (int)(seconds * rate / step))];
        for (var i = 0; i < values.Length; i++)
            if (curve.Mean(i * step / rate, (i + 1) * step / rate) is var mean && !double.IsNaN(mean)) values[i] = mean;
        return values;
    }

    private static (double[] Real, double[] Imaginary) Spectrum(Fourier fourier, int size, double[] values)
    {
        var (real, imaginary) = (new double[size], new double[size]);
        values.CopyTo(real, 0);
        fourier.Transform(real, imaginary);
        return (real, imaginary);
    }

    /// <summary>Correlations by their significance, √overlap times r, for every lag.</summary>
    private static void Heights(Fourier fourier, double[] ar, double[] ai, double[] a, double[] b, double step, double leastOverlap, double drift, List<(double Height, double Offset, double Drift)> fits)
    {
        var size = ar.Length;
        var (br, bi) = Spectrum(fourier, size, b);
        for (var k = 0; k < size; k++)
            (br[k], bi[k]) = ((ar[k] * br[k]) + (ai[k] * bi[k]), -((ai[k] * br[k]) - (ar[k] * bi[k])));
        // The conjugate transformed forward is the inverse transform, conjugated; a real result needs no more.
        fourier.Transform(br, bi);
        var (sa, sb) = (Squares(a), Squares(b));
        for (var lag = -b.Length + 1; lag < a.Length; lag++)
        {
            var (from, to) = (Math.Max(0, lag), Math.Min(a.Length, lag + b.Length));
            if ((to - from) * step < leastOverlap) continue;
            var energy = (sa[to] - sa[from]) * (sb[to - lag] - sb[from - lag]);
            if (!(energy > 0)) continue;
            fits.Add((br[(lag + size) % size] / size / Math.Sqrt(energy) * Math.Sqrt(to - from), lag * step, drift));
        }
    }

    private static double[] Squares(double[] values)
    {
        var sums = new double[values.Length + 1];
        for (var i = 0; i < values.Length; i++) sums[i + 1] = sums[i] + (values[i] * values[i]);
        return sums;
    }
}
