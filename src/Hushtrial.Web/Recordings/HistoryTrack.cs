using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Web.Recordings;

/// <summary>The level history of one channel while it comes into being: measured piece by piece, readable from the first piece on, by any number of readers.</summary>
internal sealed class HistoryTrack
{
    /// <summary>Length of a step, s.</summary>
    public const double StepSeconds = 0.125;

    // A first short piece is on the screen at once; long ones waste less on settling the filters.
    private const int FirstPieceSeconds = 120;
    private const int PieceSeconds = 960;

    // Samples that are no numbers spoil the settling of the filters behind them too; a stretch this short is given up as a whole.
    private const int ShortestPieceSeconds = 8;

    private readonly byte[] _bytes;
    private readonly Lock _gate = new();
    private TaskCompletionSource _more = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private int _filled;
    private bool _ended;
    private Exception? _failure;

    /// <summary>Makes room for the history of a recording.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The recording has no frames, or is longer than 60 hours.</exception>
    public HistoryTrack(SampleSource samples)
    {
        var seconds = (double)samples.Frames / samples.SampleRate;
        if (seconds is not (> 0 and <= 216_000)) throw new ArgumentOutOfRangeException(nameof(samples), seconds, "A level history has 0 to 60 hours.");
        Steps = (int)Math.Ceiling((seconds / StepSeconds) - 1e-9);
        _bytes = new byte[HistoryRows.HeadBytes + (Steps * HistoryRows.RowBytes)];
        HistoryRows.WriteHead(_bytes, StepSeconds, 0, Steps, seconds - ((Steps - 1) * StepSeconds));
        _filled = HistoryRows.HeadBytes;
    }

    /// <summary>Number of steps.</summary>
    public int Steps { get; }

    /// <summary>Length of all of it, bytes.</summary>
    public int Length => _bytes.Length;

    /// <summary>All of it, once it is whole.</summary>
    public ReadOnlyMemory<byte> Whole => _filled == _bytes.Length ? _bytes : throw new InvalidOperationException("The history is not whole yet.");

    /// <summary>Measures all of it. To be called once.</summary>
    public void Measure(SampleSource samples, int channel, CancellationToken cancellation)
    {
        try
        {
            var rate = (long)samples.SampleRate;
            for (var (at, length) = (0L, FirstPieceSeconds * rate); at < samples.Frames; (at, length) = (at + length, PieceSeconds * rate))
            {
                var frames = Math.Min(length, samples.Frames - at);
                Piece(samples, channel, at, frames, cancellation);
                Publish(Rows(samples, at + frames));
            }
            End(null);
        }
        catch (Exception e)
        {
            End(e);
            throw;
        }
    }

    /// <summary>Writes it to a reader, as far as it is there and then as it comes.</summary>
    public async Task CopyToAsync(Stream reader, CancellationToken cancellation)
    {
        for (var at = 0; at < _bytes.Length;)
        {
            Task more;
            int filled;
            lock (_gate)
            {
                if (_failure is { } failure) throw new InvalidOperationException("The level history could not be measured.", failure);
                (filled, more) = (_filled, _more.Task);
            }
            if (filled == at)
            {
                await more.WaitAsync(cancellation);
                continue;
            }
            await reader.WriteAsync(_bytes.AsMemory(at, filled - at), cancellation);
            await reader.FlushAsync(cancellation);
            at = filled;
        }
    }

    private static int Rows(SampleSource samples, long frames) => (int)Math.Ceiling((frames / (StepSeconds * samples.SampleRate)) - 1e-9);

    private void Piece(SampleSource samples, int channel, long first, long frames, CancellationToken cancellation)
    {
        var (from, to) = (Rows(samples, first), Rows(samples, first + frames));
        var target = _bytes.AsSpan(HistoryRows.HeadBytes + (from * HistoryRows.RowBytes), (to - from) * HistoryRows.RowBytes);
        try
        {
            HistoryRows.Write(target, LevelAnalysis.Measure(samples, channel, first, frames, new LevelSettings { History = true, Octaves = false, StepSeconds = StepSeconds }, null, cancellation).History!);
        }
        catch (InvalidDataException) when (frames > ShortestPieceSeconds * (long)samples.SampleRate)
        {
            // Halves end on whole seconds, so that steps stay where they are.
            var half = Math.Max(1, frames / 2 / samples.SampleRate) * samples.SampleRate;
            Piece(samples, channel, first, half, cancellation);
            Piece(samples, channel, first + half, frames - half, cancellation);
        }
        catch (InvalidDataException)
        {
            HistoryRows.Fill(target, to - from);
        }
    }

    private void Publish(int rows)
    {
        lock (_gate)
        {
            _filled = HistoryRows.HeadBytes + (rows * HistoryRows.RowBytes);
            Wake();
        }
    }

    private void End(Exception? failure)
    {
        lock (_gate)
        {
            (_ended, _failure) = (true, failure);
            Wake();
        }
    }

    private void Wake()
    {
        var awake = _more;
        if (!_ended) _more = new(TaskCreationOptions.RunContinuationsAsynchronously);
        awake.TrySetResult();
    }
}
