using System.Collections.Concurrent;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;
using Hushtrial.Store.Library;

namespace Hushtrial.Store.Captures;

/// <summary>Captures that are under way or were broken off, each a growing recording with what was noted beside it.</summary>
/// <remarks>What a method acknowledged survives a kill of the process; what the disk had not written is at most a second. Safe for several threads; one process at a time
/// has a capture open. A capture that was broken off goes on where it stands, or is finished with what is there.</remarks>
public sealed class CaptureShelf : IDisposable
{
    /// <summary>Most channels.</summary>
    public const int MostChannels = 4;

    private static readonly JsonSerializerOptions _json = new(JsonSerializerDefaults.Web);

    private readonly string _folder;
    private readonly TrialLibrary _library;
    private readonly TimeProvider _clock;
    private readonly ConcurrentDictionary<Guid, Seat> _seats = new();

    /// <summary>The shelf of a library.</summary>
    /// <exception cref="WrongUseException">The folder cannot be used.</exception>
    public CaptureShelf(TrialLibrary library, TimeProvider clock)
    {
        ArgumentNullException.ThrowIfNull(library);
        (_library, _clock, _folder) = (library, clock, Path.Combine(library.Folder, "captures"));
        try
        {
            Directory.CreateDirectory(_folder);
            Sweep();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new WrongUseException($"the folder '{_folder}' cannot be used: {e.Message}");
        }
    }

    /// <summary>Begins a capture.</summary>
    /// <param name="trial">The trial that it will be a recording of.</param>
    /// <param name="name">File name for the recording, without a folder; '.wav' is added when it is missing.</param>
    /// <param name="source">What it is made with.</param>
    /// <exception cref="ArgumentOutOfRangeException">Rate or channels out of range.</exception>
    /// <exception cref="WrongUseException">The disk cannot be written.</exception>
    public CaptureState Begin(Guid trial, string name, CaptureSource source)
    {
        ArgumentNullException.ThrowIfNull(source);
        if (source.SampleRate is < 8000 or > 192_000) throw new ArgumentOutOfRangeException(nameof(source), source.SampleRate, "8000 to 192 000 Hz.");
        if (source.Channels is < 1 or > MostChannels) throw new ArgumentOutOfRangeException(nameof(source), source.Channels, "1 to 4 channels.");
        var safe = SafeName.Of(name);
        if (!safe.EndsWith(".wav", StringComparison.OrdinalIgnoreCase)) safe += ".wav";
        var id = Guid.CreateVersion7(_clock.GetUtcNow());
        var seat = new Seat(new(trial, safe, source, null));
        lock (seat)
        {
            try
            {
                Save(id, seat);
                seat.File = CaptureFile.Open(Sound(id), source.SampleRate, source.Channels);
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException or WrongUseException)
            {
                Forget(id);
                throw new WrongUseException($"the capture cannot be begun: {e.Message}");
            }
            _seats[id] = seat;
            return State(id, seat);
        }
    }

    /// <summary>Appends frames as they arrive.</summary>
    /// <param name="id">The capture.</param>
    /// <param name="from">Place of the first frame, counted from the beginning of the capture.</param>
    /// <param name="interleaved">32-bit floating point, little-endian, one value per channel and frame, full scale ±1.</param>
    /// <param name="fresh">Is given what is kept for the first time, in order and without a gap, before the answer; null when nobody listens.</param>
    /// <returns>What became of them, and where the capture stands now; the state is null when there is no such capture.</returns>
    public (CaptureAnswer Answer, CaptureState? State) Append(Guid id, long from, ReadOnlySpan<byte> interleaved, FreshFrames? fresh = null)
    {
        if (Sit(id) is not { } seat) return (CaptureAnswer.Unknown, null);
        lock (seat)
        {
            if (seat.File is not { } file) return (CaptureAnswer.Unknown, null);
            try
            {
                var before = file.Frames;
                var answer = file.Append(from, interleaved);
                if (file.Frames > before) fresh?.Invoke(before, interleaved[^(int)((file.Frames - before) * 4 * seat.Notes.Source.Channels)..]);
                if (answer == CaptureAnswer.Kept && seat.Notes.FirstFrameAt is null && file.Frames > 0)
                {
                    seat.Notes = seat.Notes with { FirstFrameAt = _clock.GetLocalNow() - TimeSpan.FromSeconds((double)file.Frames / seat.Notes.Source.SampleRate) };
                    Save(id, seat);
                }
                return (answer, State(id, seat));
            }
            catch (Exception e) when (e is WrongUseException || DurableFiles.Explain(e, seat.Notes.Name) is not null)
            {
                return (CaptureAnswer.NotWritten, State(id, seat));
            }
        }
    }

