using System.Numerics;
using Hushtrial.Signals.Levels;

namespace Hushtrial.Signals.Rendering;

/// <summary>A symmetric FIR filter of a stated gain: it delays all frequencies alike, and run around a loop not at all.</summary>
/// <remarks>Frequency sampling: the inverse transform of the stated gain, cut to its length by a Hann window. The response is the stated one smoothed over about two of its
/// resolutions (rate/length), so steps of the gain are rounded and nothing rings beyond half its length.</remarks>
public sealed class LinearPhaseFilter
{
    /// <summary>Length, s: fine enough for the one-third octave at 20 Hz, 4.6 Hz wide.</summary>
    public const double Seconds = 1.4;

    private readonly double[] _taps;

    private LinearPhaseFilter(double[] taps, int rate) => (_taps, SampleRate) = (taps, rate);

    /// <summary>Sampling rate, Hz.</summary>
    public int SampleRate { get; }

    /// <summary>The coefficients, odd in number, symmetric about the middle one.</summary>
    public IReadOnlyList<double> Taps => _taps;

    /// <summary>Designs a filter.</summary>
    /// <param name="gain">Gain in dB at a frequency in Hz, from 0 to half the rate; −∞ is nothing at all.</param>
    /// <param name="sampleRate">Hz.</param>
    /// <param name="taps">Odd, at least 3.</param>
    /// <exception cref="ArgumentOutOfRangeException">The number of taps is even or below 3.</exception>
    public static LinearPhaseFilter Design(Func<double, double> gain, int sampleRate, int taps)
    {
        ArgumentNullException.ThrowIfNull(gain);
        if (taps < 3 || taps % 2 == 0) throw new ArgumentOutOfRangeException(nameof(taps), taps, "An odd number of taps, at least 3, is wanted.");
        var points = Points(taps);
        var (real, imaginary) = (new double[points], new double[points]);
        for (var k = 0; k <= points / 2; k++) real[k] = real[(points - k) % points] = Math.Pow(10, gain(k * (double)sampleRate / points) / 20);
        new Fourier(points).Transform(real, imaginary);
        var middle = taps / 2;
        var h = new double[taps];
        for (var i = 0; i < taps; i++)
            h[i] = real[Math.Abs(i - middle)] / points * (0.5 - (0.5 * Math.Cos(2 * Math.PI * i / (taps - 1))));
        return new(h, sampleRate);
    }

    /// <summary>The usual length at a rate: odd.</summary>
    public static int UsualTaps(int sampleRate) => (2 * (int)(Seconds * sampleRate / 2)) + 1;

    /// <summary>Points of the transform of the design; the response is sampled at half of them and one.</summary>
    public static int Points(int taps) => (int)BitOperations.RoundUpToPowerOf2((uint)taps + 1) * 2;

    /// <summary>Filters a loop around its end: what leaves the end comes in at the beginning, and nothing is delayed.</summary>
    /// <param name="loop">At least as long as the filter.</param>
    /// <returns>As long as the loop.</returns>
    /// <exception cref="ArgumentException">The loop is shorter than the filter.</exception>
    public double[] Around(IReadOnlyList<double> loop)
    {
        ArgumentNullException.ThrowIfNull(loop);
        if (loop.Count < _taps.Length) throw new ArgumentException($"A loop of {loop.Count} samples is shorter than the filter, {_taps.Length}.", nameof(loop));
        var middle = _taps.Length / 2;
        var points = (int)BitOperations.RoundUpToPowerOf2((uint)(loop.Count + (2 * _taps.Length)));
        // Signal in the real, filter in the imaginary part: one transform for both.
        var (real, imaginary) = (new double[points], new double[points]);
        for (var i = 0; i < loop.Count + (2 * middle); i++) real[i] = loop[(((i - middle) % loop.Count) + loop.Count) % loop.Count];
        _taps.CopyTo(imaginary, 0);
        var transform = new Fourier(points);
        transform.Transform(real, imaginary);
        var (productReal, productImaginary) = (new double[points], new double[points]);
        for (var k = 0; k < points; k++)
        {
            var mirror = (points - k) & (points - 1);
            var (z, m) = (new Complex(real[k], imaginary[k]), new Complex(real[mirror], -imaginary[mirror]));
            var product = (z + m) * (z - m) / new Complex(0, 4);
            // Exchanged parts turn the transform round.
            (productReal[k], productImaginary[k]) = (product.Real, product.Imaginary);
        }
        transform.Transform(productImaginary, productReal);
        var result = new double[loop.Count];
        for (var i = 0; i < result.Length; i++) result[i] = productReal[i + (2 * middle)] / points;
        return result;
    }
}
