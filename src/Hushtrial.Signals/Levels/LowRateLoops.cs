using System.Runtime.CompilerServices;
using Hushtrial.Signals.Filters;

namespace Hushtrial.Signals.Levels;

/// <summary>The loops of the reduced rates: the halvings, the common numerator, and a band of three sections.</summary>
internal static unsafe class LowRateLoops<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    /// <summary>States of a band.</summary>
    internal const int States = 7;

    /// <summary>Vectors of memory that <see cref="Three"/> wants.</summary>
    internal const int InMemory = 4;

    /// <summary>Vectors that <see cref="HalveFirst"/> carries from block to block.</summary>
    internal const int Carried = 3;

    private const int Unread = 3;

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
        TVector w0 = w[0], w1 = w[1], w2 = w[2], w3 = w[3];
        TVector before = carried[0], before2 = carried[1], before3 = carried[2];
        for (var n = 0; n < count; n += 2, x += 4)
        {
            TVector left = x[-1], between = x[1], right = x[3], middle = x[0], next = x[2];
            var first = TOps.MultiplyAdd(w1, TOps.Add(left, between), TOps.Multiply(w0, middle));
            var second = TOps.MultiplyAdd(w1, TOps.Add(between, right), TOps.Multiply(w0, next));
            first = TOps.MultiplyAdd(w2, TOps.Add(x[-2], next), first);
            second = TOps.MultiplyAdd(w2, TOps.Add(middle, x[4]), second);
            first = TOps.MultiplyAdd(w3, TOps.Add(x[-3], right), first);
            second = TOps.MultiplyAdd(w3, TOps.Add(left, x[5]), second);
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
            // The two look from x[0] and from x[2].
            var first = TOps.Multiply(w0, x[0]);
            var second = TOps.Multiply(w0, x[2]);
            var firstOdd = TOps.Multiply(w1, TOps.Add(x[-1], x[1]));
            var secondOdd = TOps.Multiply(w1, TOps.Add(x[1], x[3]));
            first = TOps.MultiplyAdd(w2, TOps.Add(x[-2], x[2]), first);
            second = TOps.MultiplyAdd(w2, TOps.Add(x[0], x[4]), second);
            firstOdd = TOps.MultiplyAdd(w3, TOps.Add(x[-3], x[3]), firstOdd);
            secondOdd = TOps.MultiplyAdd(w3, TOps.Add(x[-1], x[5]), secondOdd);
            first = TOps.MultiplyAdd(w4, TOps.Add(x[-4], x[4]), first);
            second = TOps.MultiplyAdd(w4, TOps.Add(x[-2], x[6]), second);
            firstOdd = TOps.MultiplyAdd(w5, TOps.Add(x[-5], x[5]), firstOdd);
            secondOdd = TOps.MultiplyAdd(w5, TOps.Add(x[-3], x[7]), secondOdd);
            first = TOps.MultiplyAdd(w6, TOps.Add(x[-6], x[6]), first);
            second = TOps.MultiplyAdd(w6, TOps.Add(x[-4], x[8]), second);
            to[n] = TOps.Add(first, firstOdd);
            to[n + 1] = TOps.Add(second, secondOdd);
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
