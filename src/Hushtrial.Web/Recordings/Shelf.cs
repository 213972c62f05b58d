using System.Collections.Concurrent;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Library;

namespace Hushtrial.Web.Recordings;

/// <summary>The recordings of the trials that pages are open of, kept open between requests: opening one reads all of it.</summary>
internal sealed class Shelf(TrialLibrary library) : IDisposable
{
    private readonly ConcurrentDictionary<Guid, Place> _places = new();

    /// <summary>Takes the recordings of a trial off the shelf; give the loan back by disposing it.</summary>
    public Loan Take(StoredTrial trial)
    {
        // The files beside the document's own words: one that they name may come later than they.
        var content = $"{trial.Mark.Files} {trial.Draft.Value("recordings")}";
        var place = _places.GetOrAdd(trial.Id, _ => new());
        lock (place)
        {
            if (place.Now is null || place.Content != content)
            {
                place.Now?.Release();
                place.Now = new(library.Open(trial));
                place.Content = content;
            }
            place.Now.Borrow();
            return new(place.Now);
        }
    }

    /// <summary>Closes the recordings of a trial as soon as nobody has them any more.</summary>
    public void Forget(Guid trial)
    {
        if (!_places.TryRemove(trial, out var place)) return;
        lock (place)
        {
            place.Now?.Release();
            place.Now = null;
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        foreach (var place in _places.Values) place.Now?.Release();
        _places.Clear();
    }

    private sealed class Place
    {
        public Volume? Now { get; set; }

        public string Content { get; set; } = "";
    }

    /// <summary>The opened recordings of one state of a trial; closed when nobody has them any more.</summary>
    internal sealed class Volume(OpenedTrial opened)
    {
        private int _users = 1;

        public OpenedTrial Opened => opened;

        public void Borrow() => Interlocked.Increment(ref _users);

        public void Release()
        {
            if (Interlocked.Decrement(ref _users) == 0) opened.Dispose();
        }
    }
}

/// <summary>Recordings on loan from the shelf.</summary>
internal sealed class Loan : IDisposable
{
    private readonly Shelf.Volume _volume;
    private int _given;

    internal Loan(Shelf.Volume volume) => _volume = volume;

    /// <summary>A recording with its hash; null when there is none that can be read.</summary>
    public (Recording Recording, SampleSource Samples, string Sha256)? Find(string id) =>
        _volume.Opened.Recording(id) is { Recording: { Samples: { } samples } recording, Sha256: { } sha256 } ? (recording, samples, sha256) : null;

    /// <summary>The same once more, for work that goes on when this one has been given back.</summary>
    public Loan Again()
    {
        _volume.Borrow();
        return new(_volume);
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        if (Interlocked.Exchange(ref _given, 1) == 0) _volume.Release();
    }
}
