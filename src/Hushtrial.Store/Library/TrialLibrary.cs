using System.IO.Compression;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Library;

/// <summary>The trials of a person or a group in one folder: documents with their whole history, and recordings.</summary>
/// <remarks>
/// What a method returned is on disk. Several threads and several processes may use one folder at the same time. The folder holds
/// library.db, recordings/ (named by their SHA-256), uploads/ (unfinished ones) and histories/ (what can be computed again).
/// </remarks>
public sealed partial class TrialLibrary : IDisposable
{
    /// <summary>Room on the disk that uploads leave for the database and everybody else.</summary>
    private const long SpareBytes = 64 * 1024 * 1024;

    private readonly LibraryRecords _records;
    private readonly ContentFolder _contents;
    private readonly RecordingIntake _intake;
    private readonly LibraryRoom _room;

    private TrialLibrary(LibraryRecords records, LibraryLimits limits, long spareBytes)
    {
        _records = records;
        _contents = new(records);
        _room = new(records.Folder, limits, spareBytes);
        _intake = new(records, _contents, limits, _room);
    }

    /// <summary>The library's folder.</summary>
    public string Folder => _records.Folder.Root;

    /// <summary>A folder for what can be computed again from recordings; whatever lies there may be deleted.</summary>
    public string HistoriesFolder => _records.Folder.Histories;

    /// <summary>Opens a library; makes it when there is none.</summary>
    /// <exception cref="WrongUseException">The folder cannot be used, or a newer program has written it.</exception>
    public static TrialLibrary Open(string folder, TimeProvider clock, LibraryLimits? limits = null) => Open(folder, clock, limits, SpareBytes);

    internal static TrialLibrary Open(string folder, TimeProvider clock, LibraryLimits? limits, long spareBytes)
    {
        try
        {
            var records = new LibraryRecords(new LibraryFolder(folder), clock);
            using (var context = records.Context()) LibrarySchema.Prepare(context);
            var library = new TrialLibrary(records, limits ?? new(), spareBytes);
            library._contents.DeleteDoomed();
            records.Folder.Sweep(id => records.Read(c => c.Uploads.Any(u => u.Id == id)), records.Now());
            return library;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or SqliteException)
        {
            throw new WrongUseException($"the library in '{folder}' cannot be opened: {e.Message}");
        }
    }

    /// <summary>Closes the files of the database.</summary>
    public void Dispose()
    {
        _intake.Dispose();
        using var context = _records.Context();
        SqliteConnection.ClearPool((SqliteConnection)context.Database.GetDbConnection());
    }

    /// <summary>All trials, those put away too; the last changed first.</summary>
    public IReadOnlyList<TrialListing> List() => _records.Read(c => c.Trials.AsNoTracking().OrderByDescending(t => t.Changed).ThenByDescending(t => t.Id).ToList())
        .ConvertAll(t => new TrialListing(t.Id, t.Title, t.Created, t.Changed, t.Head, t.Devices, t.Takes, t.Recordings, t.Removed));

    /// <summary>A trial at its head, one that was put away too; null when there is none.</summary>
    public StoredTrial? Find(Guid id) => _records.Find(id);

    /// <summary>Adds a trial.</summary>
    /// <param name="draft">Its document.</param>
    /// <param name="summary">The line of its first revision.</param>
    /// <param name="author">Who; may be "".</param>
    /// <exception cref="WrongUseException">The library cannot be written.</exception>
    public StoredTrial Create(TrialDraft draft, string summary, string author = "")
    {
        ArgumentNullException.ThrowIfNull(draft);
        ArgumentNullException.ThrowIfNull(summary);
        StoredTrial? stored = null;
        Guarded(draft.DisplayName, () => _records.Write(context =>
        {
            var trial = _records.Begin(context, draft, author, summary);
            context.SaveChanges();
            stored = _records.Stored(context, trial);
            return true;
        }));
        return stored!;
    }

