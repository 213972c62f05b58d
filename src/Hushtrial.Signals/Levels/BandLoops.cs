using System.Runtime.CompilerServices;
using Hushtrial.Signals.Filters;

namespace Hushtrial.Signals.Levels;

/// <summary>The loops of the bands at the full rate: three sections, then the sum of the squares.</summary>
internal static unsafe class BandLoops<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    /// <summary>States of a band.</summary>
    internal const int States = 8;

    /// <summary>Coefficients that <see cref="ThreeFitted"/> keeps in memory.</summary>
    internal const int InMemory = 4;

    /// <summary>A band behind (1 − z⁻²)³.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static TVector Three(BandFilter p, TVector* d, TVector* s, int frames)
    {
        TVector p11 = TOps.Spread(p.Feedback1[0]), p12 = TOps.Spread(p.Feedback2[0]), p21 = TOps.Spread(p.Feedback1[1]);
        TVector p22 = TOps.Spread(p.Feedback2[1]), p31 = TOps.Spread(p.Feedback1[2]), p32 = TOps.Spread(p.Feedback2[2]);
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], sum = default;
        var n = 0;
        for (; n + 1 < frames; n += 2)
        {
            var w = Poles(ref u32, u31, p31, p32, Poles(ref u22, u21, p21, p22, Poles(ref u12, u11, p11, p12, d[n])));
            sum = TOps.MultiplyAdd(w, w, sum);
            w = Poles(ref u31, u32, p31, p32, Poles(ref u21, u22, p21, p22, Poles(ref u11, u12, p11, p12, d[n + 1])));
            sum = TOps.MultiplyAdd(w, w, sum);
        }
        if (n < frames)
        {
            var w = Poles(ref u32, u31, p31, p32, Poles(ref u22, u21, p21, p22, Poles(ref u12, u11, p11, p12, d[n])));
            sum = TOps.MultiplyAdd(w, w, sum);
            (u11, u12, u21, u22, u31, u32) = (u12, u11, u22, u21, u32, u31);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5]) = (u11, u12, u21, u22, u31, u32);
        return sum;
    }

    /// <summary>Two bands in one loop: their recursions hide each other's latency.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static (TVector First, TVector Second) ThreeTwice(BandFilter p, BandFilter q, TVector* d, TVector* s, TVector* t, int frames)
    {
        TVector p11 = TOps.Spread(p.Feedback1[0]), p12 = TOps.Spread(p.Feedback2[0]), p21 = TOps.Spread(p.Feedback1[1]);
        TVector p22 = TOps.Spread(p.Feedback2[1]), p31 = TOps.Spread(p.Feedback1[2]), p32 = TOps.Spread(p.Feedback2[2]);
        TVector q11 = TOps.Spread(q.Feedback1[0]), q12 = TOps.Spread(q.Feedback2[0]), q21 = TOps.Spread(q.Feedback1[1]);
        TVector q22 = TOps.Spread(q.Feedback2[1]), q31 = TOps.Spread(q.Feedback1[2]), q32 = TOps.Spread(q.Feedback2[2]);
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], sum = default;
        TVector v11 = t[0], v12 = t[1], v21 = t[2], v22 = t[3], v31 = t[4], v32 = t[5], other = default;
        var n = 0;
        for (; n + 1 < frames; n += 2)
        {
            var x = d[n];
            var w = Poles(ref u32, u31, p31, p32, Poles(ref u22, u21, p21, p22, Poles(ref u12, u11, p11, p12, x)));
            sum = TOps.MultiplyAdd(w, w, sum);
            w = Poles(ref v32, v31, q31, q32, Poles(ref v22, v21, q21, q22, Poles(ref v12, v11, q11, q12, x)));
            other = TOps.MultiplyAdd(w, w, other);
            x = d[n + 1];
            w = Poles(ref u31, u32, p31, p32, Poles(ref u21, u22, p21, p22, Poles(ref u11, u12, p11, p12, x)));
            sum = TOps.MultiplyAdd(w, w, sum);
            w = Poles(ref v31, v32, q31, q32, Poles(ref v21, v22, q21, q22, Poles(ref v11, v12, q11, q12, x)));
            other = TOps.MultiplyAdd(w, w, other);
        }
        if (n < frames)
        {
            var x = d[n];
            var w = Poles(ref u32, u31, p31, p32, Poles(ref u22, u21, p21, p22, Poles(ref u12, u11, p11, p12, x)));
            sum = TOps.MultiplyAdd(w, w, sum);
            w = Poles(ref v32, v31, q31, q32, Poles(ref v22, v21, q21, q22, Poles(ref v12, v11, q11, q12, x)));
            other = TOps.MultiplyAdd(w, w, other);
            (u11, u12, u21, u22, u31, u32) = (u12, u11, u22, u21, u32, u31);
            (v11, v12, v21, v22, v31, v32) = (v12, v11, v22, v21, v32, v31);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5]) = (u11, u12, u21, u22, u31, u32);
        (t[0], t[1], t[2], t[3], t[4], t[5]) = (v11, v12, v21, v22, v31, v32);
        return (sum, other);
    }

    /// <summary>A band with two fitted zeros behind (1 − z⁻¹)³; what they add lies ready one and two frames ahead (transposed form).</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static TVector ThreeFitted(BandFilter p, TVector* d, TVector* s, TVector* m, int frames)
    {
        // With 16 registers four coefficients stay in memory, rather than states of which each frame waits for the one before.
        (m[0], m[1]) = (TOps.Spread(p.Numerator![1]), TOps.Spread(p.Numerator[2]));
        (m[2], m[3]) = (TOps.Spread(p.Feedback2[1]), TOps.Spread(p.Feedback2[2]));
        TVector p11 = TOps.Spread(p.Feedback1[0]), p12 = TOps.Spread(p.Feedback2[0]), p21 = TOps.Spread(p.Feedback1[1]);
        TVector p22 = m[2], p31 = TOps.Spread(p.Feedback1[2]), p32 = m[3], b1 = m[0], b2 = m[1];
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], y1 = s[6], y2 = s[7], sum = default;
        var n = 0;
        for (; n + 1 < frames; n += 2)
        {
            var w = Poles(ref u22, u21, p21, TOps.Count == 8 ? p22 : m[2], Poles(ref u12, u11, p11, p12, d[n]));
            w = Poles(ref u32, u31, p31, TOps.Count == 8 ? p32 : m[3], w);
            var y = TOps.Add(w, y1);
            y1 = TOps.MultiplyAdd(TOps.Count == 8 ? b1 : m[0], w, y2);
            y2 = TOps.Multiply(TOps.Count == 8 ? b2 : m[1], w);
            sum = TOps.MultiplyAdd(y, y, sum);

            w = Poles(ref u21, u22, p21, TOps.Count == 8 ? p22 : m[2], Poles(ref u11, u12, p11, p12, d[n + 1]));
            w = Poles(ref u31, u32, p31, TOps.Count == 8 ? p32 : m[3], w);
            y = TOps.Add(w, y1);
            y1 = TOps.MultiplyAdd(TOps.Count == 8 ? b1 : m[0], w, y2);
            y2 = TOps.Multiply(TOps.Count == 8 ? b2 : m[1], w);
            sum = TOps.MultiplyAdd(y, y, sum);
        }
        if (n < frames)
        {
            var w = Poles(ref u32, u31, p31, p32, Poles(ref u22, u21, p21, p22, Poles(ref u12, u11, p11, p12, d[n])));
            var y = TOps.Add(w, y1);
            y1 = TOps.MultiplyAdd(b1, w, y2);
            y2 = TOps.Multiply(b2, w);
            sum = TOps.MultiplyAdd(y, y, sum);
            (u11, u12, u21, u22, u31, u32) = (u12, u11, u22, u21, u32, u31);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7]) = (u11, u12, u21, u22, u31, u32, y1, y2);
        return sum;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Poles(ref TVector older, TVector newer, TVector p1, TVector p2, TVector x) => Sections<TOps, TVector>.Poles(ref older, newer, p1, p2, x);
}
