using System.Runtime.CompilerServices;
using Hushtrial.Signals.Filters;

namespace Hushtrial.Signals.Levels;

/// <summary>The loops of the reduced rates: a halving, the common numerator, and a band of three sections.</summary>
internal static unsafe class LowRateLoops<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    /// <summary>States of a band.</summary>
    internal const int States = 7;

    /// <summary>Vectors of memory that <see cref="Three"/> wants.</summary>
    internal const int InMemory = 4;

    private const int Unread = 3;

    /// <summary>Every second value of the low-pass, two outputs at a time: neighbours look at the same frames but two, so that each frame is loaded
    /// once for both. One output at a time waits for loads.</summary>
    /// <param name="x">The frame in the middle of the first output.</param>
    /// <param name="to">Receives the outputs.</param>
    /// <param name="count">How many: an even number.</param>
    /// <param name="taps">Those of <see cref="HalfBand"/>.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static void Halve(TVector* x, TVector* to, int count, TVector* taps)
    {
        var half = TOps.Spread(0.5);
        TVector t0 = taps[0], t1 = taps[1], t2 = taps[2], t3 = taps[3], t4 = taps[4];
        TVector t5 = taps[5], t6 = taps[6], t7 = taps[7], t8 = taps[8], t9 = taps[9];
        for (var n = 0; n < count; n += 2, x += 4)
        {
            // The first looks from x[0], the second from x[2]; what the first adds on the right is the second's left one tap further out.
            TVector left = x[-1], between = x[1], right = x[3];
            var first = TOps.MultiplyAdd(t0, TOps.Add(left, between), TOps.Multiply(half, x[0]));
            var second = TOps.MultiplyAdd(t0, TOps.Add(between, right), TOps.Multiply(half, x[2]));
            TVector l = x[-3], r = x[5];
            var firstFar = TOps.Multiply(t1, TOps.Add(l, right));
            var secondFar = TOps.Multiply(t1, TOps.Add(left, r));
            (left, right) = (x[-5], x[7]);
            first = TOps.MultiplyAdd(t2, TOps.Add(left, r), first);
            second = TOps.MultiplyAdd(t2, TOps.Add(l, right), second);
            (l, r) = (x[-7], x[9]);
            firstFar = TOps.MultiplyAdd(t3, TOps.Add(l, right), firstFar);
            secondFar = TOps.MultiplyAdd(t3, TOps.Add(left, r), secondFar);
            (left, right) = (x[-9], x[11]);
            first = TOps.MultiplyAdd(t4, TOps.Add(left, r), first);
            second = TOps.MultiplyAdd(t4, TOps.Add(l, right), second);
            (l, r) = (x[-11], x[13]);
            firstFar = TOps.MultiplyAdd(t5, TOps.Add(l, right), firstFar);
            secondFar = TOps.MultiplyAdd(t5, TOps.Add(left, r), secondFar);
            (left, right) = (x[-13], x[15]);
            first = TOps.MultiplyAdd(t6, TOps.Add(left, r), first);
            second = TOps.MultiplyAdd(t6, TOps.Add(l, right), second);
            (l, r) = (x[-15], x[17]);
            firstFar = TOps.MultiplyAdd(t7, TOps.Add(l, right), firstFar);
            secondFar = TOps.MultiplyAdd(t7, TOps.Add(left, r), secondFar);
            (left, right) = (x[-17], x[19]);
            first = TOps.MultiplyAdd(t8, TOps.Add(left, r), first);
            second = TOps.MultiplyAdd(t8, TOps.Add(l, right), second);
            (l, r) = (x[-19], x[21]);
            firstFar = TOps.MultiplyAdd(t9, TOps.Add(l, right), firstFar);
            secondFar = TOps.MultiplyAdd(t9, TOps.Add(left, r), secondFar);
            to[n] = TOps.Add(first, firstFar);
            to[n + 1] = TOps.Add(second, secondFar);
        }
    }

    /// <summary>(1 − z⁻¹)³.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static void Difference(TVector* x, TVector* to, int count)
    {
        var minusThree = TOps.Spread(-3);
        TVector x1 = x[-1], x2 = x[-2], x3 = x[-3];
        for (var n = 0; n < count; n++)
        {
            var now = x[n];
            to[n] = TOps.MultiplyAdd(minusThree, TOps.Subtract(x1, x2), TOps.Subtract(now, x3));
            (x3, x2, x1) = (x2, x1, now);
        }
    }

    /// <summary>Filters one band; returns the sum of its squares.</summary>
    /// <param name="p">The filter.</param>
    /// <param name="d">The differences.</param>
    /// <param name="squares">Receives the squares from <paramref name="quiet"/> on: only those near an edge are looked at.</param>
    /// <param name="s">The states.</param>
    /// <param name="m">Room for <see cref="InMemory"/> vectors: where there are 16 registers three coefficients stay there, and a store after each value keeps the compiler from loading them before the loop (<see cref="PairLoops{TOps, TVector}"/>).</param>
    /// <param name="count">Values, an even number.</param>
    /// <param name="quiet">Values of which only the sum is wanted, an even number.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static TVector Three(LowRateFilter p, TVector* d, TVector* squares, TVector* s, TVector* m, int count, int quiet)
    {
        for (var i = 0; i < 3; i++) m[i] = TOps.Spread(p.Feedback2[i]);
        TVector p11 = TOps.Spread(p.Feedback1[0]), p21 = TOps.Spread(p.Feedback1[1]), p31 = TOps.Spread(p.Feedback1[2]);
        TVector b1 = TOps.Spread(p.Numerator[1]), b2 = TOps.Spread(p.Numerator[2]), b3 = TOps.Spread(p.Numerator[3]);
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], u33 = s[6], sum = default;
        for (var n = 0; n < quiet; n += 2)
        {
            var y = Value(ref u12, u11, ref u22, u21, ref u32, u31, ref u33, p11, p21, p31, b1, b2, b3, m, d[n]);
            sum = TOps.MultiplyAdd(y, y, sum);
            m[Unread] = y;
            y = Value(ref u11, u12, ref u21, u22, ref u31, u32, ref u33, p11, p21, p31, b1, b2, b3, m, d[n + 1]);
            sum = TOps.MultiplyAdd(y, y, sum);
            m[Unread] = y;
        }
        for (var n = quiet; n < count; n += 2)
        {
            var y = Value(ref u12, u11, ref u22, u21, ref u32, u31, ref u33, p11, p21, p31, b1, b2, b3, m, d[n]);
            squares[n] = y = TOps.Multiply(y, y);
            sum = TOps.Add(sum, y);
            y = Value(ref u11, u12, ref u21, u22, ref u31, u32, ref u33, p11, p21, p31, b1, b2, b3, m, d[n + 1]);
            squares[n + 1] = y = TOps.Multiply(y, y);
            sum = TOps.Add(sum, y);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5], s[6]) = (u11, u12, u21, u22, u31, u32, u33);
        return sum;
    }

    /// <summary>One value: three sections, then the numerator on the states of the last.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Value(ref TVector u12, TVector u11, ref TVector u22, TVector u21, ref TVector u32, TVector u31, ref TVector u33,
        TVector p11, TVector p21, TVector p31, TVector b1, TVector b2, TVector b3, TVector* m, TVector x)
    {
        u12 = TOps.MultiplyAdd(u12, m[0], x);
        var y = TOps.Multiply(u33, b3);
        u12 = TOps.MultiplyAdd(u11, p11, u12);
        u33 = u32;
        u22 = TOps.MultiplyAdd(u22, m[1], u12);
        y = TOps.MultiplyAdd(u32, b2, y);
        u22 = TOps.MultiplyAdd(u21, p21, u22);
        u32 = TOps.MultiplyAdd(u32, m[2], u22);
        y = TOps.MultiplyAdd(u31, b1, y);
        u32 = TOps.MultiplyAdd(u31, p31, u32);
        return TOps.Add(y, u32);
    }
}
