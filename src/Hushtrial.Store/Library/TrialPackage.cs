using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;
using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Library;

/// <summary>A file of a package: its name, its length and the way to its bytes.</summary>
internal sealed record PackedFile(string Name, long Bytes, Func<Stream> Open);

/// <summary>A trial that comes from outside: a document, perhaps its history, and files.</summary>
internal sealed class TrialPackage(LibraryRecords records, ContentFolder contents, LibraryRoom room)
{
    /// <summary>Takes a trial in, whole or not at all.</summary>
    /// <param name="files">Every file of the package, by its relative name; names are unique, capitals apart.</param>
    /// <param name="where">The package in words.</param>
    /// <param name="limits">How much is taken.</param>
    /// <param name="author">Who; may be "".</param>
    public ImportOutcome TakeIn(IReadOnlyList<PackedFile> files, string where, ImportLimits limits, string author)
    {
        if (files.FirstOrDefault(f => f.Name == TrialFolder.DocumentName) is not { } document) return new(null, [PackageProblems.NoDocument(where)]);
        var (draft, faults) = Document(document);
        if (draft is null) return new(null, faults);
        TrialHistory? history = null;
        var (logs, recordings) = (new HashSet<string>(StringComparer.Ordinal), new HashSet<string>(StringComparer.Ordinal));
        void Note(TrialDraft one)
        {
            logs.UnionWith(RecordingEntering.Named(one, "logs").Select(l => l.File));
            recordings.UnionWith(RecordingEntering.Named(one, "recordings").Select(r => r.File));
        }
        Note(draft);
        if (files.FirstOrDefault(f => f.Name == TrialHistory.FileName) is { } travelled)
        {
            using var stream = travelled.Bytes == 0 ? Stream.Null : travelled.Open();
            history = TrialHistory.Read(stream, out var problem, limits.MostRevisions, Note);
            if (history is null) return new(null, [problem!]);
        }
        var wanted = Wanted([.. recordings, .. logs, .. (history?.Files ?? []).Select(f => f.Name)]);
        var names = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        if (files.FirstOrDefault(f => wanted.Contains(f.Name) && !names.Add(f.Name)) is { } twin) return new(null, [PackageProblems.Twice(twin.Name)]);
        var stated = files.Where(f => wanted.Contains(f.Name)).Sum(f => (decimal)f.Bytes);
        var (left, full) = records.Read(c => (room.Left(c), room.Refusal(c, where, (long)Math.Min(stated, long.MaxValue))));
        if (full is not null) return new(null, [full]);
        var most = limits.MostBytes;
        var problems = new List<Problem>();
        var staged = new List<(string Name, string Copy, string Sha256, long Bytes)>();
        try
        {
            foreach (var file in files.Where(f => wanted.Contains(f.Name)))
            {
                if (Refusal(file, mayBeSound: recordings.Contains(file.Name) || !logs.Contains(file.Name), mayBeLog: !recordings.Contains(file.Name)) is { } refusal) return new(null, [refusal]);
                var copy = records.Folder.Copy();
                staged.Add((file.Name, copy, "", 0));
                using var stream = file.Open();
                var (bytes, sha) = DurableFiles.CopyAsync(stream, copy, most, room.Watch(where, left), CancellationToken.None).GetAwaiter().GetResult();
                (most, left) = (most - bytes, left - bytes);
                staged[^1] = (file.Name, copy, sha, bytes);
                if (history?.Files.FirstOrDefault(f => f.Name == file.Name) is { } known && known.Sha256 != sha) problems.Add(PackageProblems.Unlike(file.Name));
            }
            problems.AddRange(RecordingEntering.Named(draft, "recordings").Concat(RecordingEntering.Named(draft, "logs")).Where(n => !staged.Exists(s => s.Name == n.File) && !IsKept(draft, n.Id, staged)).Select(n => n.File).Distinct(StringComparer.Ordinal).Select(PackageProblems.Missing));
            if (files.Where(f => !wanted.Contains(f.Name) && f != document && f.Name != TrialHistory.FileName).Select(f => f.Name).ToList() is { Count: > 0 } leftOut) problems.Add(PackageProblems.LeftOut(leftOut));
            return Save(draft, history, staged, where, author, out var meanwhile) is { } trial ? new(trial, problems) : new(null, [meanwhile!]);
        }
        finally
        {
            foreach (var (_, copy, _, _) in staged) DurableFiles.TryDelete(copy);
        }
    }

