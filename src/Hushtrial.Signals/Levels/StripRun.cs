using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Levels;

/// <summary>What one chunk came to: a row per step, and the readings of AF and AS between.</summary>
internal sealed class ChunkRows(int rowLength, int steps, int readings, int earlyPieces = 0)
{
    private readonly double[] _rows = new double[rowLength * (steps + 1)];

    internal int Steps { get; set; }

    internal int Readings { get; set; }

    /// <summary>F and S sums at the start of the chunk, in the order of <see cref="Row.Last"/>.</summary>
    internal double[] SumsAtStart { get; } = new double[Row.Sums];

    /// <summary>Maxima of S in the first steps, piece by piece: the middle of the piece in frames from the start of the chunk, then AS, CS and ZS.</summary>
    internal List<double> EarlyMaxima { get; } = new(4 * earlyPieces);

    internal double[] Fast { get; } = new double[readings];

    internal double[] Slow { get; } = new double[readings];

    /// <summary>Frame of each reading, from the start of the chunk.</summary>
    internal int[] ReadAt { get; } = new int[readings];

    internal Span<double> RowOf(int step) => _rows.AsSpan(step * rowLength, rowLength);
}

/// <summary>Filters as many neighbouring chunks at once as a vector has lanes.</summary>
internal sealed unsafe class StripRun<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    private const int ReadFrames = LaneFrames<TOps, TVector>.Row;

    private const int NoReading = 0;

    // More than any halving's delay.
    private const int LookAhead = 4096;

    private readonly ChunkPlan _plan;
    private readonly LaneBank<TOps, TVector> _bank;
    private readonly LowRateBank<TOps, TVector> _low;
    private readonly LaneFrames<TOps, TVector> _read;
    private readonly long[] _length = new long[TOps.Count];
    private readonly long[] _frames = new long[TOps.Count];
    private readonly ChunkRows[] _chunks;
    private int _firstChunk;
    private long _position;
    private long _readFrom;
    private int _step;
    private int _reading;

    internal StripRun(SampleSource samples, int channel, ChunkPlan plan, FilterSet set)
    {
        (_plan, _read) = (plan, new(samples, channel));
        _bank = new(set);
        _low = new(plan, set);
        _chunks = new ChunkRows[TOps.Count];
        // A piece ends early where a step ends, or a block.
        var early = Math.Min(plan.EarlySteps, plan.StepsPerChunk);
        var earlyFrames = early * plan.StepMilliframes / 1000;
        var pieces = (int)((earlyFrames / plan.EarlyPiece) + (earlyFrames / LowRateBank<TOps, TVector>.Block)) + (2 * early);
        for (var lane = 0; lane < TOps.Count; lane++)
            _chunks[lane] = new(Row.Bands + set.Bands.Count, plan.StepsPerChunk, (plan.StepsPerChunk * plan.ReadingsPerStep) + 1, pieces);
    }

    /// <summary>The chunks of the last run.</summary>
    internal IReadOnlyList<ChunkRows> Chunks => _chunks;

    /// <summary>Runs the chunks from one on; the result in <see cref="Chunks"/> stays valid until the next call.</summary>
    /// <param name="firstChunk">First chunk of the group.</param>
    /// <param name="done">Told how many frames have gone through, warm-up not counted.</param>
    /// <param name="cancellation">Ends the run.</param>
    internal void Run(int firstChunk, Action<long>? done, CancellationToken cancellation)
    {
        _firstChunk = firstChunk;
        for (var lane = 0; lane < TOps.Count; lane++)
        {
            _length[lane] = _frames[lane] = Math.Max(0, _plan.FramesOf(firstChunk + lane));
            (_chunks[lane].Steps, _chunks[lane].Readings) = (0, 0);
            _chunks[lane].EarlyMaxima.Clear();
        }
        _bank.Reset();
        _low.Reset();
        _position = -(firstChunk == 0 ? _plan.WarmUpOfFirst : _plan.WarmUp);
        _step = 0;
        _readFrom = long.MinValue / 2;
        _reading = NoReading;
        while (_position < -_plan.WarmUp) Advance(-_plan.WarmUp);
        // Whatever the number of lanes: chunks beside the first hear no more than others.
        for (var lane = firstChunk == 0 ? 1 : 0; lane < TOps.Count; lane++)
            for (var i = 0; i < Row.Sums; i++) Lane(ref _bank.Step[Row.Last + i], lane) = 0;
        while (_position < 0) Advance(0);
        for (var lane = 0; lane < TOps.Count; lane++)
            for (var i = 0; i < Row.Sums; i++)
                _chunks[lane].SumsAtStart[i] = Lane(_bank.Step[Row.Last + i], lane);
        _bank.BeginStep(0);

        var active = Close();
        for (_step = 0; _step < _plan.StepsPerChunk && active > 0; _step++)
        {
            cancellation.ThrowIfCancellationRequested();
            var before = _position;
            var stop = _plan.ReadingAt(_step, _plan.ReadingsPerStep);
            _reading = 1;
            while (_position < stop && active > 0)
            {
                var lane = Advance(stop);
                _bank.AddPiece(1);
                if (lane) active = Close();
            }
            if (active == 0) break;
            _reading = NoReading;
            var share = _plan.ShareAtEnd(_step);
            if (share > 0)
            {
                Advance(_position + 1);
                _bank.AddPiece(share);
            }
            EndStep();
            _bank.BeginStep(share > 0 ? 1 - share : 0);
            if (share > 0) active = Close(inNextStep: true);
            done?.Invoke((_position - before) * active);
        }
        // The bands at reduced rates are some hundred frames late.
        while (!_low.Done(_frames)) Feed(_position + _bank.Room);
    }

    private static double Lane(TVector vector, int lane) => Lane(ref vector, lane);

    private static ref double Lane(ref TVector vector, int lane) => ref Unsafe.Add(ref Unsafe.As<TVector, double>(ref vector), lane);

    /// <summary>Filters up to a place, or less; true when some chunk ends where it stopped.</summary>
    private bool Advance(long stop)
    {
        var upTo = stop;
        foreach (var length in _length)
            if (length > _position) upTo = Math.Min(upTo, length);
        return Array.IndexOf(_length, Feed(upTo, filter: true)) >= 0;
    }

    /// <summary>Takes frames up to a place, or less, and returns the place it came to.</summary>
    private long Feed(long upTo, bool filter = false)
    {
        if (_position >= _readFrom + ReadFrames) Fill();
        var frames = (int)Math.Min(Math.Min(upTo, _readFrom + ReadFrames) - _position, Math.Min(_bank.Room, LaneBank<TOps, TVector>.MostFrames));
        var early = filter && _position >= 0 && _step < _plan.EarlySteps;
        if (early) frames = Math.Min(frames, _plan.EarlyPiece);
        _read.Interleave((int)(_position - _readFrom), new(_bank.Input, frames));
        if (early) RunEarly(frames);
        else if (filter) Run(frames);
        _bank.Advance(frames);
        _position += frames;
        if (_bank.Room == 0)
        {
            _low.Add(_bank.Block, _position - LowRateBank<TOps, TVector>.Block, _chunks, _frames);
            _bank.NextBlock();
        }
        return _position;
    }

    private void Run(int frames)
    {
        _bank.Run(frames, _position);
        RunBetweenReadings(frames);
    }

    /// <summary>Keeps the maxima of S of these frames beside those of the step: what S lacks at the beginning of a chunk changes within a step.</summary>
    private void RunEarly(int frames)
    {
        const int slow = Row.Largest + 1;
        var (a, c, z) = (_bank.Step[slow], _bank.Step[slow + 2], _bank.Step[slow + 4]);
        _bank.Step[slow] = _bank.Step[slow + 2] = _bank.Step[slow + 4] = default;
        Run(frames);
        for (var lane = 0; lane < TOps.Count; lane++)
        {
            if (_length[lane] <= _position) continue;
            var maxima = _chunks[lane].EarlyMaxima;
            maxima.Add(_position + (frames / 2.0));
            for (var i = 0; i < 3; i++) maxima.Add(Lane(ref _bank.Step[slow + (2 * i)], lane));
        }
        _bank.Step[slow] = TOps.Max(_bank.Step[slow], a);
        _bank.Step[slow + 2] = TOps.Max(_bank.Step[slow + 2], c);
        _bank.Step[slow + 4] = TOps.Max(_bank.Step[slow + 4], z);
    }

    /// <summary>A and Z of the frames that were filtered last, which begin at the position, and the readings of AF and AS.</summary>
    private void RunBetweenReadings(int frames)
    {
        for (var from = 0; from < frames;)
        {
            var stop = _reading == NoReading ? long.MaxValue : _plan.ReadingAt(_step, _reading) - _position;
            var to = (int)Math.Min(stop, frames);
            _bank.RunBetweenReadings(from, to - from);
            from = to;
            if (to < stop) continue;
            Read(_position + to);
            _reading = _reading < _plan.ReadingsPerStep ? _reading + 1 : NoReading;
        }
    }

    /// <summary>Reads the next frames of every chunk; frames before the recording and after the span are silence.</summary>
    private void Fill()
    {
        // At the same places whatever the warm-up: every chunk is worked through in the same pieces.
        _readFrom = (long)Math.Floor(_position / (double)ReadFrames) * ReadFrames;
        for (var lane = 0; lane < TOps.Count; lane++)
        {
            var chunkStart = _plan.FirstFrame + ((_firstChunk + lane) * _plan.ChunkFrames);
            var from = chunkStart + _readFrom;
            // Beyond the chunk, but not beyond the span: the halvings look ahead.
            var to = _length[lane] > 0 ? Math.Min(Math.Min(from + ReadFrames, chunkStart + _length[lane] + LookAhead), _plan.FirstFrame + _plan.Frames) : from;
            var head = (int)Math.Clamp(-from, 0, ReadFrames);
            _read.Read(lane, head, from + head, (int)Math.Max(0, to - (from + head)));
        }
    }

    /// <summary>Notes AF and AS of the chunks that are still running.</summary>
    private void Read(long at)
    {
        for (var lane = 0; lane < TOps.Count; lane++)
            if (_length[lane] >= at) Note(_chunks[lane], lane, at);
    }

    private void Note(ChunkRows chunk, int lane, long at)
    {
        if (chunk.Readings > 0 ? chunk.ReadAt[chunk.Readings - 1] == at : at == 0) return;
        chunk.Fast[chunk.Readings] = Lane(_bank.Step[Row.Last], lane);
        chunk.Slow[chunk.Readings] = Lane(_bank.Step[Row.Last + 1], lane);
        chunk.ReadAt[chunk.Readings++] = (int)at;
    }

    /// <summary>Ends the chunks that end here in the middle of a step; returns how many go on.</summary>
    private int Close(bool inNextStep = false)
    {
        var active = 0;
        for (var lane = 0; lane < TOps.Count; lane++)
        {
            if (_length[lane] > _position) active++;
            // A chunk of full length ends at the end of a step and is closed by EndStep.
            else if (_length[lane] == _position && _position > 0 && _position < _plan.ChunkFrames)
            {
                Note(_chunks[lane], lane, _position);
                Write(lane, _step + (inNextStep ? 1 : 0));
                _length[lane] = -1;
            }
            else if (_length[lane] == _position && _position == _plan.ChunkFrames) active++;
        }
        return active;
    }

    private void EndStep()
    {
        for (var lane = 0; lane < TOps.Count; lane++)
            if (_length[lane] >= _position) Write(lane, _step);
    }

    private void Write(int lane, int step)
    {
        var row = _chunks[lane].RowOf(step);
        for (var i = 0; i < _bank.RowLength; i++) row[i] = Lane(_bank.Step[i], lane);
        _chunks[lane].Steps = step + 1;
    }
}
