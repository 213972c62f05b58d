namespace Hushtrial.Signals.Filters;

/// <summary>The linear-phase low-pass that halves a rate: every second value is worked out, for the frame in its middle.</summary>
/// <remarks>Kaiser-windowed half-band filter, 39 taps of which 18 are zero. What folds back onto frequencies up to a twelfth of the rate
/// before halving is 153 dB down, and there the gain is 1 to the same accuracy; from there it falls to one half at a quarter of the rate.</remarks>
internal static class HalfBand
{
    /// <summary>Taps that are not zero on each side of the middle, at odd distances.</summary>
    internal const int Pairs = 10;

    /// <summary>Frames the filter reaches to each side.</summary>
    internal const int Reach = (2 * Pairs) - 1;

    private const double KaiserShape = 16;

    /// <summary>Weights of the frames at the distances 1, 3, 5, …; the middle has one half.</summary>
    internal static double[] Taps { get; } = Design();

    /// <summary>Gain at a frequency in cycles per frame before halving; the phase is that of no delay.</summary>
    internal static double Gain(double frequency)
    {
        // cos 3x, cos 5x, … from the two before, each with its step of 2x.
        var (step, before, cosine) = (2 * Math.Cos(4 * Math.PI * frequency), Math.Cos(2 * Math.PI * frequency), Math.Cos(2 * Math.PI * frequency));
        var gain = 0.5;
        foreach (var tap in Taps)
        {
            gain += 2 * tap * cosine;
            (before, cosine) = (cosine, (step * cosine) - before);
        }
        return gain;
    }

    private static double[] Design()
    {
        var taps = new double[Pairs];
        var sum = 0.0;
        for (var i = 0; i < Pairs; i++)
        {
            var distance = (2 * i) + 1;
            var place = distance / (2.0 * Pairs);
            taps[i] = (i % 2 == 0 ? 1 : -1) / (Math.PI * distance) * BesselI0(KaiserShape * Math.Sqrt(1 - (place * place)));
            sum += 2 * taps[i];
        }
        for (var i = 0; i < Pairs; i++) taps[i] *= 0.5 / sum;
        return taps;
    }

    private static double BesselI0(double x)
    {
        var (sum, term) = (1.0, 1.0);
        for (var k = 1; term > 1e-18 * sum; k++)
        {
            term *= x / (2 * k) * (x / (2 * k));
            sum += term;
        }
        return sum;
    }
}