    /// <summary>Notes a take or an event; it is on disk afterwards. False when there is no such capture.</summary>
    public bool Note(Guid id, CaptureMark mark)
    {
        ArgumentNullException.ThrowIfNull(mark);
        if (Sit(id) is not { } seat) return false;
        lock (seat)
        {
            if (seat.File is null) return false;
            using (var marks = new FileStream(Marks(id), FileMode.Append, FileAccess.Write, FileShare.Read))
            {
                marks.Write([.. JsonSerializer.SerializeToUtf8Bytes(mark, _json), (byte)'\n']);
                marks.Flush(flushToDisk: true);
            }
            seat.Marks.Add(mark);
            return true;
        }
    }

    /// <summary>Looks into a capture that may go on growing: what is kept so far, as a recording.</summary>
    /// <returns>What the look gave; null when there is no such capture, or nothing in it.</returns>
    public T? Look<T>(Guid id, Func<Recording, T> look)
        where T : class
    {
        ArgumentNullException.ThrowIfNull(look);
        if (Sit(id) is not { } seat) return null;
        lock (seat)
        {
            if (seat.File is not { Frames: > 0 } file) return null;
            file.Flush();
        }
        if (FileBytes.OpenGrowing(Sound(id), seat.Notes.Name) is not { } bytes) return null;
        using var recording = Recording.Open(bytes, seat.Notes.Name, Truncation.IsAllowed);
        return look(recording);
    }

    /// <summary>How far a capture is; null when there is none.</summary>
    public CaptureState? Find(Guid id)
    {
        if (Sit(id) is not { } seat) return null;
        lock (seat) return seat.File is null ? null : State(id, seat);
    }

    /// <summary>The captures of a trial that are not finished, the oldest first.</summary>
    public IReadOnlyList<CaptureState> Of(Guid trial) => [.. Directory.GetFiles(_folder, "*.json").Select(f => Guid.TryParseExact(Path.GetFileNameWithoutExtension(f), "N", out var id) ? id : Guid.Empty)
        .Where(id => Read(id)?.Trial == trial).Select(Find).OfType<CaptureState>().OrderBy(s => s.Id)];

    /// <summary>Ends a capture: its file is hashed and becomes a recording of its trial.</summary>
    /// <param name="id">The capture.</param>
    /// <param name="author">Who.</param>
    /// <param name="cancellation">Stops the hashing.</param>
    /// <param name="placed">Takes over what was noted, when the recording is in the trial and before the notes are forgotten.</param>
    /// <returns>The recording, or why it could not be one; null when there is no such capture. Done again after a kill, it ends the same.</returns>
    public async Task<(AddedFile File, CaptureState State)?> FinishAsync(Guid id, string author, CancellationToken cancellation, Action<AddedFile, CaptureState>? placed = null)
    {
        if (Sit(id) is not { } seat) return null;
        CaptureState state;
        lock (seat)
        {
            if (seat.File is not { } file) return null;
            file.Flush();
            state = State(id, seat);
            file.Dispose();
            seat.File = null;
        }
        var added = new AddedFile(null, null, null, null, null);
        try
        {
            if (state.Frames > 0)
            {
                // What was entered before a kill is not entered twice; another capture that is equal to the last byte is a recording of its own.
                var again = seat.Notes.Entering;
                seat.Notes = seat.Notes with { Entering = true };
                if (!again && Saved(id, seat) is { } problem) return (added with { Problem = problem }, state);
                added = await _library.TakeCaptureAsync(state.Trial, Sound(id), state.Name, author, again, cancellation).ConfigureAwait(false);
            }
            if (added.Trial is not null) placed?.Invoke(added, state);
            if (state.Frames == 0 || added.Trial is not null) Forget(id);
        }
        finally
        {
            // What could not be taken in stays, and may be tried again.
            _seats.TryRemove(id, out _);
        }
        return (added, state);
    }

