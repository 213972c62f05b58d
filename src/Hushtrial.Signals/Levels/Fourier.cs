using System.Numerics;
using System.Runtime.InteropServices;

namespace Hushtrial.Signals.Levels;

/// <summary>Discrete Fourier transform of a power of two of complex numbers, real and imaginary parts apart.</summary>
/// <remarks>Stockham's self-sorting algorithm, radix 2: out of place between two pairs of arrays, no bit reversal, long inner loops.</remarks>
public sealed class Fourier
{
    private readonly double[] _cosines;
    private readonly double[] _sines;
    private readonly double[] _otherReal;
    private readonly double[] _otherImaginary;

    /// <summary>Prepares transforms of one size. Not for several threads at once.</summary>
    /// <param name="points">A power of two, at least 2.</param>
    public Fourier(int points)
    {
        if (points < 2 || !BitOperations.IsPow2(points)) throw new ArgumentOutOfRangeException(nameof(points), points, "A power of two is wanted.");
        (_otherReal, _otherImaginary) = (new double[points], new double[points]);
        (_cosines, _sines) = (new double[points / 2], new double[points / 2]);
        for (var i = 0; i < points / 2; i++) (_sines[i], _cosines[i]) = Math.SinCos(-2 * Math.PI * i / points);
    }

    /// <summary>Transforms in place: X_k = Σ x_n e^(−2πi·kn/N), not scaled.</summary>
    public void Transform(double[] real, double[] imaginary)
    {
        var points = real.Length;
        var (fromR, fromI, toR, toI) = (real, imaginary, _otherReal, _otherImaginary);
        for (var stride = 1; stride < points; stride *= 2)
        {
            var half = points / stride / 2;
            for (var p = 0; p < half; p++)
            {
                var (wr, wi) = (_cosines[p * stride], _sines[p * stride]);
                Butterfly(fromR.AsSpan(stride * p, stride), fromI.AsSpan(stride * p, stride),
                    fromR.AsSpan(stride * (p + half), stride), fromI.AsSpan(stride * (p + half), stride),
                    toR.AsSpan(stride * 2 * p, 2 * stride), toI.AsSpan(stride * 2 * p, 2 * stride), wr, wi);
            }
            (fromR, fromI, toR, toI) = (toR, toI, fromR, fromI);
        }
        if (ReferenceEquals(fromR, real)) return;
        fromR.CopyTo(real, 0);
        fromI.CopyTo(imaginary, 0);
    }

    private static void Butterfly(ReadOnlySpan<double> aR, ReadOnlySpan<double> aI, ReadOnlySpan<double> bR, ReadOnlySpan<double> bI,
        Span<double> toR, Span<double> toI, double wr, double wi)
    {
        var n = aR.Length;
        if (n >= Vector<double>.Count)
        {
            Pair(MemoryMarshal.Cast<double, Vector<double>>(aR), MemoryMarshal.Cast<double, Vector<double>>(aI),
                MemoryMarshal.Cast<double, Vector<double>>(bR), MemoryMarshal.Cast<double, Vector<double>>(bI),
                MemoryMarshal.Cast<double, Vector<double>>(toR), MemoryMarshal.Cast<double, Vector<double>>(toI), new(wr), new(wi));
            return;
        }
        for (var q = 0; q < n; q++)
        {
            var (dr, di) = (aR[q] - bR[q], aI[q] - bI[q]);
            (toR[q], toI[q]) = (aR[q] + bR[q], aI[q] + bI[q]);
            (toR[n + q], toI[n + q]) = ((dr * wr) - (di * wi), (dr * wi) + (di * wr));
        }
    }

    private static void Pair(ReadOnlySpan<Vector<double>> aR, ReadOnlySpan<Vector<double>> aI, ReadOnlySpan<Vector<double>> bR,
        ReadOnlySpan<Vector<double>> bI, Span<Vector<double>> toR, Span<Vector<double>> toI, Vector<double> wr, Vector<double> wi)
    {
        var n = aR.Length;
        for (var q = 0; q < n; q++)
        {
            var (dr, di) = (aR[q] - bR[q], aI[q] - bI[q]);
            (toR[q], toI[q]) = (aR[q] + bR[q], aI[q] + bI[q]);
            (toR[n + q], toI[n + q]) = ((dr * wr) - (di * wi), (dr * wi) + (di * wr));
        }
    }
}
