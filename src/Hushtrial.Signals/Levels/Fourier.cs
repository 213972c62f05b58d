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
            if (stride < Vector<double>.Count) ShortStrides(stride, fromR, fromI, toR, toI);
            else LongStrides(stride, MemoryMarshal.Cast<double, Vector<double>>(fromR), MemoryMarshal.Cast<double, Vector<double>>(fromI),
                MemoryMarshal.Cast<double, Vector<double>>(toR.AsSpan()), MemoryMarshal.Cast<double, Vector<double>>(toI.AsSpan()));
            (fromR, fromI, toR, toI) = (toR, toI, fromR, fromI);
        }
        if (ReferenceEquals(fromR, real)) return;
        fromR.CopyTo(real, 0);
        fromI.CopyTo(imaginary, 0);
    }

    private void ShortStrides(int stride, double[] fromR, double[] fromI, double[] toR, double[] toI)
    {
        var middle = fromR.Length / 2;
        for (var i = 0; i < middle; i++)
        {
            // i = p·stride + q: the pair (p, q) goes to 2p·stride + q and one stride on.
            var (q, p) = (i & (stride - 1), i & -stride);
            var (dr, di) = (fromR[i] - fromR[middle + i], fromI[i] - fromI[middle + i]);
            var (wr, wi) = (_cosines[p], _sines[p]);
            var to = (2 * p) + q;
            (toR[to], toI[to]) = (fromR[i] + fromR[middle + i], fromI[i] + fromI[middle + i]);
            (toR[to + stride], toI[to + stride]) = ((dr * wr) - (di * wi), (dr * wi) + (di * wr));
        }
    }

    private void LongStrides(int stride, ReadOnlySpan<Vector<double>> fromR, ReadOnlySpan<Vector<double>> fromI,
        Span<Vector<double>> toR, Span<Vector<double>> toI)
    {
        var (middle, length) = (fromR.Length / 2, stride / Vector<double>.Count);
        for (var start = 0; start < middle; start += length)
        {
            var place = start * Vector<double>.Count;
            var (wr, wi) = (new Vector<double>(_cosines[place]), new Vector<double>(_sines[place]));
            ReadOnlySpan<Vector<double>> aR = fromR.Slice(start, length), aI = fromI.Slice(start, length);
            ReadOnlySpan<Vector<double>> bR = fromR.Slice(middle + start, length), bI = fromI.Slice(middle + start, length);
            Span<Vector<double>> sumR = toR.Slice(2 * start, length), sumI = toI.Slice(2 * start, length);
            Span<Vector<double>> turnedR = toR.Slice((2 * start) + length, length), turnedI = toI.Slice((2 * start) + length, length);
            for (var q = 0; q < aR.Length; q++)
            {
                var (dr, di) = (aR[q] - bR[q], aI[q] - bI[q]);
                sumR[q] = aR[q] + bR[q];
                sumI[q] = aI[q] + bI[q];
                turnedR[q] = (dr * wr) - (di * wi);
                turnedI[q] = (dr * wi) + (di * wr);
            }
        }
    }
}
