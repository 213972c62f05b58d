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
    internal static readonly int MostFrames = Math.Max(256, 1024 / TOps.Count);

    // Earlier frames the difference looks back to.
    private const int LookBack = 6;
    private const int StatesOfBand = BandLoops<TOps, TVector>.States;
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
    private readonly WeightingLoops<TOps, TVector> _weightings;
    private readonly TVector* _inMemory;
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
        _memory = new(History + BlockFrames + (2 * MostFrames) + (2 * RowLength) + bandStates + (PairLoops<TOps, TVector>.InMemory * _loops.Count));
        _input = _memory.Take(History + BlockFrames);
        _difference = _memory.Take(MostFrames);
        _plainDifference = _memory.Take(MostFrames);
        Piece = _memory.Take(RowLength);
        Step = _memory.Take(RowLength);
        _bandStates = _memory.Take(bandStates);
        _stateVectors = bandStates;
        _inMemory = _memory.Take(PairLoops<TOps, TVector>.InMemory * _loops.Count);
        _weightings = new(set, MostFrames, Piece, Step);
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
        var memory = _inMemory;
        foreach (var (first, second) in _loops)
        {
            if (first != second) PairLoops<TOps, TVector>.Coefficients(_set.Bands[first], _set.Bands[second], memory);
            memory += PairLoops<TOps, TVector>.InMemory;
        }
        _weightings.Reset();
        Array.Clear(_running);
        _filled = 0;
    }

    /// <summary>Begins a step: energies as given by a factor on the last piece, maxima from nothing.</summary>
    internal void BeginStep(double shareOfLastPiece)
    {
        for (var i = 0; i < RowLength; i++)
            if (i is < Row.Largest or >= Row.Bands) Step[i] = TOps.Multiply(Piece[i], TOps.Spread(shareOfLastPiece));
            else if (i is < Row.Last or Row.SquaredPeakC) Step[i] = default;
    }

    /// <summary>Adds the energies of the last piece to the step.</summary>
    internal void AddPiece(double share)
    {
        var factor = TOps.Spread(share);
        for (var i = 0; i < RowLength; i++)
            if (i is < Row.Largest or >= Row.Bands) Step[i] = TOps.MultiplyAdd(Piece[i], factor, Step[i]);
    }

    /// <summary>Filters the frames at <see cref="Input"/>; <see cref="RunBetweenReadings"/> is to follow for all of them.</summary>
    /// <param name="frames">How many, at most <see cref="MostFrames"/>.</param>
    /// <param name="position">Place of the first, from the start of the chunk; before it, bands that need no such long warm-up rest.</param>
    internal void Run(int frames, long position)
    {
        _weightings.RunC(Input, frames);
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
    }

    /// <summary>A and Z with their F and S, of some of the frames that went through <see cref="Run"/> last: A is read in between.</summary>
    /// <param name="first">The first frame, counted from the first of that call.</param>
    /// <param name="frames">How many.</param>
    internal void RunBetweenReadings(int first, int frames) => _weightings.RunAAndZ(Input + first, first, frames);

    /// <summary>Takes the frames at <see cref="Input"/> into the block, filtered or not.</summary>
    internal void Advance(int frames) => _filled += frames;

    /// <summary>Begins the next block, and sets to zero what has rung out. Within a block a slow state does not get from that bound to the subnormal
    /// numbers, two hundred powers of ten below it, and a fast one soon falls through them.</summary>
    internal void NextBlock()
    {
        var bound = TOps.Spread(Stillness.Below);
        for (var i = 0; i < _stateVectors; i++) _bandStates[i] = TOps.ZeroBelow(_bandStates[i], bound);
        _weightings.Still();
        Buffer.MemoryCopy(_input + BlockFrames, _input, History * sizeof(TVector), History * sizeof(TVector));
        _filled = 0;
    }

    private void RunBands(int frames, bool beginning, long position)
    {
        var memory = _inMemory - PairLoops<TOps, TVector>.InMemory;
        foreach (var (first, second) in _loops)
        {
            memory += PairLoops<TOps, TVector>.InMemory;
            if (beginning ? _running[first] || position + frames <= _begins[first] : !_running[first]) continue;
            _running[first] = _running[second] = true;
            TVector* s = _bandStates + (StatesOfBand * first), t = _bandStates + (StatesOfBand * second);
            ref var sum = ref Piece[Row.Bands + first];
            ref var other = ref Piece[Row.Bands + second];
            if (first == second)
                sum = first < _common ? BandLoops<TOps, TVector>.Three(_set.Bands[first], _difference, s, frames) : BandLoops<TOps, TVector>.ThreeFitted(_set.Bands[first], _plainDifference, s, memory, frames);
            else if (second >= _common) (sum, other) = PairLoops<TOps, TVector>.PlainAndFitted(_difference, _plainDifference, s, t, memory, frames);
            // Two bands at a time take 26 registers: only the widest vectors come with 32.
            else if (TOps.Count == 8) (sum, other) = BandLoops<TOps, TVector>.ThreeTwice(_set.Bands[first], _set.Bands[second], _difference, s, t, frames);
            else (sum, other) = PairLoops<TOps, TVector>.Plain(_difference, s, t, memory, frames);
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
        TVector before = x[-1], before2 = x[-2];
        // Two frames in a round. Of an odd number the round behind the last reads a frame that is not there yet, and its differences are not read.
        for (var end = x + frames; x < end; x += 2, d += 2, e += 2)
        {
            var now = *x;
            *d = TOps.MultiplyAdd(minusThree, TOps.Subtract(before2, x[-4]), TOps.Subtract(now, x[-6]));
            *e = TOps.MultiplyAdd(minusThree, TOps.Subtract(before, before2), TOps.Subtract(now, x[-3]));
            before2 = x[1];
            d[1] = TOps.MultiplyAdd(minusThree, TOps.Subtract(before, x[-3]), TOps.Subtract(before2, x[-5]));
            e[1] = TOps.MultiplyAdd(minusThree, TOps.Subtract(now, before), TOps.Subtract(before2, x[-2]));
            (before2, before) = (now, before2);
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
