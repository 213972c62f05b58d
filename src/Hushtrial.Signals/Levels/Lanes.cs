using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Hushtrial.Signals.Levels;

/// <summary>The few operations of the filter loops on a vector of doubles, so that one text serves every vector width.</summary>
/// <typeparam name="TVector">The vector.</typeparam>
internal interface ILanes<TVector> where TVector : unmanaged
{
    /// <summary>Doubles in a vector.</summary>
    static abstract int Count { get; }

    static abstract TVector Spread(double value);

    /// <summary>a·b + c, fused where the processor can.</summary>
    static abstract TVector MultiplyAdd(TVector a, TVector b, TVector c);

    static abstract TVector Multiply(TVector a, TVector b);

    static abstract TVector Add(TVector a, TVector b);

    static abstract TVector Subtract(TVector a, TVector b);

    static abstract TVector Max(TVector a, TVector b);

    static abstract TVector Magnitude(TVector a);

    /// <summary>Zero where the magnitude is below a bound.</summary>
    static abstract TVector ZeroBelow(TVector a, TVector bound);
}

internal readonly struct EightLanes : ILanes<Vector512<double>>
{
    public static int Count => 8;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Spread(double value) => Vector512.Create(value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> MultiplyAdd(Vector512<double> a, Vector512<double> b, Vector512<double> c) => Vector512.MultiplyAddEstimate(a, b, c);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Multiply(Vector512<double> a, Vector512<double> b) => a * b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Add(Vector512<double> a, Vector512<double> b) => a + b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Subtract(Vector512<double> a, Vector512<double> b) => a - b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Max(Vector512<double> a, Vector512<double> b) => Vector512.MaxNative(a, b);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Magnitude(Vector512<double> a) => Vector512.Abs(a);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> ZeroBelow(Vector512<double> a, Vector512<double> bound) =>
        Vector512.ConditionalSelect(Vector512.LessThan(Vector512.Abs(a), bound), Vector512<double>.Zero, a);
}

internal readonly struct FourLanes : ILanes<Vector256<double>>
{
    public static int Count => 4;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Spread(double value) => Vector256.Create(value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> MultiplyAdd(Vector256<double> a, Vector256<double> b, Vector256<double> c) => Vector256.MultiplyAddEstimate(a, b, c);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Multiply(Vector256<double> a, Vector256<double> b) => a * b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Add(Vector256<double> a, Vector256<double> b) => a + b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Subtract(Vector256<double> a, Vector256<double> b) => a - b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Max(Vector256<double> a, Vector256<double> b) => Vector256.MaxNative(a, b);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Magnitude(Vector256<double> a) => Vector256.Abs(a);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> ZeroBelow(Vector256<double> a, Vector256<double> bound) =>
        Vector256.ConditionalSelect(Vector256.LessThan(Vector256.Abs(a), bound), Vector256<double>.Zero, a);
}

internal readonly struct TwoLanes : ILanes<Vector128<double>>
{
    public static int Count => 2;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Spread(double value) => Vector128.Create(value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> MultiplyAdd(Vector128<double> a, Vector128<double> b, Vector128<double> c) => Vector128.MultiplyAddEstimate(a, b, c);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Multiply(Vector128<double> a, Vector128<double> b) => a * b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Add(Vector128<double> a, Vector128<double> b) => a + b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Subtract(Vector128<double> a, Vector128<double> b) => a - b;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Max(Vector128<double> a, Vector128<double> b) => Vector128.MaxNative(a, b);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Magnitude(Vector128<double> a) => Vector128.Abs(a);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> ZeroBelow(Vector128<double> a, Vector128<double> bound) =>
        Vector128.ConditionalSelect(Vector128.LessThan(Vector128.Abs(a), bound), Vector128<double>.Zero, a);
}
