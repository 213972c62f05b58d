using System.Runtime.CompilerServices;

namespace Hushtrial.Signals.Levels;

/// <summary>All filters of a measurement with the states of as many chunks as a vector has lanes.</summary>
/// <remarks>A lane is a chunk: every filter is plain scalar code on vectors, without shuffles. Direct form II; the common numerator
/// (1 − z⁻²)³ of the bands is applied once to the input, so that a band costs two multiply-adds per section and one for its energy.</remarks>
internal sealed unsafe class LaneBank<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    /// <summary>Most frames in one call: the working set stays in the first two caches.</summary>
    internal const int MostFrames = 256;

    // Earlier frames the difference looks back to.
    private const int LookBack = 6;
    private const int History = LowRateBank<TOps, TVector>.History;
    private const int BlockFrames = LowRateBank<TOps, TVector>.Block;

    private readonly FilterSet _set;
    private readonly int _full;
    private readonly int _common;
    private readonly int[] _begins;
    private readonly bool[] _running;
    private readonly PinnedVectors<TVector> _memory;
    private readonly TVector* _input;
    private readonly TVector* _difference;
    private readonly TVector* _plainDifference;
    private readonly TVector* _squares;
    private readonly TVector* _weightingStates;
    private readonly TVector* _bandStates;
    private readonly int _stateVectors;
    private int _filled;

    internal LaneBank(FilterSet set)
    {
        _set = set;
        _full = set.FullRate;
        _common = set.Bands.Take(_full).Count(b => b.Numerator is null);
        _begins = [.. set.Bands.Take(_full).Select(b => -b.SettlingFrames)];
        _running = new bool[_begins.Length];
        // Two bands that may share a loop begin together, whether they do share it on this processor or not.
        for (var i = 0; i + 1 < _common; i += 2) _begins[i] = _begins[i + 1] = Math.Min(_begins[i], _begins[i + 1]);
        var bandStates = 6 * _full;
        _memory = new(History + BlockFrames + (5 * MostFrames) + (2 * RowLength) + 9 + bandStates);
        _input = _memory.Take(History + BlockFrames);
        _difference = _memory.Take(MostFrames);
        _plainDifference = _memory.Take(MostFrames);
        _squares = _memory.Take(3 * MostFrames);
        Piece = _memory.Take(RowLength);
        Step = _memory.Take(RowLength);
        _weightingStates = _memory.Take(9);
        _bandStates = _memory.Take(bandStates);
        _stateVectors = 9 + bandStates;
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

    /// <summary>Filters the frames at <see cref="Input"/>.</summary>
    /// <param name="frames">How many, at most <see cref="MostFrames"/>.</param>
    /// <param name="position">Place of the first, from the start of the chunk; before it, bands that need no such long warm-up rest.</param>
    internal void Run(int frames, long position)
    {
        Weight(frames);
        TimeWeight(frames);
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

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Weight(int frames)
    {
        var filters = _set.Weightings;
        TVector c1 = TOps.Spread(filters.CLow.Feedback1), c2 = TOps.Spread(filters.CLow.Feedback2);
        TVector h1 = TOps.Spread(filters.CHighFeedback1), h2 = TOps.Spread(filters.CHighFeedback2);
        TVector b0 = TOps.Spread(filters.CHighNumerator[0]), b1 = TOps.Spread(filters.CHighNumerator[1]);
        TVector b2 = TOps.Spread(filters.CHighNumerator[2]), b3 = TOps.Spread(filters.CHighNumerator[3]);
        TVector a1 = TOps.Spread(filters.ALow.Feedback1), a2 = TOps.Spread(filters.ALow.Feedback2);
        TVector z1 = TOps.Spread(filters.ZLow.Feedback1), z2 = TOps.Spread(filters.ZLow.Feedback2);
        TVector gainA = TOps.Spread(filters.AGain * filters.AGain), gainZ = TOps.Spread(filters.ZGain * filters.ZGain);
        var minusTwo = TOps.Spread(-2);
        var s = _weightingStates;
        TVector cs1 = s[0], cs2 = s[1], hs1 = s[2], hs2 = s[3], hs3 = s[4], as1 = s[5], as2 = s[6], zs1 = s[7], zs2 = s[8];
        TVector sumA = default, sumC = default, sumZ = default, peak = Step[Row.PeakC];
        TVector* x = Input, squares = _squares;
        for (var n = 0; n < frames; n++)
        {
            var w = TOps.MultiplyAdd(c1, cs1, TOps.MultiplyAdd(c2, cs2, x[n]));
            var low = TOps.Add(TOps.MultiplyAdd(minusTwo, cs1, w), cs2);
            (cs2, cs1) = (cs1, w);

            w = TOps.MultiplyAdd(h1, hs1, TOps.MultiplyAdd(h2, hs2, low));
            var c = TOps.MultiplyAdd(b0, w, TOps.MultiplyAdd(b1, hs1, TOps.MultiplyAdd(b2, hs2, TOps.Multiply(b3, hs3))));
            (hs3, hs2, hs1) = (hs2, hs1, w);

            w = TOps.MultiplyAdd(a1, as1, TOps.MultiplyAdd(a2, as2, c));
            var a = TOps.Add(TOps.MultiplyAdd(minusTwo, as1, w), as2);
            (as2, as1) = (as1, w);

            w = TOps.MultiplyAdd(z1, zs1, TOps.MultiplyAdd(z2, zs2, x[n]));
            var z = TOps.Add(TOps.MultiplyAdd(minusTwo, zs1, w), zs2);
            (zs2, zs1) = (zs1, w);

            peak = TOps.Max(peak, TOps.Magnitude(c));
            var square = TOps.Multiply(TOps.Multiply(a, a), gainA);
            squares[n] = square;
            sumA = TOps.Add(sumA, square);
            square = TOps.Multiply(c, c);
            squares[MostFrames + n] = square;
            sumC = TOps.Add(sumC, square);
            square = TOps.Multiply(TOps.Multiply(z, z), gainZ);
            squares[(2 * MostFrames) + n] = square;
            sumZ = TOps.Add(sumZ, square);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7], s[8]) = (cs1, cs2, hs1, hs2, hs3, as1, as2, zs1, zs2);
        Piece[Row.Energy] = sumA;
        Piece[Row.Energy + 1] = sumC;
        Piece[Row.Energy + 2] = sumZ;
        Step[Row.PeakC] = peak;
    }

    /// <summary>F and S of A, C and Z in one loop: six recursions side by side.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void TimeWeight(int frames)
    {
        TVector fast = TOps.Spread(_set.FastDecay), slow = TOps.Spread(_set.SlowDecay);
        TVector* last = Step + Row.Last, largest = Step + Row.Largest, squares = _squares;
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
        var state = _bandStates;
        for (var band = 0; band < _begins.Length; band++, state += 6)
        {
            if (beginning ? _running[band] || position + frames <= _begins[band] : !_running[band]) continue;
            _running[band] = true;
            if (band >= _common) ThreeFitted(band, state, frames);
            // Two bands at a time take 26 registers: only the widest vectors come with 32.
            else if (TOps.Count == 8 && band % 2 == 0 && band + 1 < _common)
            {
                ThreeTwice(band, state, frames);
                _running[++band] = true;
                state += 6;
            }
            else Three(band, state, frames);
        }
    }

    /// <summary>(1 − z⁻²)³ and (1 − z⁻¹)³ of the input.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Difference(int frames)
    {
        var minusThree = TOps.Spread(-3);
        TVector* x = Input, d = _difference, e = _plainDifference;
        for (var n = 0; n < frames; n++)
        {
            d[n] = TOps.MultiplyAdd(minusThree, TOps.Subtract(x[n - 2], x[n - 4]), TOps.Subtract(x[n], x[n - 6]));
            e[n] = TOps.MultiplyAdd(minusThree, TOps.Subtract(x[n - 1], x[n - 2]), TOps.Subtract(x[n], x[n - 3]));
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

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Three(int band, TVector* s, int frames)
    {
        var p = _set.Bands[band];
        TVector p11 = TOps.Spread(p.Feedback1[0]), p12 = TOps.Spread(p.Feedback2[0]), p21 = TOps.Spread(p.Feedback1[1]);
        TVector p22 = TOps.Spread(p.Feedback2[1]), p31 = TOps.Spread(p.Feedback1[2]), p32 = TOps.Spread(p.Feedback2[2]);
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], sum = default;
        var d = _difference;
        for (var n = 0; n < frames; n++)
        {
            var w = TOps.MultiplyAdd(p11, u11, TOps.MultiplyAdd(p12, u12, d[n]));
            (u12, u11) = (u11, w);
            w = TOps.MultiplyAdd(p21, u21, TOps.MultiplyAdd(p22, u22, w));
            (u22, u21) = (u21, w);
            w = TOps.MultiplyAdd(p31, u31, TOps.MultiplyAdd(p32, u32, w));
            (u32, u31) = (u31, w);
            sum = TOps.MultiplyAdd(w, w, sum);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5]) = (u11, u12, u21, u22, u31, u32);
        Piece[Row.Bands + band] = sum;
    }

    /// <summary>Two bands in one loop: their recursions hide each other's latency.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void ThreeTwice(int band, TVector* s, int frames)
    {
        var p = _set.Bands[band];
        var q = _set.Bands[band + 1];
        TVector p11 = TOps.Spread(p.Feedback1[0]), p12 = TOps.Spread(p.Feedback2[0]), p21 = TOps.Spread(p.Feedback1[1]);
        TVector p22 = TOps.Spread(p.Feedback2[1]), p31 = TOps.Spread(p.Feedback1[2]), p32 = TOps.Spread(p.Feedback2[2]);
        TVector q11 = TOps.Spread(q.Feedback1[0]), q12 = TOps.Spread(q.Feedback2[0]), q21 = TOps.Spread(q.Feedback1[1]);
        TVector q22 = TOps.Spread(q.Feedback2[1]), q31 = TOps.Spread(q.Feedback1[2]), q32 = TOps.Spread(q.Feedback2[2]);
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], sum = default;
        TVector v11 = s[6], v12 = s[7], v21 = s[8], v22 = s[9], v31 = s[10], v32 = s[11], other = default;
        var d = _difference;
        for (var n = 0; n < frames; n++)
        {
            var x = d[n];
            var w = TOps.MultiplyAdd(p11, u11, TOps.MultiplyAdd(p12, u12, x));
            (u12, u11) = (u11, w);
            w = TOps.MultiplyAdd(p21, u21, TOps.MultiplyAdd(p22, u22, w));
            (u22, u21) = (u21, w);
            w = TOps.MultiplyAdd(p31, u31, TOps.MultiplyAdd(p32, u32, w));
            (u32, u31) = (u31, w);
            sum = TOps.MultiplyAdd(w, w, sum);

            var y = TOps.MultiplyAdd(q11, v11, TOps.MultiplyAdd(q12, v12, x));
            (v12, v11) = (v11, y);
            y = TOps.MultiplyAdd(q21, v21, TOps.MultiplyAdd(q22, v22, y));
            (v22, v21) = (v21, y);
            y = TOps.MultiplyAdd(q31, v31, TOps.MultiplyAdd(q32, v32, y));
            (v32, v31) = (v31, y);
            other = TOps.MultiplyAdd(y, y, other);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5]) = (u11, u12, u21, u22, u31, u32);
        (s[6], s[7], s[8], s[9], s[10], s[11]) = (v11, v12, v21, v22, v31, v32);
        Piece[Row.Bands + band] = sum;
        Piece[Row.Bands + band + 1] = other;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void ThreeFitted(int band, TVector* s, int frames)
    {
        var p = _set.Bands[band];
        TVector p11 = TOps.Spread(p.Feedback1[0]), p12 = TOps.Spread(p.Feedback2[0]), p21 = TOps.Spread(p.Feedback1[1]);
        TVector p22 = TOps.Spread(p.Feedback2[1]), p31 = TOps.Spread(p.Feedback1[2]), p32 = TOps.Spread(p.Feedback2[2]);
        TVector b1 = TOps.Spread(p.Numerator![1]), b2 = TOps.Spread(p.Numerator[2]);
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], sum = default;
        var d = _plainDifference;
        for (var n = 0; n < frames; n++)
        {
            var w = TOps.MultiplyAdd(p11, u11, TOps.MultiplyAdd(p12, u12, d[n]));
            (u12, u11) = (u11, w);
            w = TOps.MultiplyAdd(p21, u21, TOps.MultiplyAdd(p22, u22, w));
            (u22, u21) = (u21, w);
            w = TOps.MultiplyAdd(p31, u31, TOps.MultiplyAdd(p32, u32, w));
            var y = TOps.MultiplyAdd(b1, u31, TOps.MultiplyAdd(b2, u32, w));
            (u32, u31) = (u31, w);
            sum = TOps.MultiplyAdd(y, y, sum);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5]) = (u11, u12, u21, u22, u31, u32);
        Piece[Row.Bands + band] = sum;
    }
}