    /// <summary>Applies an edit to the head and saves it as a revision.</summary>
    /// <param name="id">The trial.</param>
    /// <param name="baseRevision">The revision that the editor saw. When the head has moved on, the edit is applied to the head if the places it touches hold the same there.</param>
    /// <param name="edit">The edit.</param>
    /// <param name="author">Who; may be "".</param>
    public EditOutcome Edit(Guid id, int baseRevision, DraftEdit edit, string author)
    {
        ArgumentNullException.ThrowIfNull(edit);
        EditOutcome? outcome = null;
        try
        {
            _records.Write(context =>
            {
                (outcome, var changed) = Edit(context, id, baseRevision, edit, author ?? "");
                return changed;
            });
        }
        catch (Exception e) when (DurableFiles.Explain(e, "the edit") is { } problem)
        {
            return new EditOutcome.Refused(problem);
        }
        return outcome!;
    }

    /// <summary>Moves the head to the revision before it; null when there is none.</summary>
    public StoredTrial? Undo(Guid id) => Undo(id, null, out _);

    /// <summary>As above, as long as the head is the revision that was seen: what another has saved since is not undone unseen.</summary>
    /// <param name="id">The trial.</param>
    /// <param name="seen">The revision that whoever undoes saw; null: whatever it is.</param>
    /// <param name="problem">LIB-007 when the head is another one; nothing was moved.</param>
    public StoredTrial? Undo(Guid id, int? seen, out Problem? problem) => Move(id, seen, out problem, (context, trial) =>
    {
        if (context.Revisions.Single(r => r.TrialId == id && r.Number == trial.Head).Parent is not { } parent) return false;
        context.Revisions.Single(r => r.TrialId == id && r.Number == parent).Next = trial.Head;
        _records.MoveHead(trial, parent, _records.Draft(context, id, parent));
        return true;
    });

    /// <summary>Moves the head to the revision that was undone; null when there is none.</summary>
    public StoredTrial? Redo(Guid id) => Redo(id, null, out _);

    /// <summary>As above, as long as the head is the revision that was seen.</summary>
    /// <param name="id">The trial.</param>
    /// <param name="seen">The revision that was seen; null: whatever it is.</param>
    /// <param name="problem">LIB-007 when the head is another one; nothing was moved.</param>
    public StoredTrial? Redo(Guid id, int? seen, out Problem? problem) => Move(id, seen, out problem, (context, trial) =>
    {
        if (context.Revisions.Single(r => r.TrialId == id && r.Number == trial.Head).Next is not { } next) return false;
        _records.MoveHead(trial, next, _records.Draft(context, id, next));
        return true;
    });

    /// <summary>Brings back the document of a revision, as a new revision: it can be undone like any edit. Null when there is no such revision.</summary>
    public StoredTrial? Restore(Guid id, int revision, string author = "") => Restore(id, revision, null, author, out _);

    /// <summary>As above, as long as the head is the revision that was seen.</summary>
    /// <param name="id">The trial.</param>
    /// <param name="revision">The revision to bring back.</param>
    /// <param name="seen">The head that was seen; null: whatever it is.</param>
    /// <param name="author">Who; may be "".</param>
    /// <param name="problem">LIB-007 when the head is another one; nothing was moved.</param>
    public StoredTrial? Restore(Guid id, int revision, int? seen, string author, out Problem? problem) => Move(id, seen, out problem, (context, trial) =>
    {
        if (!context.Revisions.Any(r => r.TrialId == id && r.Number == revision)) return false;
        if (revision == trial.Head) return true;
        _records.Advance(context, trial, _records.Draft(context, id, revision), author, FormattableString.Invariant($"Revision {revision} brought back"));
        return true;
    });

    /// <summary>All revisions, the last made first; empty when there is no such trial.</summary>
    public IReadOnlyList<RevisionListing> History(Guid id) => _records.Read(context => context.Trials.AsNoTracking().FirstOrDefault(t => t.Id == id) is not { } trial ? []
        : context.Revisions.AsNoTracking().Where(r => r.TrialId == id).OrderByDescending(r => r.Number).Select(r => new { r.Number, r.Parent, r.Author, r.Summary, r.At }).ToList()
            .ConvertAll(r => new RevisionListing(r.Number, r.Parent, r.Author, r.Summary, r.At, r.Number == trial.Head)));

    /// <summary>The document at a revision; null when there is no such trial or revision.</summary>
    public TrialDraft? DraftAt(Guid id, int revision) => _records.Read(context => context.Revisions.Any(r => r.TrialId == id && r.Number == revision) ? _records.Draft(context, id, revision) : null);