    /// <summary>The trial with all that belongs to it, to be written elsewhere.</summary>
    public (StoredTrial Trial, TrialHistory History)? PackUp(Guid id) => records.Read<(StoredTrial, TrialHistory)?>(context =>
    {
        if (context.Trials.AsNoTracking().FirstOrDefault(t => t.Id == id) is not { } row) return null;
        var trial = records.Stored(context, row);
        var revisions = context.Revisions.AsNoTracking().Where(r => r.TrialId == id).OrderBy(r => r.Number).ToList()
            .ConvertAll(r => new TravellingRevision(r.Number, r.Parent, r.Next, r.Author, r.Summary, r.At, RevisionText.Unpack(r.Text)));
        return (trial, new(row.Created, row.Head, revisions, trial.Files));
    });

    private static (TrialDraft? Draft, IReadOnlyList<Problem> Problems) Document(PackedFile file)
    {
        // Devices and pipes state no length; opening one might wait for ever.
        using var stream = file.Bytes == 0 ? Stream.Null : file.Open();
        return TrialDraft.FromStream(stream, TrialFolder.DocumentName);
    }

    /// <summary>Whether kept levels came in the place of a recording's sound.</summary>
    private static bool IsKept(TrialDraft draft, string recording, List<(string Name, string Copy, string Sha256, long Bytes)> staged) =>
        DraftFiles.Of(draft, "recordings", recording).SelectMany(t => t.Parts).FirstOrDefault() is { } first && staged.Exists(s => s.Name == KeptRecording.NameFor(first));

    /// <summary>The files that are taken: those that any revision of the document names, and kept levels in their place.</summary>
    private static HashSet<string> Wanted(IReadOnlyList<string> names) =>
        [.. names.Concat(names.Select(KeptRecording.NameFor)).Where(n => SafeName.IsRelative(n) && n is not (TrialFolder.DocumentName or TrialHistory.FileName))];

    private static Problem? Refusal(PackedFile file, bool mayBeSound, bool mayBeLog)
    {
        if (file.Bytes == 0) return PackageProblems.Empty(file.Name);
        using var stream = file.Open();
        if (file.Name.EndsWith(KeptRecording.Suffix, StringComparison.Ordinal)) return KeptRecording.Read(stream, file.Name, out var unreadable) is null ? unreadable : null;
        using var bytes = BeginningOfFile.Of(stream);
        if (KindOfFile.IsSound(bytes)) return mayBeSound ? null : PackageProblems.WrongKind(file.Name, $"the file is {FileSignature.Words(FileSignature.Of(bytes))}", "a level log");
        var words = mayBeLog ? KindOfFile.WhyNoLog(bytes) : FileSignature.Words(FileSignature.Of(bytes));
        return words is null ? null : PackageProblems.WrongKind(file.Name, $"the file is {words}", mayBeSound ? "a recording" : "a level log");
    }

    private StoredTrial? Save(TrialDraft draft, TrialHistory? history, List<(string Name, string Copy, string Sha256, long Bytes)> staged, string where, string author, out Problem? problem)
    {
        StoredTrial? stored = null;
        Problem? full = null;
        // Whatever takes time is made before the library is held for the write: others wait for it.
        var texts = history?.Revisions.Select(r => RevisionText.Pack(r.Text)).ToList() ?? [];
        var headText = history?.Revisions[history.Head - 1].Text ?? draft.Text;
        var head = headText == draft.Text ? draft : LibraryRecords.Parse(headText);
        records.Write(context =>
        {
            // Others may have come in meanwhile; what is there already takes no more room.
            var fresh = staged.DistinctBy(s => s.Sha256).Where(s => context.Contents.Find(s.Sha256) is null).Sum(s => s.Bytes);
            if (fresh > room.Left(context)) full = room.Refusal(context, where, fresh);
            if (full is not null) return false;
            foreach (var (_, copy, sha, bytes) in staged.DistinctBy(s => s.Sha256)) contents.Place(context, copy, sha, bytes);
            TrialRow trial;
            if (history is null)
            {
                trial = records.Begin(context, draft, author, $"Imported from {where}");
            }
            else
            {
                trial = records.Begin(context, history, texts, head);
                if (headText != draft.Text) records.Advance(context, trial, draft, author, "Document changed outside the library");
            }
            foreach (var (name, _, sha, _) in staged) context.Files.Add(new FileRow { TrialId = trial.Id, Name = name, Sha256 = sha });
            context.SaveChanges();
            stored = records.Stored(context, trial);
            return true;
        });
        problem = full;
        return stored;
    }
}
