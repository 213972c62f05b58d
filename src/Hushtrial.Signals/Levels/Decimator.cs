using System.Numerics;
using System.Runtime.InteropServices;

namespace Hushtrial.Signals.Levels;

/// <summary>Keeps the low frequencies of a signal at a rate near 3 kHz: a linear-phase low-pass, of whose output every n-th value is worked out.</summary>
/// <remarks>Blackman-windowed sinc, 16 input frames of the reduced rate long, cut-off at half the reduced rate: flat within 0.01 dB to 900 Hz,
/// and what folds back onto frequencies below 900 Hz is 74 dB down.</remarks>
internal sealed class Decimator
{
    private const double Target = 3000;
    private const int Lengths = 16;
    private readonly double[] _taps;

    internal Decimator(int rate)
    {
        Factor = FactorOf(rate);
        Rate = rate / (double)Factor;
        _taps = new double[Lengths * Factor];
        var sum = 0.0;
        for (var i = 0; i < _taps.Length; i++)
        {
            var x = (i - ((_taps.Length - 1) / 2.0)) / Factor;
            var phase = 2 * Math.PI * (i + 0.5) / _taps.Length;
            _taps[i] = (x == 0 ? 1 : Math.Sin(Math.PI * x) / (Math.PI * x)) * (0.42 - (0.5 * Math.Cos(phase)) + (0.08 * Math.Cos(2 * phase)));
            sum += _taps[i];
        }
        for (var i = 0; i < _taps.Length; i++) _taps[i] /= sum;
    }

    /// <summary>Input frames for one output value.</summary>
    internal int Factor { get; }

    /// <summary>Rate of the output, Hz.</summary>
    internal double Rate { get; }

    /// <summary>Input frames that one output value needs.</summary>
    internal int Length => _taps.Length;

    /// <summary>One output value from <see cref="Length"/> input frames.</summary>
    internal double At(ReadOnlySpan<double> samples)
    {
        var signal = MemoryMarshal.Cast<double, Vector<double>>(samples[.._taps.Length]);
        var taps = MemoryMarshal.Cast<double, Vector<double>>(_taps.AsSpan());
        var (even, odd) = (Vector<double>.Zero, Vector<double>.Zero);
        for (var i = 0; i + 1 < taps.Length; i += 2)
        {
            even += signal[i] * taps[i];
            odd += signal[i + 1] * taps[i + 1];
        }
        return Vector.Sum(even + odd);
    }

    /// <summary>The divisor of the rate that comes nearest to 3 kHz, or the nearest factor where none lies in 2.5 to 4 kHz.</summary>
    private static int FactorOf(int rate)
    {
        var nearest = Math.Max(1, (int)Math.Round(rate / Target));
        return Enumerable.Range(1, rate / 2500).Where(f => rate % f == 0 && rate / f is >= 2500 and <= 4000).OrderBy(f => Math.Abs((rate / (double)f) - Target)).FirstOrDefault(nearest);
    }
}