    /// <summary>Puts a trial away. Nothing of it is deleted.</summary>
    public void Remove(Guid id) => PutAway(id, _records.Now());

    /// <summary>Brings a trial back that was put away.</summary>
    public void BringBack(Guid id) => PutAway(id, null);

    /// <summary>Deletes a trial with its history, its uploads and those of its recordings that no other trial has. It cannot be brought back.</summary>
    /// <exception cref="WrongUseException">The library cannot be written.</exception>
    public void Erase(Guid id)
    {
        List<Guid> uploads = [];
        Guarded("the trial", () =>
        {
            _records.Write(context =>
            {
                uploads = [.. context.Uploads.Where(u => u.TrialId == id).Select(u => u.Id)];
                context.Trials.Where(t => t.Id == id).ExecuteDelete();
                ContentFolder.Doom(context);
                return true;
            });
            _contents.DeleteDoomed();
        });
        _records.Forget(id);
        foreach (var upload in uploads) _intake.DeletePart(upload);
    }

    /// <summary>Takes the sound of a trial out of the library and puts kept levels in its place. It cannot be brought back; undo leads back to the document alone.</summary>
    /// <param name="id">The trial.</param>
    /// <param name="baseRevision">The revision whose levels were kept.</param>
    /// <param name="kept">Files of kept levels by their name in the trial.</param>
    /// <param name="edit">What the document says of it.</param>
    /// <param name="author">Who; may be "".</param>
    public SoundDiscarded DiscardSound(Guid id, int baseRevision, IReadOnlyDictionary<string, ReadOnlyMemory<byte>> kept, DraftEdit edit, string author)
    {
        ArgumentNullException.ThrowIfNull(kept);
        ArgumentNullException.ThrowIfNull(edit);
        try
        {
            return new SoundDiscarding(_records, _contents).Do(id, baseRevision, kept, edit, author ?? "");
        }
        catch (Exception e) when (DurableFiles.Explain(e, "the kept levels") is { } problem)
        {
            return new(null, problem, []);
        }
    }

    /// <summary>Begins an upload into a trial.</summary>
    /// <param name="trial">The trial.</param>
    /// <param name="name">The file's name as the sender calls it.</param>
    /// <param name="length">Its length, bytes.</param>
    /// <param name="author">Who, for the history; may be "".</param>
    public UploadTicket BeginUpload(Guid trial, string name, long length, string author = "") => _intake.Begin(trial, name, length, author);

    /// <summary>How far an upload is; null when there is none. One whose bytes are all there but that was interrupted while it was entered into the trial is finished now.</summary>
    public UploadState? Upload(Guid upload) => _intake.Find(upload);

    /// <summary>Appends bytes to an upload. With the last one the recording is hashed, put among the contents and entered in the document.</summary>
    /// <param name="upload">The upload.</param>
    /// <param name="offset">Where the bytes begin; it must be where the upload stands.</param>
    /// <param name="body">The bytes, read to their end. When it breaks off, what came is kept and its exception goes on.</param>
    /// <param name="cancellation">Ends the transfer; what came is kept.</param>
    /// <returns>How far it is now; its Problem says why nothing was taken. Null when there is no such upload.</returns>
    public Task<UploadState?> AppendAsync(Guid upload, long offset, Stream body, CancellationToken cancellation) => _intake.AppendAsync(upload, offset, body, cancellation);

    /// <summary>The uploads of a trial, finished ones too, in the order they began.</summary>
    public IReadOnlyList<UploadState> Uploads(Guid trial) => _intake.Of(trial);

    /// <summary>Ends an unfinished upload and deletes its bytes; forgets a finished one, whose recording stays.</summary>
    public void Abandon(Guid upload) => _intake.Abandon(upload);

    /// <summary>Copies a file of this computer into a trial and enters it as a recording.</summary>
    /// <param name="trial">The trial.</param>
    /// <param name="path">The file.</param>
    /// <param name="author">Who, for the history; may be "".</param>
    /// <param name="progress">Share done, 0 to 1.</param>
    /// <param name="cancellation">Ends it; nothing is kept.</param>
    public Task<AddedFile> AddLocalFileAsync(Guid trial, string path, string author = "", IProgress<double>? progress = null, CancellationToken cancellation = default) =>
        _intake.AddLocalFileAsync(trial, path, author, progress, cancellation);

