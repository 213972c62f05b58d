using System.Runtime.CompilerServices;
using Hushtrial.Signals.Filters;

namespace Hushtrial.Signals.Levels;

/// <summary>The loops of the reduced rates: the halvings, the common numerator, and bands of three sections.</summary>
internal static unsafe class LowRateLoops<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    /// <summary>States of a band.</summary>
    internal const int States = 6;

    /// <summary>Coefficients of a band.</summary>
    internal const int CoefficientsOfBand = 8;

    /// <summary>Vectors that <see cref="HalveFirst"/> carries from block to block.</summary>
    internal const int Carried = 3;

    /// <summary>The first halving, two outputs at a time, and (1 − z⁻¹)³ behind it.</summary>
    /// <param name="x">The frame in the middle of the first output.</param>
    /// <param name="to">Receives the differences of the outputs.</param>
    /// <param name="count">How many: an even number.</param>
    /// <param name="w">Weights of <see cref="Filters.HalvingFilter.First"/>.</param>
    /// <param name="carried">The three outputs before.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static void HalveFirst(TVector* x, TVector* to, int count, TVector* w, TVector* carried)
    {
        var minusThree = TOps.Spread(-3);
        TVector w0 = w[0], w1 = w[1], w2 = w[2], w3 = w[3], w4 = w[4], w5 = w[5];
        TVector before = carried[0], before2 = carried[1], before3 = carried[2];
        for (var n = 0; n < count; n += 2, x += 4)
        {
            OddFrames(x, w1, w3, w5, out var first, out var second);
            TVector between = x[0], right = x[2];
            first = TOps.MultiplyAdd(w0, between, first);
            second = TOps.MultiplyAdd(w0, right, second);
            TVector l = x[-2], r = x[4];
            first = TOps.MultiplyAdd(w2, TOps.Add(l, right), first);
            second = TOps.MultiplyAdd(w2, TOps.Add(between, r), second);
            first = TOps.MultiplyAdd(w4, TOps.Add(x[-4], r), first);
            second = TOps.MultiplyAdd(w4, TOps.Add(l, x[6]), second);
            to[n] = TOps.MultiplyAdd(minusThree, TOps.Subtract(before, before2), TOps.Subtract(first, before3));
            to[n + 1] = TOps.MultiplyAdd(minusThree, TOps.Subtract(first, before), TOps.Subtract(second, before2));
            (before3, before2, before) = (before, first, second);
        }
        (carried[0], carried[1], carried[2]) = (before, before2, before3);
    }

    /// <summary>A later halving, two outputs at a time: neighbours look at the same frames but four.</summary>
    /// <param name="x">The frame in the middle of the first output.</param>
    /// <param name="to">Receives the outputs.</param>
    /// <param name="count">How many: an even number.</param>
    /// <param name="w">Weights of <see cref="Filters.HalvingFilter.Later"/>.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static void Halve(TVector* x, TVector* to, int count, TVector* w)
    {
        TVector w0 = w[0], w1 = w[1], w2 = w[2], w3 = w[3], w4 = w[4], w5 = w[5], w6 = w[6];
        for (var n = 0; n < count; n += 2, x += 4)
        {
            OddFrames(x, w1, w3, w5, out var first, out var second);
            TVector between = x[0], right = x[2];
            var firstEven = TOps.Multiply(w0, between);
            var secondEven = TOps.Multiply(w0, right);
            TVector l = x[-2], r = x[4];
            firstEven = TOps.MultiplyAdd(w2, TOps.Add(l, right), firstEven);
            secondEven = TOps.MultiplyAdd(w2, TOps.Add(between, r), secondEven);
            (between, right) = (x[-4], x[6]);
            firstEven = TOps.MultiplyAdd(w4, TOps.Add(between, r), firstEven);
            secondEven = TOps.MultiplyAdd(w4, TOps.Add(l, right), secondEven);
            firstEven = TOps.MultiplyAdd(w6, TOps.Add(x[-6], right), firstEven);
            secondEven = TOps.MultiplyAdd(w6, TOps.Add(between, x[8]), secondEven);
            to[n] = TOps.Add(first, firstEven);
            to[n + 1] = TOps.Add(second, secondEven);
        }
    }

    /// <summary>What the frames at odd distances add to two neighbouring outputs, which look from x[0] and from x[2]: what the first adds on the right
    /// is the second's left one pair further out, and every frame is loaded once.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void OddFrames(TVector* x, TVector w1, TVector w3, TVector w5, out TVector first, out TVector second)
    {
        TVector left = x[-1], between = x[1], right = x[3];
        first = TOps.Multiply(w1, TOps.Add(left, between));
        second = TOps.Multiply(w1, TOps.Add(between, right));
        TVector l = x[-3], r = x[5];
        first = TOps.MultiplyAdd(w3, TOps.Add(l, right), first);
        second = TOps.MultiplyAdd(w3, TOps.Add(left, r), second);
        first = TOps.MultiplyAdd(w5, TOps.Add(x[-5], r), first);
        second = TOps.MultiplyAdd(w5, TOps.Add(l, x[7]), second);
    }

    /// <summary>Filters one band; returns the sum of its squares.</summary>
    /// <param name="a">Its coefficients (<see cref="Coefficients"/>).</param>
    /// <param name="d">The values, common numerator included.</param>
    /// <param name="squares">Receives the squares from <paramref name="quiet"/> on: only those near an edge are looked at.</param>
    /// <param name="s">The states.</param>
    /// <param name="unread">Where the store goes that keeps coefficients in memory (<see cref="PairLoops{TOps, TVector}"/>).</param>
    /// <param name="count">Values, an even number.</param>
    /// <param name="quiet">Values of which only the sum is wanted, an even number.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static TVector One(TVector* a, TVector* d, TVector* squares, TVector* s, TVector* unread, int count, int quiet)
    {
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], sum = default;
        var n = 0;
        for (; n < quiet; n += 2)
        {
            var y = Value(ref u12, u11, ref u22, u21, ref u32, u31, a, d[n]);
            sum = TOps.MultiplyAdd(y, y, sum);
            if (TOps.Count < 8) *unread = y;
            y = Value(ref u11, u12, ref u21, u22, ref u31, u32, a, d[n + 1]);
            sum = TOps.MultiplyAdd(y, y, sum);
            if (TOps.Count < 8) *unread = y;
        }
        for (; n < count; n += 2)
        {
            var y = Value(ref u12, u11, ref u22, u21, ref u32, u31, a, d[n]);
            squares[n] = y = TOps.Multiply(y, y);
            sum = TOps.Add(sum, y);
            y = Value(ref u11, u12, ref u21, u22, ref u31, u32, a, d[n + 1]);
            squares[n + 1] = y = TOps.Multiply(y, y);
            sum = TOps.Add(sum, y);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5]) = (u11, u12, u21, u22, u31, u32);
        return sum;
    }

    /// <summary>Two bands at once, whose recursions hide each other's latency; the registers are full (<see cref="PairLoops{TOps, TVector}"/>).</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static (TVector First, TVector Second) Two(TVector* a, TVector* b, TVector* d, TVector* squares, TVector* otherSquares, TVector* s, TVector* t,
        TVector* unread, int count, int quiet)
    {
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], sum = default;
        TVector v11 = t[0], v12 = t[1], v21 = t[2], v22 = t[3], v31 = t[4], v32 = t[5], other = default;
        var n = 0;
        for (; n < quiet; n += 2)
        {
            Sections(ref u12, u11, ref u22, u21, ref v12, v11, ref v22, v21, a, b, d[n]);
            Add(Last(ref u32, u31, u22, a), ref sum, unread);
            Add(Last(ref v32, v31, v22, b), ref other, unread);
            Sections(ref u11, u12, ref u21, u22, ref v11, v12, ref v21, v22, a, b, d[n + 1]);
            Add(Last(ref u31, u32, u21, a), ref sum, unread);
            Add(Last(ref v31, v32, v21, b), ref other, unread);
        }
        for (; n < count; n += 2)
        {
            Sections(ref u12, u11, ref u22, u21, ref v12, v11, ref v22, v21, a, b, d[n]);
            squares[n] = Keep(Last(ref u32, u31, u22, a), ref sum);
            otherSquares[n] = Keep(Last(ref v32, v31, v22, b), ref other);
            Sections(ref u11, u12, ref u21, u22, ref v11, v12, ref v21, v22, a, b, d[n + 1]);
            squares[n + 1] = Keep(Last(ref u31, u32, u21, a), ref sum);
            otherSquares[n + 1] = Keep(Last(ref v31, v32, v21, b), ref other);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5]) = (u11, u12, u21, u22, u31, u32);
        (t[0], t[1], t[2], t[3], t[4], t[5]) = (v11, v12, v21, v22, v31, v32);
        return (sum, other);
    }

    /// <summary>Lays out the coefficients of a band as the loops read them.</summary>
    /// <param name="p">The filter.</param>
    /// <param name="to">Receives <see cref="CoefficientsOfBand"/> vectors.</param>
    internal static void Coefficients(LowRateFilter p, TVector* to)
    {
        for (var i = 0; i < 3; i++) (to[2 * i], to[(2 * i) + 1]) = (TOps.Spread(p.Feedback1[i]), TOps.Spread(p.Feedback2[i]));
        (to[6], to[7]) = (TOps.Spread(p.Numerator[1]), TOps.Spread(p.Numerator[2]));
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Value(ref TVector u12, TVector u11, ref TVector u22, TVector u21, ref TVector u32, TVector u31, TVector* a, TVector x)
    {
        u12 = TOps.MultiplyAdd(u12, a[1], x);
        u12 = TOps.MultiplyAdd(u11, a[0], u12);
        u22 = TOps.MultiplyAdd(u22, a[3], u12);
        u22 = TOps.MultiplyAdd(u21, a[2], u22);
        return Last(ref u32, u31, u22, a);
    }

    /// <summary>The first two sections of two bands, in turn.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Sections(ref TVector u12, TVector u11, ref TVector u22, TVector u21, ref TVector v12, TVector v11, ref TVector v22, TVector v21,
        TVector* a, TVector* b, TVector x)
    {
        u12 = TOps.MultiplyAdd(u12, a[1], x);
        v12 = TOps.MultiplyAdd(v12, b[1], x);
        u12 = TOps.MultiplyAdd(u11, a[0], u12);
        v12 = TOps.MultiplyAdd(v11, b[0], v12);
        u22 = TOps.MultiplyAdd(u22, a[3], u12);
        v22 = TOps.MultiplyAdd(v22, b[3], v12);
        u22 = TOps.MultiplyAdd(u21, a[2], u22);
        v22 = TOps.MultiplyAdd(v21, b[2], v22);
    }

    /// <summary>The last section and the band's numerator, which takes the two states before; of these the older is about to be overwritten.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Last(ref TVector u32, TVector u31, TVector x, TVector* a)
    {
        var y = TOps.Multiply(u31, a[6]);
        y = TOps.MultiplyAdd(u32, a[7], y);
        u32 = TOps.MultiplyAdd(u32, a[5], x);
        u32 = TOps.MultiplyAdd(u31, a[4], u32);
        return TOps.Add(y, u32);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Add(TVector y, ref TVector sum, TVector* unread)
    {
        sum = TOps.MultiplyAdd(y, y, sum);
        if (TOps.Count < 8) *unread = y;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Keep(TVector y, ref TVector sum)
    {
        y = TOps.Multiply(y, y);
        sum = TOps.Add(sum, y);
        return y;
    }
}
