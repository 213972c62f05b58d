using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hushtrial.Signals.Levels;

/// <summary>The few operations of the filter loops on a vector of doubles, so that one text serves every vector width.</summary>
/// <typeparam name="TVector">The vector.</typeparam>
internal unsafe interface ILanes<TVector> where TVector : unmanaged
{
    /// <summary>Doubles in a vector.</summary>
    static abstract int Count { get; }

    static abstract TVector Spread(double value);

    /// <summary>a·b + c, fused where the processor can.</summary>
    static abstract TVector MultiplyAdd(TVector a, TVector b, TVector c);

    /// <summary>a·b − c, fused where the processor can.</summary>
    static abstract TVector MultiplySubtract(TVector a, TVector b, TVector c);

    static abstract TVector Multiply(TVector a, TVector b);

    static abstract TVector Add(TVector a, TVector b);

    static abstract TVector Subtract(TVector a, TVector b);

    static abstract TVector Max(TVector a, TVector b);

    /// <summary>Zero where the magnitude is below a bound.</summary>
    static abstract TVector ZeroBelow(TVector a, TVector bound);

    /// <summary>Turns as many rows as there are lanes into columns.</summary>
    /// <param name="from">First number of the first row.</param>
    /// <param name="stride">Numbers from one row to the next.</param>
    /// <param name="to">Receives vector i: the i-th number of every row.</param>
    static abstract void Transpose(double* from, nint stride, TVector* to);
}

/// <summary>The way a transposition takes where the processor has no shuffles for it.</summary>
internal static unsafe class PlainTranspose
{
    internal static void Run(double* from, nint stride, double* to, int count)
    {
        for (var row = 0; row < count; row++)
            for (var i = 0; i < count; i++) to[(i * count) + row] = from[(row * stride) + i];
    }
}

