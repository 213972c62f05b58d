using System.Runtime.CompilerServices;

namespace Hushtrial.Signals.Levels;

/// <summary>A, C and Z with F and S: C in one loop, then A behind it and Z beside it in a second. Each has its states in registers where there are 16.</summary>
/// <remarks>
/// Two frames in a round: the state before the last is overwritten by the new one, and nothing has to be moved. With 16 registers coefficients are
/// operands in memory, for which each loop needs a store in every frame (<see cref="PairLoops{TOps, TVector}"/>). The time weightings are in the same
/// loops as the filters: six recursions alone would wait for each other.
/// All gains, that of the first numerator too, are left to whoever reads the sums (<see cref="FilterSet.PowerGain"/>).
/// </remarks>
internal sealed unsafe class WeightingLoops<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    private const int StatesOfC = 5;
    private const int StatesOfAAndZ = 4;

    // Places of the coefficients.
    private const int CLow = 0, CHigh = 2, CZeros = 4, Fast = 7, Slow = 8, ALow = 9, ZLow = 11, Unread = 13, MinusTwo = 14, InMemory = 15;

    private readonly FilterSet _set;
    private readonly PinnedVectors<TVector> _memory;
    private readonly TVector* _weighted;
    private readonly TVector* _states;
    private readonly TVector* _coefficients;
    private readonly TVector* _piece;
    private readonly TVector* _step;

    /// <param name="set">The filters.</param>
    /// <param name="mostFrames">Most frames in one call.</param>
    /// <param name="piece">Receives the energies of a call, at the places of <see cref="Row"/>.</param>
    /// <param name="step">Holds F and S, their maxima and the peak, at the places of <see cref="Row"/>.</param>
    internal WeightingLoops(FilterSet set, int mostFrames, TVector* piece, TVector* step)
    {
        _set = set;
        _piece = piece;
        _step = step;
        _memory = new(mostFrames + StatesOfC + StatesOfAAndZ + InMemory);
        _weighted = _memory.Take(mostFrames);
        _states = _memory.Take(StatesOfC + StatesOfAAndZ);
        _coefficients = _memory.Take(InMemory);
    }

    /// <summary>All states at rest.</summary>
    internal void Reset()
    {
        _memory.Clear();
        var filters = _set.Weightings;
        var m = _coefficients;
        (m[CLow], m[CLow + 1]) = (TOps.Spread(filters.CLow.Feedback1), TOps.Spread(filters.CLow.Feedback2));
        (m[CHigh], m[CHigh + 1]) = (TOps.Spread(filters.CHighFeedback1), TOps.Spread(filters.CHighFeedback2));
        for (var i = 0; i < 3; i++) m[CZeros + i] = TOps.Spread(filters.CHighNumerator[i + 1] / filters.CHighNumerator[0]);
        m[MinusTwo] = TOps.Spread(-2);
        (m[Fast], m[Slow]) = (TOps.Spread(_set.FastDecay), TOps.Spread(_set.SlowDecay));
        (m[ALow], m[ALow + 1]) = (TOps.Spread(filters.ALow.Feedback1), TOps.Spread(filters.ALow.Feedback2));
        (m[ZLow], m[ZLow + 1]) = (TOps.Spread(filters.ZLow.Feedback1), TOps.Spread(filters.ZLow.Feedback2));
    }

    /// <summary>Sets to zero what has rung out.</summary>
    internal void Still()
    {
        var bound = TOps.Spread(Stillness.Below);
        for (var i = 0; i < StatesOfC + StatesOfAAndZ; i++) _states[i] = TOps.ZeroBelow(_states[i], bound);
        for (var i = 0; i < Row.Sums; i++) _step[Row.Last + i] = TOps.ZeroBelow(_step[Row.Last + i], bound);
    }

    /// <summary>C with F, S and its peak.</summary>
    /// <param name="x">The frames.</param>
    /// <param name="frames">How many.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal void RunC(TVector* x, int frames)
    {
        (_piece[Row.Energy], _piece[Row.Energy + 2]) = (default, default);

        TVector* m = _coefficients, s = _states, to = _weighted, last = _step + Row.Last, largest = _step + Row.Largest;
        TVector s1 = s[0], s2 = s[1], t1 = s[2], t2 = s[3], t3 = s[4], sum = default, peak = _step[Row.SquaredPeakC];
        TVector fast = last[2], slow = last[3], mostFast = largest[2], mostSlow = largest[3];
        var n = 0;
        for (; n + 1 < frames; n += 2)
        {
            FrameOfC(ref s2, s1, ref t2, t1, ref t3, ref sum, ref peak, ref fast, ref slow, ref mostFast, ref mostSlow, m, x + n, to + n);
            FrameOfC(ref s1, s2, ref t1, t2, ref t3, ref sum, ref peak, ref fast, ref slow, ref mostFast, ref mostSlow, m, x + n + 1, to + n + 1);
        }
        if (n < frames)
        {
            FrameOfC(ref s2, s1, ref t2, t1, ref t3, ref sum, ref peak, ref fast, ref slow, ref mostFast, ref mostSlow, m, x + n, to + n);
            (s1, s2, t1, t2) = (s2, s1, t2, t1);
        }
        (s[0], s[1], s[2], s[3], s[4]) = (s1, s2, t1, t2, t3);
        (last[2], last[3], largest[2], largest[3]) = (fast, slow, mostFast, mostSlow);
        _piece[Row.Energy + 1] = sum;
        _step[Row.SquaredPeakC] = peak;
    }

    /// <summary>A behind C, and Z, with F and S, of some of the frames that went through <see cref="RunC"/> last; adds to the energies of the call.</summary>
    /// <param name="x">The frames.</param>
    /// <param name="first">The first of them, counted from the first of that call.</param>
    /// <param name="frames">How many.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal void RunAAndZ(TVector* x, int first, int frames)
    {
        TVector* m = _coefficients, s = _states + StatesOfC, c = _weighted + first, last = _step + Row.Last, largest = _step + Row.Largest;
        TVector a1 = s[0], a2 = s[1], z1 = s[2], z2 = s[3], sumA = _piece[Row.Energy], sumZ = _piece[Row.Energy + 2];
        TVector af = last[0], aS = last[1], zf = last[4], zs = last[5];
        TVector maf = largest[0], mas = largest[1], mzf = largest[4], mzs = largest[5];
        var n = 0;
        for (; n + 1 < frames; n += 2)
        {
            Weigh(ref a2, a1, m, ALow, c + n, ref sumA, ref af, ref aS, ref maf, ref mas);
            Weigh(ref z2, z1, m, ZLow, x + n, ref sumZ, ref zf, ref zs, ref mzf, ref mzs);
            Weigh(ref a1, a2, m, ALow, c + n + 1, ref sumA, ref af, ref aS, ref maf, ref mas);
            Weigh(ref z1, z2, m, ZLow, x + n + 1, ref sumZ, ref zf, ref zs, ref mzf, ref mzs);
        }
        if (n < frames)
        {
            Weigh(ref a2, a1, m, ALow, c + n, ref sumA, ref af, ref aS, ref maf, ref mas);
            Weigh(ref z2, z1, m, ZLow, x + n, ref sumZ, ref zf, ref zs, ref mzf, ref mzs);
            (a1, a2, z1, z2) = (a2, a1, z2, z1);
        }
        (s[0], s[1], s[2], s[3]) = (a1, a2, z1, z2);
        (last[0], last[1], last[4], last[5]) = (af, aS, zf, zs);
        (largest[0], largest[1], largest[4], largest[5]) = (maf, mas, mzf, mzs);
        (_piece[Row.Energy], _piece[Row.Energy + 2]) = (sumA, sumZ);
    }

    /// <summary>One frame of C: the high-pass of its low poles, the high poles, then three zeros, which take the three states before. The steps of the
    /// sections stand in turn, so that they add in place.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void FrameOfC(ref TVector s2, TVector s1, ref TVector t2, TVector t1, ref TVector t3, ref TVector sum, ref TVector peak,
        ref TVector fast, ref TVector slow, ref TVector mostFast, ref TVector mostSlow, TVector* m, TVector* x, TVector* to)
    {
        var w = TOps.MultiplyAdd(s1, m[MinusTwo], s2);
        var y = TOps.Multiply(t3, m[CZeros + 2]);
        s2 = TOps.MultiplyAdd(s2, m[CLow + 1], *x);
        t3 = t2;
        s2 = TOps.MultiplyAdd(s1, m[CLow], s2);
        y = TOps.MultiplyAdd(t2, m[CZeros + 1], y);
        w = TOps.Add(w, s2);
        t2 = TOps.MultiplyAdd(t2, m[CHigh + 1], w);
        y = TOps.MultiplyAdd(t1, m[CZeros], y);
        t2 = TOps.MultiplyAdd(t1, m[CHigh], t2);
        y = TOps.Add(y, t2);
        *to = y;
        y = TOps.Multiply(y, y);
        peak = TOps.Max(peak, y);
        sum = TOps.Add(sum, y);
        fast = TOps.MultiplyAdd(fast, m[Fast], y);
        slow = TOps.MultiplyAdd(slow, m[Slow], y);
        mostFast = TOps.Max(mostFast, fast);
        mostSlow = TOps.Max(mostSlow, slow);
    }

    /// <summary>One frame of A or Z: two poles and (1 − z⁻¹)², then the square with F and S. The frame comes from memory by an addition
    /// of its own: with 16 registers there is none to hold it.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Weigh(ref TVector older, TVector newer, TVector* m, int low, TVector* x, ref TVector sum,
        ref TVector fast, ref TVector slow, ref TVector mostFast, ref TVector mostSlow)
    {
        var y = TOps.MultiplyAdd(newer, m[MinusTwo], older);
        older = TOps.Add(TOps.Multiply(older, m[low + 1]), *x);
        older = TOps.MultiplyAdd(newer, m[low], older);
        y = TOps.Add(y, older);
        y = TOps.Multiply(y, y);
        sum = TOps.Add(sum, y);
        fast = TOps.MultiplyAdd(fast, m[Fast], y);
        slow = TOps.MultiplyAdd(slow, m[Slow], y);
        mostFast = TOps.Max(mostFast, fast);
        mostSlow = TOps.Max(mostSlow, slow);
        if (TOps.Count < 8) m[Unread] = y;
    }
}
