using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hushtrial.Signals.Levels;

/// <summary>The end of a <see cref="PowerTransform{TOps, TVector}"/> on vectors of four: what other widths put into memory between transposing, turning and
/// squaring stays in registers here.</summary>
internal static unsafe class FourAcross
{
    /// <summary>Whether the processor has the instructions.</summary>
    internal static bool IsSupported => Avx.IsSupported && Fma.IsSupported;

    /// <summary>The butterflies of four neighbours that end the transform over m, and the transforms across the lanes of those four rows.</summary>
    /// <param name="x">The rows, real and imaginary parts in turn.</param>
    /// <param name="w">The factor of lane 1 for each four rows, real and imaginary: those of lanes 2 and 3 are its square and its cube.</param>
    /// <param name="power">Receives the sums of the squares.</param>
    /// <param name="rows">How many, a multiple of four.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static void WithLastFour(Vector256<double>* x, Vector256<double>* w, Vector256<double>* power, int rows)
    {
        for (var at = 0; at < rows; at += 4, x += 8, w += 2, power += 4)
        {
            Vector256<double> b0 = x[0] + x[4], b2 = x[0] - x[4], b1 = x[2] + x[6], b3r = x[2] - x[6];
            Vector256<double> c0 = x[1] + x[5], c2 = x[1] - x[5], c1 = x[3] + x[7], b3i = x[3] - x[7];
            Vector256<double> r0 = b0 + b1, r1 = b2 + b3i, r2 = b0 - b1, r3 = b2 - b3i;
            Transpose(ref r0, ref r1, ref r2, ref r3);
            Vector256<double> i0 = c0 + c1, i1 = c2 - b3r, i2 = c0 - c1, i3 = c2 + b3r;
            Transpose(ref i0, ref i1, ref i2, ref i3);
            AddSquares(r0, r1, r2, r3, i0, i1, i2, i3, w, power);
        }
    }

    /// <summary>The transforms across the lanes of every four rows.</summary>
    /// <param name="x">The rows, real and imaginary parts in turn.</param>
    /// <param name="w">The factor of lane 1 for each four rows, real and imaginary: those of lanes 2 and 3 are its square and its cube.</param>
    /// <param name="power">Receives the sums of the squares.</param>
    /// <param name="rows">How many, a multiple of four.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static void Alone(Vector256<double>* x, Vector256<double>* w, Vector256<double>* power, int rows)
    {
        for (var at = 0; at < rows; at += 4, x += 8, w += 2, power += 4)
        {
            Vector256<double> r0 = x[0], r1 = x[2], r2 = x[4], r3 = x[6], i0 = x[1], i1 = x[3], i2 = x[5], i3 = x[7];
            Transpose(ref r0, ref r1, ref r2, ref r3);
            Transpose(ref i0, ref i1, ref i2, ref i3);
            AddSquares(r0, r1, r2, r3, i0, i1, i2, i3, w, power);
        }
    }

    /// <summary>From one row per vector to one lane of all four rows.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Transpose(ref Vector256<double> r0, ref Vector256<double> r1, ref Vector256<double> r2, ref Vector256<double> r3)
    {
        Vector256<double> p0 = Avx.UnpackLow(r0, r1), p1 = Avx.UnpackHigh(r0, r1), p2 = Avx.UnpackLow(r2, r3), p3 = Avx.UnpackHigh(r2, r3);
        r0 = Avx.Permute2x128(p0, p2, 0x20);
        r1 = Avx.Permute2x128(p1, p3, 0x20);
        r2 = Avx.Permute2x128(p0, p2, 0x31);
        r3 = Avx.Permute2x128(p1, p3, 0x31);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void AddSquares(Vector256<double> r0, Vector256<double> r1, Vector256<double> r2, Vector256<double> r3,
        Vector256<double> i0, Vector256<double> i1, Vector256<double> i2, Vector256<double> i3, Vector256<double>* w, Vector256<double>* power)
    {
        Vector256<double> w1r = w[0], w1i = w[1];
        Turn(ref r1, ref i1, w1r, w1i);
        Vector256<double> w2r = Fma.MultiplySubtract(w1r, w1r, w1i * w1i), w2i = (w1r + w1r) * w1i;
        Turn(ref r2, ref i2, w2r, w2i);
        Turn(ref w2r, ref w2i, w1r, w1i);
        Turn(ref r3, ref i3, w2r, w2i);
        Vector256<double> b0r = r0 + r2, b0i = i0 + i2, b2r = r0 - r2, b2i = i0 - i2;
        Vector256<double> b1r = r1 + r3, b1i = i1 + i3, b3r = r1 - r3, b3i = i1 - i3;
        AddSquare(power, b0r + b1r, b0i + b1i);
        AddSquare(power + 2, b0r - b1r, b0i - b1i);
        AddSquare(power + 1, b2r + b3i, b2i - b3r);
        AddSquare(power + 3, b2r - b3i, b2i + b3r);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Turn(ref Vector256<double> real, ref Vector256<double> imaginary, Vector256<double> wr, Vector256<double> wi)
    {
        var cross = imaginary * wi;
        imaginary = Fma.MultiplyAdd(real, wi, imaginary * wr);
        real = Fma.MultiplySubtract(real, wr, cross);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void AddSquare(Vector256<double>* sum, Vector256<double> real, Vector256<double> imaginary) =>
        *sum = Fma.MultiplyAdd(real, real, Fma.MultiplyAdd(imaginary, imaginary, *sum));
}