internal readonly unsafe struct EightLanes : ILanes<Vector512<double>>
{
    public static int Count => 8;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Spread(double value) => Vector512.Create(value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> MultiplyAdd(Vector512<double> a, Vector512<double> b, Vector512<double> c) => Vector512.MultiplyAddEstimate(a, b, c);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> MultiplySubtract(Vector512<double> a, Vector512<double> b, Vector512<double> c) =>
        Avx512F.IsSupported ? Avx512F.FusedMultiplySubtract(a, b, c) : (a * b) - c;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Multiply(Vector512<double> a, Vector512<double> b) => a * b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Add(Vector512<double> a, Vector512<double> b) => a + b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Subtract(Vector512<double> a, Vector512<double> b) => a - b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Max(Vector512<double> a, Vector512<double> b) => Vector512.MaxNative(a, b);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> ZeroBelow(Vector512<double> a, Vector512<double> bound) =>
        Vector512.ConditionalSelect(Vector512.LessThan(Vector512.Abs(a), bound), Vector512<double>.Zero, a);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Transpose(double* from, nint stride, Vector512<double>* to)
    {
        if (!Avx512F.IsSupported)
        {
            PlainTranspose.Run(from, stride, (double*)to, 8);
            return;
        }
        Vector512<double> r0 = *(Vector512<double>*)from, r1 = *(Vector512<double>*)(from + stride);
        Vector512<double> r2 = *(Vector512<double>*)(from + (2 * stride)), r3 = *(Vector512<double>*)(from + (3 * stride));
        Vector512<double> r4 = *(Vector512<double>*)(from + (4 * stride)), r5 = *(Vector512<double>*)(from + (5 * stride));
        Vector512<double> r6 = *(Vector512<double>*)(from + (6 * stride)), r7 = *(Vector512<double>*)(from + (7 * stride));
        // Pairs of rows, then halves of quarters, then quarters: after each step a block twice as wide stands right.
        Vector512<double> p0 = Avx512F.UnpackLow(r0, r1), p1 = Avx512F.UnpackHigh(r0, r1), p2 = Avx512F.UnpackLow(r2, r3), p3 = Avx512F.UnpackHigh(r2, r3);
        Vector512<double> p4 = Avx512F.UnpackLow(r4, r5), p5 = Avx512F.UnpackHigh(r4, r5), p6 = Avx512F.UnpackLow(r6, r7), p7 = Avx512F.UnpackHigh(r6, r7);
        Vector512<double> q0 = Avx512F.Shuffle4x128(p0, p2, 0x88), q4 = Avx512F.Shuffle4x128(p0, p2, 0xDD);
        Vector512<double> q1 = Avx512F.Shuffle4x128(p1, p3, 0x88), q5 = Avx512F.Shuffle4x128(p1, p3, 0xDD);
        Vector512<double> q2 = Avx512F.Shuffle4x128(p4, p6, 0x88), q6 = Avx512F.Shuffle4x128(p4, p6, 0xDD);
        Vector512<double> q3 = Avx512F.Shuffle4x128(p5, p7, 0x88), q7 = Avx512F.Shuffle4x128(p5, p7, 0xDD);
        to[0] = Avx512F.Shuffle4x128(q0, q2, 0x88);
        to[1] = Avx512F.Shuffle4x128(q1, q3, 0x88);
        to[2] = Avx512F.Shuffle4x128(q4, q6, 0x88);
        to[3] = Avx512F.Shuffle4x128(q5, q7, 0x88);
        to[4] = Avx512F.Shuffle4x128(q0, q2, 0xDD);
        to[5] = Avx512F.Shuffle4x128(q1, q3, 0xDD);
        to[6] = Avx512F.Shuffle4x128(q4, q6, 0xDD);
        to[7] = Avx512F.Shuffle4x128(q5, q7, 0xDD);
    }
}

internal readonly unsafe struct FourLanes : ILanes<Vector256<double>>
{
    public static int Count => 4;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Spread(double value) => Vector256.Create(value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> MultiplyAdd(Vector256<double> a, Vector256<double> b, Vector256<double> c) => Vector256.MultiplyAddEstimate(a, b, c);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> MultiplySubtract(Vector256<double> a, Vector256<double> b, Vector256<double> c) =>
        Fma.IsSupported ? Fma.MultiplySubtract(a, b, c) : (a * b) - c;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Multiply(Vector256<double> a, Vector256<double> b) => a * b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Add(Vector256<double> a, Vector256<double> b) => a + b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Subtract(Vector256<double> a, Vector256<double> b) => a - b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Max(Vector256<double> a, Vector256<double> b) => Vector256.MaxNative(a, b);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> ZeroBelow(Vector256<double> a, Vector256<double> bound) =>
        Vector256.ConditionalSelect(Vector256.LessThan(Vector256.Abs(a), bound), Vector256<double>.Zero, a);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Transpose(double* from, nint stride, Vector256<double>* to)
    {
        if (!Avx.IsSupported)
        {
            PlainTranspose.Run(from, stride, (double*)to, 4);
            return;
        }
        Vector256<double> r0 = *(Vector256<double>*)from, r1 = *(Vector256<double>*)(from + stride);
        Vector256<double> r2 = *(Vector256<double>*)(from + (2 * stride)), r3 = *(Vector256<double>*)(from + (3 * stride));
        Vector256<double> p0 = Avx.UnpackLow(r0, r1), p1 = Avx.UnpackHigh(r0, r1), p2 = Avx.UnpackLow(r2, r3), p3 = Avx.UnpackHigh(r2, r3);
        to[0] = Avx.Permute2x128(p0, p2, 0x20);
        to[1] = Avx.Permute2x128(p1, p3, 0x20);
        to[2] = Avx.Permute2x128(p0, p2, 0x31);
        to[3] = Avx.Permute2x128(p1, p3, 0x31);
    }
}

internal readonly unsafe struct TwoLanes : ILanes<Vector128<double>>
{
    public static int Count => 2;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Spread(double value) => Vector128.Create(value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> MultiplyAdd(Vector128<double> a, Vector128<double> b, Vector128<double> c) => Vector128.MultiplyAddEstimate(a, b, c);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> MultiplySubtract(Vector128<double> a, Vector128<double> b, Vector128<double> c) =>
        Fma.IsSupported ? Fma.MultiplySubtract(a, b, c) : (a * b) - c;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Multiply(Vector128<double> a, Vector128<double> b) => a * b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Add(Vector128<double> a, Vector128<double> b) => a + b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Subtract(Vector128<double> a, Vector128<double> b) => a - b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Max(Vector128<double> a, Vector128<double> b) => Vector128.MaxNative(a, b);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> ZeroBelow(Vector128<double> a, Vector128<double> bound) =>
        Vector128.ConditionalSelect(Vector128.LessThan(Vector128.Abs(a), bound), Vector128<double>.Zero, a);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Transpose(double* from, nint stride, Vector128<double>* to) => PlainTranspose.Run(from, stride, (double*)to, 2);
}
