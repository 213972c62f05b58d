using System.Collections.Concurrent;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Listening;
using Hushtrial.Trials.Results;

namespace Hushtrial.Web.Recordings;

/// <summary>Renders what the devices of a trial leave of its cabin, once for each state of its results.</summary>
internal sealed class ResidualDesk(Shelf shelf) : IDisposable
{
    // A set takes some tens of megabytes.
    private const int MostKept = 3;

    private readonly ConcurrentDictionary<(Guid Trial, bool WithSpeech), (TrialResults Of, ResidualSounds? Set)> _kept = new();
    private readonly SemaphoreSlim _one = new(1);

    /// <summary>The rendered set of these results; null when nothing can be rendered.</summary>
    public async Task<ResidualSounds?> OfAsync(StoredTrial trial, TrialResults results, bool withSpeech, CancellationToken cancellation)
    {
        await _one.WaitAsync(cancellation);
        try
        {
            if (_kept.TryGetValue((trial.Id, withSpeech), out var kept) && ReferenceEquals(kept.Of, results)) return kept.Set;
            using var loan = shelf.Take(trial);
            var set = await Task.Run(() => ResidualSounds.Of(results, id => loan.Find(id)?.Samples, withSpeech, cancellation), cancellation);
            if (_kept.Count >= MostKept) _kept.Clear();
            _kept[(trial.Id, withSpeech)] = (results, set);
            return set;
        }
        finally
        {
            _one.Release();
        }
    }

    /// <summary>Forgets what was rendered of a trial.</summary>
    public void Forget(Guid trial)
    {
        _kept.TryRemove((trial, true), out _);
        _kept.TryRemove((trial, false), out _);
    }

    /// <inheritdoc/>
    public void Dispose() => _one.Dispose();
}
