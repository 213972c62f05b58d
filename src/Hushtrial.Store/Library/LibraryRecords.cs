using System.Collections.Concurrent;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Storage;

namespace Hushtrial.Store.Library;

/// <summary>The library's database: one writer at a time, over threads and processes.</summary>
internal sealed class LibraryRecords(LibraryFolder folder, TimeProvider clock)
{
    private const int MostDrafts = 64;

    private readonly DbContextOptions<LibraryContext> _options = LibraryContext.Embedded(folder.Database);

    /// <summary>Drafts of revisions, which never change.</summary>
    private readonly ConcurrentDictionary<(Guid, int), TrialDraft> _drafts = new();

    public LibraryFolder Folder { get; } = folder;

    public TimeProvider Clock { get; } = clock;

    /// <summary>Now, in the precision that every database keeps.</summary>
    public DateTimeOffset Now()
    {
        var now = Clock.GetUtcNow().ToUniversalTime();
        return now.AddTicks(-(now.Ticks % TimeSpan.TicksPerMicrosecond));
    }

    public LibraryContext Context() => new(_options);

    /// <summary>Reads from one state of the database.</summary>
    public T Read<T>(Func<LibraryContext, T> work)
    {
        using var context = Context();
        using var transaction = context.BeginReading();
        return work(context);
    }

    /// <summary>Writes all of it or nothing; when this returns it is on disk.</summary>
    /// <param name="work">Reads and writes; false: nothing is to be kept.</param>
    public void Write(Func<LibraryContext, bool> work)
    {
        var kept = false;
        try
        {
            using var context = Context();
            using var transaction = context.Database.BeginTransaction();
            if (!work(context)) return;
            context.SaveChanges();
            transaction.Commit();
            kept = true;
        }
        finally
        {
            // The number of a revision that was not kept may be given to another one, by another process too.
            if (!kept) _drafts.Clear();
        }
    }

    public TrialDraft Draft(LibraryContext context, Guid id, int revision)
    {
        if (_drafts.TryGetValue((id, revision), out var known)) return known;
        var text = RevisionText.Unpack(context.Revisions.Where(r => r.TrialId == id && r.Number == revision).Select(r => r.Text).Single());
        return Remember(id, revision, Parse(text));
    }

    /// <summary>Forgets drafts: after a transaction that did not happen, or a trial that is gone.</summary>
    public void Forget(Guid id)
    {
        foreach (var key in _drafts.Keys.Where(k => k.Item1 == id)) _drafts.TryRemove(key, out _);
    }

    public StoredTrial Stored(LibraryContext context, TrialRow trial)
    {
        var head = context.Revisions.Where(r => r.TrialId == trial.Id && r.Number == trial.Head).Select(r => new { r.Parent, r.Next }).Single();
        var files = context.Files.Where(f => f.TrialId == trial.Id).Join(context.Contents, f => f.Sha256, c => c.Sha256, (f, c) => new StoredFile(f.Name, f.Sha256, c.Bytes)).ToList();
        return new(trial.Id, trial.Head, Draft(context, trial.Id, trial.Head), [.. files.OrderBy(f => f.Name, StringComparer.Ordinal)], head.Parent is not null, head.Next is not null, trial.Created, trial.Changed, trial.Removed);
    }

    public StoredTrial? Find(Guid id) => Read(context => context.Trials.AsNoTracking().FirstOrDefault(t => t.Id == id) is { } row ? Stored(context, row) : null);

    /// <summary>A trial with its first revision, not saved yet.</summary>
    public TrialRow Begin(LibraryContext context, TrialDraft draft, string author, string summary)
    {
        var now = Now();
        var trial = new TrialRow { Id = Guid.CreateVersion7(now), Title = "", Created = now, Changed = now };
        context.Trials.Add(trial);
        Advance(context, trial, draft, author, summary);
        return trial;
    }

    /// <summary>A trial with a history that was made elsewhere, not saved yet.</summary>
    /// <param name="context">The library.</param>
    /// <param name="history">The history.</param>
    /// <param name="texts">Its documents as they lie in the database, in order: made before the library is held for the write.</param>
    /// <param name="head">The document at its head.</param>
    public TrialRow Begin(LibraryContext context, TrialHistory history, IReadOnlyList<byte[]> texts, TrialDraft head)
    {
        var trial = new TrialRow { Id = Guid.CreateVersion7(Now()), Title = "", Created = history.Created.ToUniversalTime(), Latest = history.Revisions.Count };
        context.Trials.Add(trial);
        context.Revisions.AddRange(history.Revisions.Zip(texts, (r, text) => new RevisionRow
        {
            TrialId = trial.Id, Number = r.Number, Parent = r.Parent, Next = r.Next, Author = Line(r.Author), Summary = Line(r.Summary), At = r.At, Text = text,
        }));
        MoveHead(trial, history.Head, head);
        return trial;
    }

    /// <summary>Makes a revision below the head and moves the head to it.</summary>
    public void Advance(LibraryContext context, TrialRow trial, TrialDraft draft, string author, string summary)
    {
        var number = trial.Latest + 1;
        context.Revisions.Add(new RevisionRow
        {
            TrialId = trial.Id, Number = number, Parent = trial.Head == 0 ? null : trial.Head, Author = Line(author), Summary = Line(summary), At = Now(), Text = RevisionText.Pack(draft.Text),
        });
        trial.Latest = number;
        MoveHead(trial, number, draft);
    }

    /// <summary>Moves the head, with what lists show of it.</summary>
    public void MoveHead(TrialRow trial, int revision, TrialDraft draft)
    {
        (trial.Head, trial.Changed) = (revision, Now());
        (trial.Title, trial.Devices, trial.Takes, trial.Recordings) = (Line(draft.Value("trial.title") ?? ""), draft.Ids("devices").Count, draft.Ids("takes").Count, draft.Ids("recordings").Count);
    }

    public static TrialDraft Parse(string text) => TrialDraft.FromText(text, TrialFolder.DocumentName).Draft
        ?? throw new InvalidDataException("A revision in the library is no document tree: the database was damaged, or written by something else.");

    /// <summary>One line of reasonable length.</summary>
    private static string Line(string text)
    {
        var line = text.ReplaceLineEndings(" ").Trim();
        return line.Length <= 300 ? line : line[..(char.IsHighSurrogate(line[298]) ? 298 : 299)] + "…";
    }

    private TrialDraft Remember(Guid id, int revision, TrialDraft draft)
    {
        if (_drafts.Count >= MostDrafts) _drafts.Clear();
        return _drafts[(id, revision)] = draft;
    }
}
