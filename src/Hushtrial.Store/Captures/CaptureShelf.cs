using System.Collections.Concurrent;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;
using Hushtrial.Store.Library;

namespace Hushtrial.Store.Captures;

/// <summary>Captures that are under way or were broken off, each a growing recording with what was noted beside it.</summary>
/// <remarks>What a method acknowledged survives a kill of the process; what the disk had not written is at most a second. Safe for several threads; one process at a time
/// has a capture open, which others may look at meanwhile. A capture that was broken off goes on where it stands, or is finished with what is there.</remarks>
public sealed class CaptureShelf : IDisposable
{
    /// <summary>Most channels.</summary>
    public const int MostChannels = 4;

    private static readonly JsonSerializerOptions _json = new(JsonSerializerDefaults.Web);

    private readonly string _folder;
    private readonly TrialLibrary _library;
    private readonly TimeProvider _clock;
    private readonly ConcurrentDictionary<Guid, Seat> _seats = new();
    private readonly Lock _opening = new();

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
        var notes = new CaptureNotes(trial, safe, source, null);
        FileStream? held = null;
        try
        {
            Save(id, notes);
            held = CaptureLock.Take(Lock(id)) ?? throw new IOException("another process has it");
            var seat = new Seat(notes, held, CaptureFile.Open(Sound(id), source.SampleRate, source.Channels), MarkFile.Open(Marks(id)));
            _seats[id] = seat;
            return State(id, seat.Notes, seat.File!, seat.Marks.Marks);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or WrongUseException)
        {
            Forget(id);
            Release(id, held);
            throw new WrongUseException($"the capture cannot be begun: {e.Message}");
        }
    }

    /// <summary>Opens a capture that an earlier process left, to go on with it.</summary>
    /// <returns><see cref="CaptureAnswer.Kept"/> when it is open here; else why not.</returns>
    public CaptureAnswer Hold(Guid id) => Sit(id).Answer;

    /// <summary>Appends frames as they arrive.</summary>
    /// <param name="id">The capture.</param>
    /// <param name="from">Place of the first frame, counted from the beginning of the capture.</param>
    /// <param name="interleaved">32-bit floating point, little-endian, one value per channel and frame, full scale ±1.</param>
    /// <param name="fresh">Is given what is kept for the first time, in order and without a gap, before the answer; null when nobody listens.</param>
    /// <returns>What became of them, and where the capture stands now; the state is null when there is no such capture.</returns>
    public (CaptureAnswer Answer, CaptureState? State) Append(Guid id, long from, ReadOnlySpan<byte> interleaved, FreshFrames? fresh = null)
    {
        var (sat, seat) = Sit(id);
        if (seat is null) return (sat, null);
        lock (seat)
        {
            if (seat.File is not { } file) return (CaptureAnswer.Unknown, null);
            try
            {
                var before = file.Frames;
                CaptureAnswer answer;
                try
                {
                    answer = file.Append(from, interleaved);
                }
                finally
                {
                    // What is kept although the disk failed behind it comes again as known, and would never be heard.
                    if (file.Frames > before) fresh?.Invoke(before, interleaved[^(int)((file.Frames - before) * 4 * seat.Notes.Source.Channels)..]);
                }
                if (answer == CaptureAnswer.Kept && seat.Notes.FirstFrameAt is null && file.Frames > 0)
                {
                    seat.Notes = seat.Notes with { FirstFrameAt = _clock.GetLocalNow() - TimeSpan.FromSeconds((double)file.Frames / seat.Notes.Source.SampleRate) };
                    Save(id, seat.Notes);
                }
                return (answer, State(id, seat.Notes, file, seat.Marks.Marks));
            }
            catch (Exception e) when (e is WrongUseException || DurableFiles.Explain(e, seat.Notes.Name) is not null)
            {
                return (CaptureAnswer.NotWritten, State(id, seat.Notes, file, seat.Marks.Marks));
            }
        }
    }

    /// <summary>Notes a take or an event.</summary>
    /// <returns><see cref="CaptureAnswer.Kept"/> when it is on the disk; else why not, and nothing of it is kept.</returns>
    public CaptureAnswer Note(Guid id, CaptureMark mark)
    {
        ArgumentNullException.ThrowIfNull(mark);
        var (sat, seat) = Sit(id);
        if (seat is null) return sat;
        lock (seat)
        {
            if (seat.File is null) return CaptureAnswer.Unknown;
            try
            {
                seat.Marks.Append(mark);
                return CaptureAnswer.Kept;
            }
            catch (Exception e) when (DurableFiles.Explain(e, seat.Notes.Name) is not null)
            {
                return CaptureAnswer.NotWritten;
            }
        }
    }

    /// <summary>Looks into a capture that may go on growing: what is kept so far, as a recording.</summary>
    /// <returns>What the look gave; null when there is no such capture, or nothing in it, or another process has it.</returns>
    public T? Look<T>(Guid id, Func<Recording, T> look)
        where T : class
    {
        ArgumentNullException.ThrowIfNull(look);
        if (Sit(id).Seat is not { } seat) return null;
        lock (seat)
        {
            if (seat.File is not { Frames: > 0 } file) return null;
            file.Flush();
        }
        if (FileBytes.OpenGrowing(Sound(id), seat.Notes.Name) is not { } bytes) return null;
        using var recording = Recording.Open(bytes, seat.Notes.Name, Truncation.IsAllowed);
        return look(recording);
    }

    /// <summary>How far a capture is; null when there is none. One that this process does not go on with is only looked at, without a search for gaps.</summary>
    public CaptureState? Find(Guid id)
    {
        if (!_seats.TryGetValue(id, out var seat)) return Seen(id);
        lock (seat) return seat.File is { } file ? State(id, seat.Notes, file, seat.Marks.Marks) : null;
    }

    /// <summary>The captures of a trial that are not finished, the oldest first.</summary>
    public IReadOnlyList<CaptureState> Of(Guid trial) => [.. Directory.GetFiles(_folder, "*.json").Select(f => Guid.TryParseExact(Path.GetFileNameWithoutExtension(f), "N", out var id) ? id : Guid.Empty)
        .Where(id => Read(id)?.Trial == trial).Select(Find).OfType<CaptureState>().OrderBy(s => s.Id)];

    /// <summary>Ends a capture: its file is hashed and becomes a recording of its trial.</summary>
    /// <param name="id">The capture.</param>
    /// <param name="author">Who.</param>
    /// <param name="cancellation">Stops the hashing.</param>
    /// <param name="placed">Takes over what was noted, when the recording is in the trial and before the notes are forgotten.</param>
    /// <returns>The recording, or why it could not be one; null when there is no such capture, or another process has it. Done again after a kill, it ends the same.</returns>
    public async Task<(AddedFile File, CaptureState State)?> FinishAsync(Guid id, string author, CancellationToken cancellation, Action<AddedFile, CaptureState>? placed = null)
    {
        if (Sit(id).Seat is not { } seat) return null;
        CaptureState state;
        lock (seat)
        {
            if (seat.File is not { } file) return null;
            file.Complete();
            state = State(id, seat.Notes, file, seat.Marks.Marks);
            // Closed before it becomes a recording: what is kept, nobody has open for writing.
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
                if (!again && Saved(id, seat.Notes) is { } problem) return (added with { Problem = problem }, state);
                added = await _library.TakeCaptureAsync(state.Trial, Sound(id), state.Name, author, again, cancellation).ConfigureAwait(false);
            }
            if (added.Trial is not null) placed?.Invoke(added, state);
            if (state.Frames == 0 || added.Trial is not null) Forget(id);
        }
        finally
        {
            // What could not be taken in stays, and may be tried again.
            Release(id, seat.Held);
        }
        return (added, state);
    }

    /// <summary>Deletes a capture with all that it holds; false when another process has it.</summary>
    public bool Discard(Guid id)
    {
        var (answer, seat) = Sit(id);
        if (answer == CaptureAnswer.Elsewhere) return false;
        if (seat is not null)
            lock (seat)
            {
                if (seat.File is null) return false;
                seat.File.Dispose();
                seat.File = null;
            }
        Forget(id);
        Release(id, seat?.Held);
        return true;
    }

    /// <summary>Closes the files; what is under way can go on later.</summary>
    public void Dispose()
    {
        foreach (var (id, seat) in _seats)
            lock (seat)
            {
                // One that is just being finished is closed by whoever finishes it.
                if (seat.File is not { } file) continue;
                file.Flush();
                file.Dispose();
                seat.File = null;
                Release(id, seat.Held);
            }
    }

    private string Sound(Guid id) => Path.Combine(_folder, id.ToString("N") + ".wav");

    private string Marks(Guid id) => Path.Combine(_folder, id.ToString("N") + ".marks");

    private string Lock(Guid id) => Path.Combine(_folder, id.ToString("N") + ".lock");

    private string Words(Guid id) => Path.Combine(_folder, id.ToString("N") + ".json");

    private void Forget(Guid id)
    {
        // The words go first: without them nothing is listed, and what a kill leaves is swept.
        foreach (var path in new[] { Words(id), Marks(id), Sound(id) }) DurableFiles.TryDelete(path);
    }

    /// <summary>Gives a capture back to whoever goes on with it; of one that is over nothing is left.</summary>
    private void Release(Guid id, FileStream? held)
    {
        _seats.TryRemove(id, out _);
        held?.Dispose();
        if (!File.Exists(Words(id))) DurableFiles.TryDelete(Lock(id));
    }

    /// <summary>Deletes what a process left that was killed while it forgot a capture or wrote its words.</summary>
    private void Sweep()
    {
        foreach (var file in Directory.GetFiles(_folder))
            if (Path.GetExtension(file) is ".wav" or ".marks" or ".lock" ? !File.Exists(Path.ChangeExtension(file, ".json")) : Path.GetExtension(file) == ".part" && _clock.GetUtcNow().UtcDateTime - File.GetLastWriteTimeUtc(file) > TimeSpan.FromDays(1))
                DurableFiles.TryDelete(file);
    }

    /// <summary>The words of a capture; null when there are none that can be read.</summary>
    private CaptureNotes? Read(Guid id)
    {
        try { return File.Exists(Words(id)) && JsonSerializer.Deserialize<CaptureNotes>(File.ReadAllBytes(Words(id)), _json) is { Source: not null } notes ? notes : null; }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or JsonException) { return null; }
    }

    private void Save(Guid id, CaptureNotes notes) => Output.Write(Words(id), stream => JsonSerializer.Serialize(stream, notes, _json));

    /// <summary>Saves the words of a capture; why not, when the disk does not take them.</summary>
    private Problem? Saved(Guid id, CaptureNotes notes)
    {
        try
        {
            Save(id, notes);
            return null;
        }
        catch (WrongUseException e)
        {
            return LibraryProblems.CannotWrite(notes.Name, e.Message);
        }
    }

    private static CaptureState State(Guid id, CaptureNotes notes, CaptureFile file, IReadOnlyList<CaptureMark> marks) => new(id, notes.Trial, notes.Name, notes.Source, notes.FirstFrameAt, file.Frames)
    {
        Gaps = file.Zeros.Gaps, Marks = [.. marks],
    };

    /// <summary>A capture that is not open here, as its files are at this moment.</summary>
    private CaptureState? Seen(Guid id)
    {
        if (Read(id) is not { } notes) return null;
        try
        {
            return new(id, notes.Trial, notes.Name, notes.Source, notes.FirstFrameAt, CaptureFile.FramesIn(Sound(id), notes.Source.Channels)) { Marks = MarkFile.Read(Marks(id)) };
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    /// <summary>The capture, opened again when an earlier process left it; else why it is not.</summary>
    private (CaptureAnswer Answer, Seat? Seat) Sit(Guid id)
    {
        if (_seats.TryGetValue(id, out var known)) return (CaptureAnswer.Kept, known);
        if (!File.Exists(Words(id))) return (CaptureAnswer.Unknown, null);
        // Held while a file is opened, and never the other way round.
        lock (_opening)
        {
            if (_seats.TryGetValue(id, out known)) return (CaptureAnswer.Kept, known);
            FileStream? held = null;
            CaptureFile? file = null;
            try
            {
                held = CaptureLock.Take(Lock(id));
                if (held is null) return (CaptureAnswer.Elsewhere, null);
                // Whoever had it until now may have finished it.
                if (Read(id) is not { } notes)
                {
                    Release(id, held);
                    return (CaptureAnswer.Unknown, null);
                }
                file = CaptureFile.Open(Sound(id), notes.Source.SampleRate, notes.Source.Channels);
                var seat = _seats[id] = new(notes, held, file, MarkFile.Open(Marks(id)));
                return (CaptureAnswer.Kept, seat);
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                file?.Dispose();
                held?.Dispose();
                return (CaptureAnswer.NotWritten, null);
            }
        }
    }

    private sealed record CaptureNotes(Guid Trial, string Name, CaptureSource Source, DateTimeOffset? FirstFrameAt, bool Entering = false);

    /// <summary>A capture that this process has open. Its <c>lock</c> is taken last of all: who has it calls nobody but a listener to fresh frames.</summary>
    private sealed class Seat(CaptureNotes notes, FileStream held, CaptureFile file, MarkFile marks)
    {
        public CaptureNotes Notes { get; set; } = notes;

        /// <summary>The right to write it, until it is closed, moved or deleted.</summary>
        public FileStream Held { get; } = held;

        /// <summary>Its sound; null when it is being finished or is closed.</summary>
        public CaptureFile? File { get; set; } = file;

        public MarkFile Marks { get; } = marks;
    }
}