    /// <summary>Makes a captured file a recording of a trial. The file is moved; done again after a kill, it ends the same.</summary>
    internal Task<AddedFile> TakeCaptureAsync(Guid trial, string file, string name, string author, bool again, CancellationToken cancellation) => _intake.TakeAsync(trial, file, name, author, again, cancellation);

    /// <summary>Path of a file's content; null when it is not on disk. Read only.</summary>
    public string? ContentPath(StoredFile file)
    {
        ArgumentNullException.ThrowIfNull(file);
        return File.Exists(_records.Folder.Content(file.Sha256)) ? _records.Folder.Content(file.Sha256) : null;
    }

    /// <summary>Opens the recordings of a trial, and with them what an analysis takes.</summary>
    /// <param name="trial">The trial, at any revision.</param>
    /// <param name="progress">Share done, 0 to 1.</param>
    public OpenedTrial Open(StoredTrial trial, IProgress<double>? progress = null) => OpenedTrial.Open(trial, _records.Folder, progress);

    private string Content(StoredFile file) => ContentPath(file) ?? throw new WrongUseException($"the content of '{file.Name}' is missing in the library's folder.");

    private (EditOutcome Outcome, bool Changed) Edit(LibraryContext context, Guid id, int baseRevision, DraftEdit edit, string author)
    {
        if (context.Trials.FirstOrDefault(t => t.Id == id) is not { } trial) return (new EditOutcome.Refused(LibraryProblems.NoTrial(id)), false);
        if (trial.Removed is not null) return (new EditOutcome.Refused(LibraryProblems.Trap(id)), false);
        var head = _records.Draft(context, id, trial.Head);
        var (draft, problem) = head.Apply(edit);
        if (baseRevision != trial.Head)
        {
            if (!context.Revisions.Any(r => r.TrialId == id && r.Number == baseRevision)) return (new EditOutcome.Refused(LibraryProblems.NoRevision(baseRevision)), false);
            var seen = _records.Draft(context, id, baseRevision);
            if (EditConflict.Between(seen, head, edit, draft) is var (path, theirs, yours)) return (new EditOutcome.Conflict(_records.Stored(context, trial), path, theirs, yours), false);
        }
        if (draft is null) return (new EditOutcome.Refused(problem!), false);
        if (draft.Text.Length > MostCharacters) return (new EditOutcome.Refused(LibraryProblems.TooLong(draft.Text.Length)), false);
        if (draft.Text == head.Text) return (new EditOutcome.Saved(_records.Stored(context, trial)), false);
        _records.Advance(context, trial, LibraryRecords.Parse(draft.Text), author, edit.Summary(head));
        context.SaveChanges();
        return (new EditOutcome.Saved(_records.Stored(context, trial)), true);
    }

    /// <summary>A tenth below what the reader takes in bytes.</summary>
    private const int MostCharacters = 4_500_000;

    private StoredTrial? Move(Guid id, int? seen, out Problem? problem, Func<LibraryContext, TrialRow, bool> move)
    {
        StoredTrial? stored = null;
        Problem? movedOn = null;
        Guarded("the trial", () => _records.Write(context =>
        {
            if (context.Trials.FirstOrDefault(t => t.Id == id) is not { Removed: null } trial) return false;
            if (seen is { } shown && shown != trial.Head) movedOn = LibraryProblems.MovedOn(shown, trial.Head);
            if (movedOn is not null || !move(context, trial)) return false;
            context.SaveChanges();
            stored = _records.Stored(context, trial);
            return true;
        }));
        problem = movedOn;
        return stored;
    }

    private void PutAway(Guid id, DateTimeOffset? when) => Guarded("the trial", () => _records.Write(context =>
    {
        context.Trials.Where(t => t.Id == id && (when == null || t.Removed == null)).ExecuteUpdate(s => s.SetProperty(t => t.Removed, when));
        return true;
    }));

    /// <summary>What is wrong outside this program is told in words; what is wrong inside goes on as it is.</summary>
    private static void Guarded(string name, Action work)
    {
        try
        {
            work();
        }
        catch (Exception e) when (DurableFiles.Explain(e, name) is { } problem)
        {
            throw new WrongUseException($"{problem.Where}: {problem.Found}. {problem.Remedy}");
        }
    }
}
