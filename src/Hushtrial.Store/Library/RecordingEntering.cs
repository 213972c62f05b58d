using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Library;

/// <summary>Gives a recording its name in a trial, and its entry in the document.</summary>
internal static class RecordingEntering
{
    private const string Folder = "recordings/";

    /// <summary>Enters a content that is in place, inside a write.</summary>
    /// <returns>Name of the file, identity of the recording, and why the document could not take it.</returns>
    public static (string Name, string? Recording, Problem? Problem) Into(LibraryRecords records, LibraryContext context, TrialRow trial, string givenName, string sha, long bytes, string author)
    {
        var draft = records.Draft(context, trial.Id, trial.Head);
        var files = context.Files.Where(f => f.TrialId == trial.Id).Select(f => f.Name).ToHashSet(StringComparer.OrdinalIgnoreCase);
        var safe = SafeName.Of(givenName);
        var named = draft.Ids("recordings").Select(id => (Id: id, File: draft.Value($"recordings[{id}].file"))).Where(r => r.File is not null).ToList();
        // The document may name the file already: written by hand before its recordings came.
        var awaited = named.FirstOrDefault(r => !files.Contains(r.File!) && SafeName.IsRelative(r.File!) && SafeName.Of(r.File!).Equals(safe, StringComparison.OrdinalIgnoreCase));
        if (awaited.File is not null)
        {
            context.Files.Add(new FileRow { TrialId = trial.Id, Name = awaited.File, Sha256 = sha });
            records.MoveHead(trial, trial.Head, draft);
            return (awaited.File, awaited.Id, null);
        }
        var name = SafeName.Fresh(Folder + safe, n => files.Contains(n) || named.Exists(r => n.Equals(r.File, StringComparison.OrdinalIgnoreCase)));
        context.Files.Add(new FileRow { TrialId = trial.Id, Name = name, Sha256 = sha });
        var id = draft.FreshId("recordings", Path.GetFileNameWithoutExtension(safe));
        var (entered, problem) = draft.Apply(new DraftEdit.Add("recordings", [new("id", id), new("file", name)]));
        if (entered is null) return (name, null, LibraryProblems.NotListed(name, problem!.Found));
        records.Advance(context, trial, LibraryRecords.Parse(entered.Text), author, $"Recording {id} added: {safe}, {LibraryProblems.Megabytes(bytes)}");
        return (name, id, null);
    }
}
