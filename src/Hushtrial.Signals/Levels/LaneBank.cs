using System.Runtime.CompilerServices;

namespace Hushtrial.Signals.Levels;

/// <summary>All filters of a measurement with the states of as many chunks as a vector has lanes.</summary>
/// <remarks>A lane is a chunk: every filter is plain scalar code on vectors, without shuffles. Direct form II; the common numerator
/// (1 − z⁻²)³ of the bands is applied once to the input, so that a band costs two multiply-adds per section and one for its energy.</remarks>
internal sealed unsafe class LaneBank<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    /// <summary>Most frames in one call, an even number: what the bands read stays in the first cache, the rest in the second.</summary>
    internal static readonly int MostFrames = 1024 / TOps.Count;

    // Earlier frames the difference looks back to.
    private const int LookBack = 6;
    private const int StatesOfBand = BandLoops<TOps, TVector>.States;
    private const int WeightingStates = 11;
    private const int History = LowRateBank<TOps, TVector>.History;
    private const int BlockFrames = LowRateBank<TOps, TVector>.Block;

    private readonly FilterSet _set;
    private readonly int _full;
    private readonly int _common;
    private readonly int[] _begins;
    private readonly bool[] _running;
    private readonly List<(int First, int Second)> _loops;
    private readonly PinnedVectors<TVector> _memory;
    private readonly TVector* _input;
    private readonly TVector* _difference;
    private readonly TVector* _plainDifference;
    private readonly TVector* _squares;
    private readonly TVector* _weighted;
    private readonly TVector* _inMemory;
    private readonly TVector* _weightingStates;
    private readonly TVector* _bandStates;
    private readonly int _stateVectors;
    private int _filled;

    internal LaneBank(FilterSet set)
    {
        _set = set;
        _full = set.FullRate;
        while (_common < _full && set.Bands[_common].Numerator is null) _common++;
        _begins = new int[_full];
        for (var i = 0; i < _full; i++) _begins[i] = -set.Bands[i].SettlingFrames;
        _running = new bool[_begins.Length];
        // Bands that share a loop begin together.
        _loops = Loops(_common, _full);
        foreach (var (first, second) in _loops) _begins[first] = _begins[second] = Math.Min(_begins[first], _begins[second]);
        var bandStates = StatesOfBand * _full;
        _memory = new(History + BlockFrames + (6 * MostFrames) + (2 * RowLength) + WeightingStates + bandStates + PairLoops<TOps, TVector>.InMemory);
        _input = _memory.Take(History + BlockFrames);
        _difference = _memory.Take(MostFrames);
        _plainDifference = _memory.Take(MostFrames);
        _squares = _memory.Take(3 * MostFrames);
        _weighted = _memory.Take(MostFrames);
        Piece = _memory.Take(RowLength);
        Step = _memory.Take(RowLength);
        _weightingStates = _memory.Take(WeightingStates);
        _bandStates = _memory.Take(bandStates);
        _stateVectors = WeightingStates + bandStates;
        _inMemory = _memory.Take(PairLoops<TOps, TVector>.InMemory);
    }

    /// <summary>The block that is being filled, one vector per frame, behind the end of the block before.</summary>
    internal TVector* Block => _input + History;

    /// <summary>Where the next frames go: at most <see cref="MostFrames"/>, and at most <see cref="Room"/>.</summary>
    internal TVector* Input => Block + _filled;

    /// <summary>Frames the block still takes.</summary>
    internal int Room => BlockFrames - _filled;

    /// <summary>Energies of the frames of the last call, at the places of <see cref="Row"/>.</summary>
    internal TVector* Piece { get; }

    /// <summary>What the step has come to so far, at the places of <see cref="Row"/>.</summary>
    internal TVector* Step { get; }

    /// <summary>Entries of <see cref="Piece"/> and <see cref="Step"/>.</summary>
    internal int RowLength => Row.Bands + _full;

    /// <summary>All states at rest, all sums at zero.</summary>
    internal void Reset()
    {
        _memory.Clear();
        Array.Clear(_running);
        _filled = 0;
    }

    /// <summary>Begins a step: energies as given by a factor on the last piece, maxima from nothing.</summary>
    internal void BeginStep(double shareOfLastPiece)
    {
        for (var i = 0; i < RowLength; i++)
            if (i is < Row.Largest or >= Row.Bands) Step[i] = TOps.Multiply(Piece[i], TOps.Spread(shareOfLastPiece));
            else if (i is < Row.Last or Row.PeakC) Step[i] = default;
    }

    /// <summary>Adds the energies of the last piece to the step.</summary>
    internal void AddPiece(double share)
    {
        var factor = TOps.Spread(share);
        for (var i = 0; i < RowLength; i++)
            if (i is < Row.Largest or >= Row.Bands) Step[i] = TOps.MultiplyAdd(Piece[i], factor, Step[i]);
    }

    /// <summary>Filters the frames at <see cref="Input"/>; <see cref="TimeWeight"/> is to follow for all of them.</summary>
    /// <param name="frames">How many, at most <see cref="MostFrames"/>.</param>
    /// <param name="position">Place of the first, from the start of the chunk; before it, bands that need no such long warm-up rest.</param>
    internal void Run(int frames, long position)
    {
        Weight(frames);
        if (_full > 0)
        {
            Difference(frames);
            RunBands(frames, beginning: false, position);
            // In the warm-up the bands begin one after the other, each when it must. A band that begins has heard nothing before: with the
            // differences of the running bands it would hear the start of a tone as a step its zeros never see, up to 170 dB too loud.
            if (Array.IndexOf(_running, value: false) >= 0)
            {
                ForgetBefore(frames);
                RunBands(frames, beginning: true, position);
            }
        }
        var bound = TOps.Spread(Stillness.Below);
        for (var i = 0; i < _stateVectors; i++) _weightingStates[i] = TOps.ZeroBelow(_weightingStates[i], bound);
        for (var i = 0; i < Row.Sums; i++) Step[Row.Last + i] = TOps.ZeroBelow(Step[Row.Last + i], bound);
    }

    /// <summary>Takes the frames at <see cref="Input"/> into the block, filtered or not.</summary>
    internal void Advance(int frames) => _filled += frames;

    /// <summary>Begins the next block.</summary>
    internal void NextBlock()
    {
        Buffer.MemoryCopy(_input + BlockFrames, _input, History * sizeof(TVector), History * sizeof(TVector));
        _filled = 0;
    }

    /// <summary>C, then A behind it and Z beside it: two loops, each of which has its states in registers where there are 16.</summary>
    /// <remarks>Two frames in a round: the state before the last is overwritten by the new one, and nothing has to be moved.
    /// All gains, that of the first numerator too, are left to whoever reads the sums (<see cref="FilterSet.PowerGain"/>).</remarks>
    private void Weight(int frames)
    {
        WeightC(frames);
        WeightAAndZ(frames);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void WeightC(int frames)
    {
        var filters = _set.Weightings;
        TVector c1 = TOps.Spread(filters.CLow.Feedback1), c2 = TOps.Spread(filters.CLow.Feedback2);
        TVector h1 = TOps.Spread(filters.CHighFeedback1), h2 = TOps.Spread(filters.CHighFeedback2);
        var b0 = filters.CHighNumerator[0];
        var b = _inMemory;
        for (var i = 0; i < 3; i++) b[i] = TOps.Spread(filters.CHighNumerator[i + 1] / b0);
        TVector b1 = b[0], b2 = b[1], b3 = b[2], minusTwo = TOps.Spread(-2);
        var s = _weightingStates;
        TVector s1 = s[0], s2 = s[1], t1 = s[2], t2 = s[3], y1 = s[4], y2 = s[5], y3 = s[6], sum = default, peak = Step[Row.PeakC];
        TVector* x = Input, to = _weighted, squares = _squares + MostFrames;
        var n = 0;
        for (; n + 1 < frames; n += 2)
        {
            Keep(FrameOfC(ref s2, s1, ref t2, t1, ref y1, ref y2, ref y3, c1, c2, h1, h2, b1, b2, b3, minusTwo, b, x[n]), to + n, squares + n, ref sum, ref peak);
            Keep(FrameOfC(ref s1, s2, ref t1, t2, ref y1, ref y2, ref y3, c1, c2, h1, h2, b1, b2, b3, minusTwo, b, x[n + 1]), to + n + 1, squares + n + 1, ref sum, ref peak);
        }
        if (n < frames)
        {
            Keep(FrameOfC(ref s2, s1, ref t2, t1, ref y1, ref y2, ref y3, c1, c2, h1, h2, b1, b2, b3, minusTwo, b, x[n]), to + n, squares + n, ref sum, ref peak);
            (s1, s2, t1, t2) = (s2, s1, t2, t1);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5], s[6]) = (s1, s2, t1, t2, y1, y2, y3);
        Piece[Row.Energy + 1] = sum;
        Step[Row.PeakC] = peak;
    }

    /// <summary>One frame of C: the high-pass of its low poles, the high poles, then three zeros whose part lies ready up to three frames ahead (transposed form).</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector FrameOfC(ref TVector s2, TVector s1, ref TVector t2, TVector t1, ref TVector y1, ref TVector y2, ref TVector y3,
        TVector c1, TVector c2, TVector h1, TVector h2, TVector b1, TVector b2, TVector b3, TVector minusTwo, TVector* b, TVector x)
    {
        var w = Sections<TOps, TVector>.Poles(ref t2, t1, h1, h2, Sections<TOps, TVector>.HighPass(ref s2, s1, c1, c2, minusTwo, x));
        var c = TOps.Add(w, y1);
        y1 = TOps.MultiplyAdd(TOps.Count == 8 ? b1 : b[0], w, y2);
        y2 = TOps.MultiplyAdd(TOps.Count == 8 ? b2 : b[1], w, y3);
        y3 = TOps.Multiply(TOps.Count == 8 ? b3 : b[2], w);
        return c;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Keep(TVector c, TVector* to, TVector* square, ref TVector sum, ref TVector peak)
    {
        *to = c;
        peak = TOps.Max(peak, TOps.Magnitude(c));
        *square = Square(c, ref sum);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Square(TVector y, ref TVector sum)
    {
        y = TOps.Multiply(y, y);
        sum = TOps.Add(sum, y);
        return y;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void WeightAAndZ(int frames)
    {
        var filters = _set.Weightings;
        TVector a1 = TOps.Spread(filters.ALow.Feedback1), a2 = TOps.Spread(filters.ALow.Feedback2);
        TVector z1 = TOps.Spread(filters.ZLow.Feedback1), z2 = TOps.Spread(filters.ZLow.Feedback2), minusTwo = TOps.Spread(-2);
        var s = _weightingStates + 7;
        TVector s1 = s[0], s2 = s[1], t1 = s[2], t2 = s[3], sumA = default, sumZ = default;
        TVector* x = Input, c = _weighted, squaresA = _squares, squaresZ = _squares + (2 * MostFrames);
        var n = 0;
        for (; n + 1 < frames; n += 2)
        {
            squaresA[n] = Square(Sections<TOps, TVector>.HighPass(ref s2, s1, a1, a2, minusTwo, c[n]), ref sumA);
            squaresZ[n] = Square(Sections<TOps, TVector>.HighPass(ref t2, t1, z1, z2, minusTwo, x[n]), ref sumZ);
            squaresA[n + 1] = Square(Sections<TOps, TVector>.HighPass(ref s1, s2, a1, a2, minusTwo, c[n + 1]), ref sumA);
            squaresZ[n + 1] = Square(Sections<TOps, TVector>.HighPass(ref t1, t2, z1, z2, minusTwo, x[n + 1]), ref sumZ);
        }
        if (n < frames)
        {
            squaresA[n] = Square(Sections<TOps, TVector>.HighPass(ref s2, s1, a1, a2, minusTwo, c[n]), ref sumA);
            squaresZ[n] = Square(Sections<TOps, TVector>.HighPass(ref t2, t1, z1, z2, minusTwo, x[n]), ref sumZ);
            (s1, s2, t1, t2) = (s2, s1, t2, t1);
        }
        (s[0], s[1], s[2], s[3]) = (s1, s2, t1, t2);
        Piece[Row.Energy] = sumA;
        Piece[Row.Energy + 2] = sumZ;
    }

    /// <summary>F and S of A, C and Z in one loop: six recursions side by side.</summary>
    /// <param name="first">The first frame, counted from the first that was filtered last.</param>
    /// <param name="frames">How many.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal void TimeWeight(int first, int frames)
    {
        TVector fast = TOps.Spread(_set.FastDecay), slow = TOps.Spread(_set.SlowDecay);
        TVector* last = Step + Row.Last, largest = Step + Row.Largest, squares = _squares + first;
        TVector af = last[0], aS = last[1], cf = last[2], cs = last[3], zf = last[4], zs = last[5];
        TVector maf = largest[0], mas = largest[1], mcf = largest[2], mcs = largest[3], mzf = largest[4], mzs = largest[5];
        for (var n = 0; n < frames; n++)
        {
            var square = squares[n];
            af = TOps.MultiplyAdd(fast, af, square);
            aS = TOps.MultiplyAdd(slow, aS, square);
            square = squares[MostFrames + n];
            cf = TOps.MultiplyAdd(fast, cf, square);
            cs = TOps.MultiplyAdd(slow, cs, square);
            square = squares[(2 * MostFrames) + n];
            zf = TOps.MultiplyAdd(fast, zf, square);
            zs = TOps.MultiplyAdd(slow, zs, square);
            maf = TOps.Max(maf, af);
            mas = TOps.Max(mas, aS);
            mcf = TOps.Max(mcf, cf);
            mcs = TOps.Max(mcs, cs);
            mzf = TOps.Max(mzf, zf);
            mzs = TOps.Max(mzs, zs);
        }
        (last[0], last[1], last[2], last[3], last[4], last[5]) = (af, aS, cf, cs, zf, zs);
        (largest[0], largest[1], largest[2], largest[3], largest[4], largest[5]) = (maf, mas, mcf, mcs, mzf, mzs);
    }

    private void RunBands(int frames, bool beginning, long position)
    {
        foreach (var (first, second) in _loops)
        {
            if (beginning ? _running[first] || position + frames <= _begins[first] : !_running[first]) continue;
            _running[first] = _running[second] = true;
            TVector* s = _bandStates + (StatesOfBand * first), t = _bandStates + (StatesOfBand * second);
            var (p, q) = (_set.Bands[first], _set.Bands[second]);
            ref var sum = ref Piece[Row.Bands + first];
            ref var other = ref Piece[Row.Bands + second];
            if (first == second) sum = first < _common ? BandLoops<TOps, TVector>.Three(p, _difference, s, frames) : BandLoops<TOps, TVector>.ThreeFitted(p, _plainDifference, s, _inMemory, frames);
            else if (second >= _common) (sum, other) = PairLoops<TOps, TVector>.PlainAndFitted(p, q, _difference, _plainDifference, s, t, _inMemory, frames);
            // Two bands at a time take 26 registers: only the widest vectors come with 32.
            else if (TOps.Count == 8) (sum, other) = BandLoops<TOps, TVector>.ThreeTwice(p, q, _difference, s, t, frames);
            else (sum, other) = PairLoops<TOps, TVector>.Plain(p, q, _difference, s, t, _inMemory, frames);
        }
    }

    /// <summary>Which bands share a loop; a band alone stands twice.</summary>
    private static List<(int First, int Second)> Loops(int common, int full)
    {
        var loops = new List<(int, int)>();
        var (plain, fitted) = (0, common);
        if (TOps.Count < 8)
            while (plain < common && fitted < full) loops.Add((plain++, fitted++));
        for (; plain + 1 < common; plain += 2) loops.Add((plain, plain + 1));
        if (plain < common) loops.Add((plain, plain));
        for (; fitted < full; fitted++) loops.Add((fitted, fitted));
        return loops;
    }

    /// <summary>(1 − z⁻²)³ and (1 − z⁻¹)³ of the input.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Difference(int frames)
    {
        var minusThree = TOps.Spread(-3);
        TVector* x = Input, d = _difference, e = _plainDifference;
        // Every frame is loaded once.
        TVector x1 = x[-1], x2 = x[-2], x3 = x[-3], x4 = x[-4], x5 = x[-5], x6 = x[-6];
        for (var n = 0; n < frames; n++)
        {
            var now = x[n];
            d[n] = TOps.MultiplyAdd(minusThree, TOps.Subtract(x2, x4), TOps.Subtract(now, x6));
            e[n] = TOps.MultiplyAdd(minusThree, TOps.Subtract(x1, x2), TOps.Subtract(now, x3));
            (x6, x5, x4, x3, x2, x1) = (x5, x4, x3, x2, x1, now);
        }
    }

    /// <summary>The differences as they are when nothing came before the first frame.</summary>
    private void ForgetBefore(int frames)
    {
        var x = Input;
        TVector Since(int n) => n >= 0 ? x[n] : default;
        var minusThree = TOps.Spread(-3);
        for (var n = 0; n < Math.Min(LookBack, frames); n++)
        {
            _difference[n] = TOps.MultiplyAdd(minusThree, TOps.Subtract(Since(n - 2), Since(n - 4)), TOps.Subtract(x[n], Since(n - 6)));
            _plainDifference[n] = TOps.MultiplyAdd(minusThree, TOps.Subtract(Since(n - 1), Since(n - 2)), TOps.Subtract(x[n], Since(n - 3)));
        }
    }
}
