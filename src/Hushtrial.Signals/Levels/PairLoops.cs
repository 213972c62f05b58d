using System.Runtime.CompilerServices;
using Hushtrial.Signals.Filters;

namespace Hushtrial.Signals.Levels;

/// <summary>The loops of two bands at the full rate at once, for processors with 16 vector registers: the recursions hide each other's latency.</summary>
/// <remarks>
/// The states, the sums and one value fill the registers, so every coefficient is an operand in memory. The compiler does that only as it is
/// written here: in steps that add in place, those of the two bands in turn (it would join neighbours into one expression, with a register of its
/// own), and with a store after every frame, without which it would load the coefficients before the loop, into registers that are not there.
/// Two frames in a round: the older state of a section is overwritten by the new one, and nothing has to be moved.
/// </remarks>
internal static unsafe class PairLoops<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    /// <summary>Vectors of memory that a loop wants for its coefficients, and one that nobody reads: the store to it keeps the others in memory.</summary>
    internal const int InMemory = 15;

    private const int Unread = 14;

    /// <summary>Two bands behind (1 − z⁻²)³; returns the sums of their squares.</summary>
    /// <param name="d">The differences.</param>
    /// <param name="s">States of the first band.</param>
    /// <param name="t">Those of the second.</param>
    /// <param name="m">The coefficients of both (<see cref="Coefficients"/>).</param>
    /// <param name="frames">How many.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static (TVector First, TVector Second) Plain(TVector* d, TVector* s, TVector* t, TVector* m, int frames)
    {
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], sum = default;
        TVector v11 = t[0], v12 = t[1], v21 = t[2], v22 = t[3], v31 = t[4], v32 = t[5], other = default;
        var n = 0;
        for (; n + 1 < frames; n += 2)
        {
            Frame(ref u12, u11, ref u22, u21, ref u32, u31, ref v12, v11, ref v22, v21, ref v32, v31, ref sum, ref other, m, d[n]);
            Frame(ref u11, u12, ref u21, u22, ref u31, u32, ref v11, v12, ref v21, v22, ref v31, v32, ref sum, ref other, m, d[n + 1]);
        }
        if (n < frames)
        {
            Frame(ref u12, u11, ref u22, u21, ref u32, u31, ref v12, v11, ref v22, v21, ref v32, v31, ref sum, ref other, m, d[n]);
            (u11, u12, u21, u22, u31, u32) = (u12, u11, u22, u21, u32, u31);
            (v11, v12, v21, v22, v31, v32) = (v12, v11, v22, v21, v32, v31);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5]) = (u11, u12, u21, u22, u31, u32);
        (t[0], t[1], t[2], t[3], t[4], t[5]) = (v11, v12, v21, v22, v31, v32);
        return (sum, other);
    }

    /// <summary>A band behind (1 − z⁻²)³, and one with two fitted zeros behind (1 − z⁻¹)³, which look at the states of its last section.</summary>
    /// <param name="d">The differences for the first.</param>
    /// <param name="e">Those for the second.</param>
    /// <param name="s">States of the first band.</param>
    /// <param name="t">Those of the second.</param>
    /// <param name="m">The coefficients of both (<see cref="Coefficients"/>).</param>
    /// <param name="frames">How many.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static (TVector First, TVector Second) PlainAndFitted(TVector* d, TVector* e, TVector* s, TVector* t, TVector* m, int frames)
    {
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], sum = default;
        TVector v11 = t[0], v12 = t[1], v21 = t[2], v22 = t[3], v31 = t[4], v32 = t[5], other = default;
        var n = 0;
        for (; n + 1 < frames; n += 2)
        {
            FittedFrame(ref u12, u11, ref u22, u21, ref u32, u31, ref v12, v11, ref v22, v21, ref v32, v31, ref sum, ref other, m, d[n], e[n]);
            FittedFrame(ref u11, u12, ref u21, u22, ref u31, u32, ref v11, v12, ref v21, v22, ref v31, v32, ref sum, ref other, m, d[n + 1], e[n + 1]);
        }
        if (n < frames)
        {
            FittedFrame(ref u12, u11, ref u22, u21, ref u32, u31, ref v12, v11, ref v22, v21, ref v32, v31, ref sum, ref other, m, d[n], e[n]);
            (u11, u12, u21, u22, u31, u32) = (u12, u11, u22, u21, u32, u31);
            (v11, v12, v21, v22, v31, v32) = (v12, v11, v22, v21, v32, v31);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5]) = (u11, u12, u21, u22, u31, u32);
        (t[0], t[1], t[2], t[3], t[4], t[5]) = (v11, v12, v21, v22, v31, v32);
        return (sum, other);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Frame(ref TVector u12, TVector u11, ref TVector u22, TVector u21, ref TVector u32, TVector u31,
        ref TVector v12, TVector v11, ref TVector v22, TVector v21, ref TVector v32, TVector v31, ref TVector sum, ref TVector other, TVector* m, TVector x)
    {
        u12 = TOps.MultiplyAdd(u12, m[1], x);
        v12 = TOps.MultiplyAdd(v12, m[7], x);
        u12 = TOps.MultiplyAdd(u11, m[0], u12);
        v12 = TOps.MultiplyAdd(v11, m[6], v12);
        u22 = TOps.MultiplyAdd(u22, m[3], u12);
        v22 = TOps.MultiplyAdd(v22, m[9], v12);
        u22 = TOps.MultiplyAdd(u21, m[2], u22);
        v22 = TOps.MultiplyAdd(v21, m[8], v22);
        u32 = TOps.MultiplyAdd(u32, m[5], u22);
        v32 = TOps.MultiplyAdd(v32, m[11], v22);
        u32 = TOps.MultiplyAdd(u31, m[4], u32);
        v32 = TOps.MultiplyAdd(v31, m[10], v32);
        sum = TOps.MultiplyAdd(u32, u32, sum);
        other = TOps.MultiplyAdd(v32, v32, other);
        m[Unread] = u32;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void FittedFrame(ref TVector u12, TVector u11, ref TVector u22, TVector u21, ref TVector u32, TVector u31,
        ref TVector v12, TVector v11, ref TVector v22, TVector v21, ref TVector v32, TVector v31, ref TVector sum, ref TVector other, TVector* m, TVector x, TVector e)
    {
        u12 = TOps.MultiplyAdd(u12, m[1], x);
        v12 = TOps.MultiplyAdd(v12, m[7], e);
        u12 = TOps.MultiplyAdd(u11, m[0], u12);
        v12 = TOps.MultiplyAdd(v11, m[6], v12);
        u22 = TOps.MultiplyAdd(u22, m[3], u12);
        v22 = TOps.MultiplyAdd(v22, m[9], v12);
        u22 = TOps.MultiplyAdd(u21, m[2], u22);
        v22 = TOps.MultiplyAdd(v21, m[8], v22);
        // The zeros take the two values before, of which the older is about to be overwritten.
        var y = TOps.Multiply(v31, m[12]);
        u32 = TOps.MultiplyAdd(u32, m[5], u22);
        y = TOps.MultiplyAdd(v32, m[13], y);
        v32 = TOps.MultiplyAdd(v32, m[11], v22);
        u32 = TOps.MultiplyAdd(u31, m[4], u32);
        v32 = TOps.MultiplyAdd(v31, m[10], v32);
        sum = TOps.MultiplyAdd(u32, u32, sum);
        y = TOps.Add(y, v32);
        other = TOps.MultiplyAdd(y, y, other);
        m[Unread] = u32;
    }

    /// <summary>Lays out the coefficients of two bands as the loops read them.</summary>
    /// <param name="p">The first band.</param>
    /// <param name="q">The second.</param>
    /// <param name="m">Receives <see cref="InMemory"/> vectors.</param>
    internal static void Coefficients(BandFilter p, BandFilter q, TVector* m)
    {
        for (var i = 0; i < 3; i++)
        {
            (m[2 * i], m[(2 * i) + 1]) = (TOps.Spread(p.Feedback1[i]), TOps.Spread(p.Feedback2[i]));
            (m[6 + (2 * i)], m[7 + (2 * i)]) = (TOps.Spread(q.Feedback1[i]), TOps.Spread(q.Feedback2[i]));
        }
        if (q.Numerator is not null) (m[12], m[13]) = (TOps.Spread(q.Numerator[1]), TOps.Spread(q.Numerator[2]));
    }
}
