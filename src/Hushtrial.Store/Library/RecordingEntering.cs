using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;
using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Library;

/// <summary>Gives a recording or a level log its name in a trial, and its entry in the document.</summary>
internal static class RecordingEntering
{
    /// <summary>Enters a content that is in place, inside a write.</summary>
    /// <param name="log">How the file is read as a level log; null for a recording.</param>
    /// <returns>Name of the file, identity of its entry, and why the document could not take it.</returns>
    public static (string Name, string? Entry, Problem? Problem) Into(LibraryRecords records, LibraryContext context, TrialRow trial, string givenName, string sha, long bytes, string author, LogProposal? log)
    {
        var draft = records.Draft(context, trial.Id, trial.Head);
        var files = context.Files.Where(f => f.TrialId == trial.Id).Select(f => f.Name).ToHashSet(StringComparer.OrdinalIgnoreCase);
        var safe = SafeName.Of(givenName);
        var section = log is null ? "recordings" : "logs";
        // The document may name the file already: written by hand before its files came.
        var awaited = Named(draft, section).FirstOrDefault(r => !files.Contains(r.File) && SafeName.IsRelative(r.File) && SafeName.Of(r.File).Equals(safe, StringComparison.OrdinalIgnoreCase));
        if (awaited.File is not null)
        {
            context.Files.Add(new FileRow { TrialId = trial.Id, Name = awaited.File, Sha256 = sha });
            records.MoveHead(trial, trial.Head, draft);
            return (awaited.File, awaited.Id, null);
        }
        var taken = Named(draft, "recordings").Concat(Named(draft, "logs")).Select(n => n.File).Concat(files).ToHashSet(StringComparer.OrdinalIgnoreCase);
        var name = SafeName.Fresh($"{section}/{safe}", taken.Contains);
        context.Files.Add(new FileRow { TrialId = trial.Id, Name = name, Sha256 = sha });
        var id = draft.FreshId(section, Path.GetFileNameWithoutExtension(safe));
        var (entered, problem) = draft.Apply(new DraftEdit.Add(section, log is null ? [new("id", id), new("file", name)] : Fields(log, id, name)));
        if (entered is null) return (name, null, LibraryProblems.NotListed(name, problem!.Found, section));
        records.Advance(context, trial, LibraryRecords.Parse(entered.Text), author, $"{(log is null ? "Recording" : "Level log")} {id} added: {safe}, {LibraryProblems.Megabytes(bytes)}");
        return (name, id, null);
    }

    /// <summary>Entries of a section with the files that they name.</summary>
    public static IEnumerable<(string Id, string File)> Named(TrialDraft draft, string section) =>
        draft.Ids(section).SelectMany(id => DraftFiles.Of(draft, section, id).SelectMany(t => t.Parts).Select(file => (id, file)));

    /// <summary>The entry with all that the file tells. Where its microphone was no file tells: that is asked, and the hash, which says that the reading is confirmed, waits for it.</summary>
    private static IReadOnlyList<KeyValuePair<string, string>> Fields(LogProposal log, string id, string name) =>
        [.. LogSection.Fields(new LogEntry(id, name, Outside: false, null, null, null, log.Sure!)).Where(f => f.Key != "where" && (f.Key != "decimal" || log.Problems.All(p => p.Code != "LOG-013")))];
}
