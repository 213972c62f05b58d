using Hushtrial.Quantities;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Store.Library;

/// <summary>What became of the wish to discard the sound of a trial.</summary>
/// <param name="Trial">The trial with its kept levels; null when it was refused.</param>
/// <param name="Problem">Why it was refused; null when it was not.</param>
/// <param name="Elsewhere">Sound files whose content stays because another trial has it, too.</param>
public sealed record SoundDiscarded(StoredTrial? Trial, Problem? Problem, IReadOnlyList<string> Elsewhere);

/// <summary>Takes the sound of a trial out of the library and puts its kept levels in its place. What was deleted cannot be brought back.</summary>
internal sealed class SoundDiscarding(LibraryRecords records, ContentFolder contents)
{
    /// <summary>The line of the revision.</summary>
    public const string Summary = "Sound discarded, band levels kept: this cannot be undone";

    /// <summary>Does it, whole or not at all; the files go when it is written down.</summary>
    /// <param name="id">The trial.</param>
    /// <param name="baseRevision">The revision whose levels were kept.</param>
    /// <param name="kept">Files of kept levels by their name in the trial.</param>
    /// <param name="edit">What the document says of it.</param>
    /// <param name="author">Who; may be "".</param>
    public SoundDiscarded Do(Guid id, int baseRevision, IReadOnlyDictionary<string, ReadOnlyMemory<byte>> kept, DraftEdit edit, string author)
    {
        SoundDiscarded? outcome = null;
        var staged = new List<(string Name, string Copy, string Sha256, long Bytes)>();
        try
        {
            foreach (var (name, bytes) in kept)
            {
                var copy = records.Folder.Copy();
                using var stream = new MemoryStream(bytes.ToArray());
                var (length, sha) = DurableFiles.CopyAsync(stream, copy, long.MaxValue, null, CancellationToken.None).GetAwaiter().GetResult();
                staged.Add((name, copy, sha, length));
            }
            records.Write(context =>
            {
                outcome = Do(context, id, baseRevision, staged, edit, author);
                return outcome.Trial is not null;
            });
            contents.DeleteDoomed();
            return outcome!;
        }
        finally
        {
            foreach (var (_, copy, _, _) in staged) DurableFiles.TryDelete(copy);
        }
    }

    private SoundDiscarded Do(LibraryContext context, Guid id, int baseRevision, List<(string Name, string Copy, string Sha256, long Bytes)> staged, DraftEdit edit, string author)
    {
        if (context.Trials.FirstOrDefault(t => t.Id == id) is not { } trial) return new(null, LibraryProblems.NoTrial(id), []);
        if (trial.Removed is not null) return new(null, LibraryProblems.Trap(id), []);
        if (trial.Head != baseRevision) return new(null, LibraryProblems.MovedOn(baseRevision, trial.Head), []);
        if (context.Uploads.Any(u => u.TrialId == id && !u.Finished)) return new(null, LibraryProblems.UnfinishedUpload(), []);
        // Also what only earlier revisions name: their sound must not stay behind.
        var sound = context.Files.Where(f => f.TrialId == id).ToList().Where(f => !f.Name.EndsWith(KeptRecording.Suffix, StringComparison.Ordinal) && IsSound(f)).ToList();
        context.Files.RemoveRange(sound);
        foreach (var (name, copy, sha, bytes) in staged)
        {
            contents.Place(context, copy, sha, bytes);
            if (context.Files.FirstOrDefault(f => f.TrialId == id && f.Name == name) is { } row) row.Sha256 = sha;
            else context.Files.Add(new FileRow { TrialId = id, Name = name, Sha256 = sha });
        }
        var head = records.Draft(context, id, trial.Head);
        var (draft, problem) = head.Apply(edit);
        if (draft is null) return new(null, problem, []);
        records.Advance(context, trial, LibraryRecords.Parse(draft.Text), author, Summary);
        context.SaveChanges();
        ContentFolder.Doom(context);
        var elsewhere = sound.Where(s => context.Files.Any(f => f.Sha256 == s.Sha256)).Select(s => s.Name).ToList();
        return new(records.Stored(context, trial), null, elsewhere);
    }

    private bool IsSound(FileRow file)
    {
        if (FileBytes.Open(records.Folder.Content(file.Sha256), file.Name, out _) is not { } bytes) return false;
        using (bytes) return KindOfFile.IsSound(bytes);
    }
}