    /// <summary>Deletes a capture with all that it holds.</summary>
    public void Discard(Guid id)
    {
        if (Sit(id) is { } seat)
            lock (seat)
            {
                seat.File?.Dispose();
                seat.File = null;
            }
        Forget(id);
        _seats.TryRemove(id, out _);
    }

    /// <summary>Closes the files; what is under way can go on later.</summary>
    public void Dispose()
    {
        foreach (var seat in _seats.Values)
            lock (seat)
            {
                seat.File?.Flush();
                seat.File?.Dispose();
                seat.File = null;
            }
        _seats.Clear();
    }

    private string Sound(Guid id) => Path.Combine(_folder, id.ToString("N") + ".wav");

    private string Marks(Guid id) => Path.Combine(_folder, id.ToString("N") + ".marks");

    private string Words(Guid id) => Path.Combine(_folder, id.ToString("N") + ".json");

    private void Forget(Guid id)
    {
        // The words go first: without them nothing is listed, and what a kill leaves is swept.
        foreach (var path in new[] { Words(id), Marks(id), Sound(id) }) DurableFiles.TryDelete(path);
    }

    /// <summary>Deletes what a process left that was killed while it forgot a capture or wrote its words.</summary>
    private void Sweep()
    {
        foreach (var file in Directory.GetFiles(_folder))
            if (Path.GetExtension(file) is ".wav" or ".marks" ? !File.Exists(Path.ChangeExtension(file, ".json")) : Path.GetExtension(file) == ".part" && _clock.GetUtcNow().UtcDateTime - File.GetLastWriteTimeUtc(file) > TimeSpan.FromDays(1))
                DurableFiles.TryDelete(file);
    }

    /// <summary>The words of a capture; null when there are none that can be read.</summary>
    private CaptureNotes? Read(Guid id)
    {
        try { return File.Exists(Words(id)) && JsonSerializer.Deserialize<CaptureNotes>(File.ReadAllBytes(Words(id)), _json) is { Source: not null } notes ? notes : null; }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or JsonException) { return null; }
    }

    private void Save(Guid id, Seat seat) => Output.Write(Words(id), stream => JsonSerializer.Serialize(stream, seat.Notes, _json));

    /// <summary>Saves the words of a capture; why not, when the disk does not take them.</summary>
    private Problem? Saved(Guid id, Seat seat)
    {
        try
        {
            Save(id, seat);
            return null;
        }
        catch (WrongUseException e)
        {
            return LibraryProblems.CannotWrite(seat.Notes.Name, e.Message);
        }
    }

    private static CaptureState State(Guid id, Seat seat) => new(id, seat.Notes.Trial, seat.Notes.Name, seat.Notes.Source, seat.Notes.FirstFrameAt, seat.File?.Frames ?? 0)
    {
        Gaps = seat.File?.Zeros.Gaps ?? [], Marks = [.. seat.Marks],
    };

    /// <summary>The capture, opened again when another process or an earlier one left it.</summary>
    private Seat? Sit(Guid id)
    {
        if (_seats.TryGetValue(id, out var known)) return known;
        if (Read(id) is not { } notes) return null;
        try
        {
            var seat = new Seat(notes);
            lock (seat)
            {
                if (!_seats.TryAdd(id, seat)) return _seats.GetValueOrDefault(id);
                seat.File = CaptureFile.Open(Sound(id), notes.Source.SampleRate, notes.Source.Channels);
                if (File.Exists(Marks(id)))
                    foreach (var line in File.ReadLines(Marks(id)))
                        if (Mark(line) is { } mark) seat.Marks.Add(mark);
            }
            return seat;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            _seats.TryRemove(id, out _);
            return null;
        }
    }

    // The last line may be half written: its sender was never answered.
    private static CaptureMark? Mark(string line)
    {
        try { return JsonSerializer.Deserialize<CaptureMark>(line, _json); }
        catch (JsonException) { return null; }
    }

    private sealed record CaptureNotes(Guid Trial, string Name, CaptureSource Source, DateTimeOffset? FirstFrameAt, bool Entering = false);

    private sealed class Seat(CaptureNotes notes)
    {
        public CaptureNotes Notes { get; set; } = notes;

        public CaptureFile? File { get; set; }

        public List<CaptureMark> Marks { get; } = [];
    }
}
