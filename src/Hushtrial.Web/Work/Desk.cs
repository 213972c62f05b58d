using System.Collections.Concurrent;
using System.Threading.Channels;
using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Trials;
using Hushtrial.Trials.Results;

namespace Hushtrial.Web.Work;

/// <summary>What is known of a trial's analysis.</summary>
/// <param name="Asked">The revision that was last asked for.</param>
/// <param name="Running">Whether the analysis of that revision is under way.</param>
/// <param name="Share">Share of it that is done, 0 to 1.</param>
/// <param name="Revision">The revision that the results are of; 0 when there are none yet.</param>
/// <param name="Results">The last results; they stay while a newer revision is analysed.</param>
/// <param name="Problems">Problems that stand in the way of results of the revision asked for.</param>
/// <param name="Failure">A bug of ours that ended the analysis, for the person to report; null when there was none.</param>
public sealed record DeskState(int Asked, bool Running, double Share, int Revision, TrialResults? Results, IReadOnlyList<Problem> Problems, string? Failure)
{
    /// <summary>Nothing was asked for yet.</summary>
    public static DeskState Empty { get; } = new(0, false, 0, 0, null, [], null);

    /// <summary>Whether the results belong to this revision.</summary>
    public bool IsOf(int revision) => Results is not null && Revision == revision;
}

/// <summary>Analyses trials in the background as they change: one analysis at a time per trial, the newest revision wins, an older one is given up.</summary>
internal sealed class Desk(TrialLibrary library) : IAsyncDisposable
{
    private readonly ConcurrentDictionary<Guid, Seat> _seats = new();
    private readonly SemaphoreSlim _one = new(1);
    private readonly CancellationTokenSource _closing = new();

    /// <summary>The state of a trial's analysis.</summary>
    public DeskState State(Guid trial) => _seats.TryGetValue(trial, out var seat) ? seat.State : DeskState.Empty;

    /// <summary>Asks for the results of a trial's newest revision; does nothing when they are there or on their way.</summary>
    public void Ask(StoredTrial trial)
    {
        var seat = _seats.GetOrAdd(trial.Id, _ => new Seat());
        CancellationTokenSource mine;
        lock (seat)
        {
            if (seat.State.Asked == trial.Revision) return;
            seat.Work?.Cancel();
            mine = seat.Work = CancellationTokenSource.CreateLinkedTokenSource(_closing.Token);
            seat.State = seat.State with { Asked = trial.Revision, Running = true, Share = 0, Problems = [], Failure = null };
        }
        Tell(trial.Id, "analysis");
        seat.Running = Task.Run(() => RunAsync(seat, trial, mine.Token));
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

    private async Task RunAsync(Seat seat, StoredTrial trial, CancellationToken cancellation)
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
                    Set(seat, trial, s => s with { Running = false, Problems = opened.Problems });
                    return;
                }
                var progress = new Steady(share => Set(seat, trial, s => s with { Share = share }, quiet: true));
                var results = Analysis.Run(opened.ToInputs(), progress, cancellation);
                Set(seat, trial, s => s with { Running = false, Share = 1, Revision = trial.Revision, Results = results, Problems = [] });
            }
            finally
            {
                _one.Release();
            }
        }
        catch (OperationCanceledException)
        {
            // A newer revision took its place, or the workspace closes.
        }
#pragma warning disable CA1031 // The outermost handler of a background task: what arrives here is our bug; the page shows it, the workspace goes on.
        catch (Exception bug)
#pragma warning restore CA1031
        {
            Set(seat, trial, s => s with { Running = false, Failure = $"{bug.GetType().Name}: {bug.Message}" });
        }
    }

    private void Set(Seat seat, StoredTrial trial, Func<DeskState, DeskState> change, bool quiet = false)
    {
        lock (seat)
        {
            if (seat.State.Asked != trial.Revision) return;
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
