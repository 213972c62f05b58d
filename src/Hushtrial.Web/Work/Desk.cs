using System.Collections.Concurrent;
using System.Threading.Channels;
using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Trials;
using Hushtrial.Trials.Results;

namespace Hushtrial.Web.Work;

/// <summary>What is known of a trial's analysis.</summary>
/// <param name="Asked">The state of the trial that was last asked for.</param>
/// <param name="Running">Whether the analysis of that state is under way.</param>
/// <param name="Share">Share of it that is done, 0 to 1.</param>
/// <param name="Of">The state that the results are of; default when there are none yet.</param>
/// <param name="Results">The last results; they stay while a newer state is analysed.</param>
/// <param name="Problems">Problems that stand in the way of results of the state asked for.</param>
/// <param name="Failure">A bug of ours that ended the analysis, for the person to report; null when there was none.</param>
public sealed record DeskState(TrialMark Asked, bool Running, double Share, TrialMark Of, TrialResults? Results, IReadOnlyList<Problem> Problems, string? Failure)
{
    /// <summary>Nothing was asked for yet.</summary>
    public static DeskState Empty { get; } = new(default, false, 0, default, null, [], null);

    /// <summary>The revision that the results are of; 0 when there are none yet.</summary>
    public int Revision => Of.Revision;

    /// <summary>Whether the results belong to the trial as it stands here: its document and its files.</summary>
    public bool IsOf(StoredTrial trial)
    {
        ArgumentNullException.ThrowIfNull(trial);
        return Results is not null && Of == trial.Mark;
    }
}

/// <summary>Analyses trials in the background as they change: one analysis at a time per trial, the newest state wins, an older one is given up.</summary>
internal sealed class Desk(TrialLibrary library) : IAsyncDisposable
{
    private readonly ConcurrentDictionary<Guid, Seat> _seats = new();
    private readonly SemaphoreSlim _one = new(1);
    private readonly CancellationTokenSource _closing = new();

    /// <summary>The state of a trial's analysis.</summary>
    public DeskState State(Guid trial) => _seats.TryGetValue(trial, out var seat) ? seat.State : DeskState.Empty;

    /// <summary>Asks for the results of a trial as it stands; does nothing when they are there or on their way.</summary>
    public void Ask(StoredTrial trial)
    {
        var seat = _seats.GetOrAdd(trial.Id, _ => new Seat());
        var mark = trial.Mark;
        CancellationTokenSource mine;
        lock (seat)
        {
            if (seat.State.Asked == mark) return;
            seat.Work?.Cancel();
            mine = seat.Work = CancellationTokenSource.CreateLinkedTokenSource(_closing.Token);
            seat.State = seat.State with { Asked = mark, Running = true, Share = 0, Problems = [], Failure = null };
            seat.Running = Task.Run(() => RunAsync(seat, trial, mark, mine.Token));
        }
        Tell(trial.Id, "analysis");
    }

    /// <summary>Asks for the results of a trial as it stands, and waits until they are there, cannot be had, or another state was asked for.</summary>
    public async Task<DeskState> SettledAsync(StoredTrial trial, CancellationToken cancellation)
    {
        Ask(trial);
        var seat = _seats[trial.Id];
        Task? running;
        lock (seat) running = seat.State.Asked == trial.Mark ? seat.Running : null;
        if (running is not null) await running.WaitAsync(cancellation);
        lock (seat) return seat.State;
    }

    /// <summary>Tells every open page of a trial that something changed.</summary>
    /// <param name="trial">The trial.</param>
    /// <param name="what">'revision', 'analysis', 'upload'.</param>
    public void Tell(Guid trial, string what)
    {
        foreach (var listener in _seats.GetOrAdd(trial, _ => new Seat()).Listeners.Keys) listener.Writer.TryWrite(what);
    }

    /// <summary>What happens to a trial, as it happens.</summary>
    public async IAsyncEnumerable<string> WatchAsync(Guid trial, [System.Runtime.CompilerServices.EnumeratorCancellation] CancellationToken cancellation)
    {
        // A page that sleeps gets the newest events only: it reads the whole state anyway when it wakes.
        var channel = Channel.CreateBounded<string>(new BoundedChannelOptions(16) { FullMode = BoundedChannelFullMode.DropOldest });
        var seat = _seats.GetOrAdd(trial, _ => new Seat());
        seat.Listeners[channel] = true;
        using var either = CancellationTokenSource.CreateLinkedTokenSource(cancellation, _closing.Token);
        try
        {
            await foreach (var what in channel.Reader.ReadAllAsync(either.Token)) yield return what;
        }
        finally
        {
            seat.Listeners.TryRemove(channel, out _);
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _closing.CancelAsync();
        foreach (var seat in _seats.Values)
            if (seat.Running is { } running) await running;
        _one.Dispose();
        _closing.Dispose();
    }

    private async Task RunAsync(Seat seat, StoredTrial trial, TrialMark mark, CancellationToken cancellation)
    {
        try
        {
            // Typing comes in bursts; the pause lets the last of them through alone.
            await Task.Delay(150, cancellation);
            await _one.WaitAsync(cancellation);
            try
            {
                using var opened = library.Open(trial);
                if (!opened.Readable)
                {
                    Set(seat, trial, mark, s => s with { Running = false, Problems = opened.Problems });
                    return;
                }
                var progress = new Steady(share => Set(seat, trial, mark, s => s with { Share = share }, quiet: true));
                var results = Analysis.Run(opened.ToInputs(), progress, cancellation);
                Set(seat, trial, mark, s => s with { Running = false, Share = 1, Of = mark, Results = results, Problems = [] });
            }
            finally
            {
                _one.Release();
            }
        }
        catch (OperationCanceledException)
        {
            // A newer state took its place, or the workspace closes.
        }
#pragma warning disable CA1031 // The outermost handler of a background task: what arrives here is our bug; the page shows it, the workspace goes on.
        catch (Exception bug)
#pragma warning restore CA1031
        {
            Set(seat, trial, mark, s => s with { Running = false, Failure = $"{bug.GetType().Name}: {bug.Message}" });
        }
    }

    private void Set(Seat seat, StoredTrial trial, TrialMark mark, Func<DeskState, DeskState> change, bool quiet = false)
    {
        lock (seat)
        {
            if (seat.State.Asked != mark) return;
            seat.State = change(seat.State);
        }
        if (!quiet) Tell(trial.Id, "analysis");
    }

    private sealed class Seat
    {
        public DeskState State { get; set; } = DeskState.Empty;

        public CancellationTokenSource? Work { get; set; }

        public Task? Running { get; set; }

        public ConcurrentDictionary<Channel<string>, bool> Listeners { get; } = new();
    }

    /// <summary>Reports on the thread that works: the framework's own progress type would hop to others and arrive late.</summary>
    private sealed class Steady(Action<double> report) : IProgress<double>
    {
        public void Report(double value) => report(value);
    }
}
