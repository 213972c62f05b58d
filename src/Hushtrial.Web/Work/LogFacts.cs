using System.Collections.Concurrent;
using Hushtrial.Store.Files;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;

namespace Hushtrial.Web.Work;

/// <summary>A level log as the page shows it.</summary>
/// <param name="Id">Name of its entry.</param>
/// <param name="Name">The file as the document names it.</param>
/// <param name="File">The stored file; null while it is not here.</param>
/// <param name="Proposed">What the file alone tells: roles with their evidence; null without the file.</param>
/// <param name="Read">What it says under the entry as it stands; null without the file.</param>
/// <param name="Rows">The first rows as they stand in the file.</param>
/// <param name="Confirmed">The hash for which the entry was confirmed; null when it was not.</param>
public sealed record LogFact(string Id, string Name, StoredFile? File, LogProposal? Proposed, LogProposal? Read, IReadOnlyList<(int Line, IReadOnlyList<string> Fields)> Rows, string? Confirmed)
{
    /// <summary>Whether the entry was confirmed for this very file.</summary>
    public bool IsConfirmed => File is not null && Confirmed == File.Sha256;
}

/// <summary>Reads stored level logs, each once for every state of its entry.</summary>
internal sealed class LogFacts(TrialLibrary library)
{
    /// <summary>Proposals are small; their number is bounded all the same.</summary>
    private const int MostKept = 200;

    private const int RowsShown = 6;

    private readonly ConcurrentDictionary<string, (LogProposal Proposal, IReadOnlyList<(int, IReadOnlyList<string>)> Rows)> _known = new(StringComparer.Ordinal);

    /// <summary>What is known of a log of a trial.</summary>
    public LogFact Of(StoredTrial trial, string id)
    {
        var name = trial.Draft.Value($"logs[{id}].file") ?? "";
        var confirmed = trial.Draft.Value($"logs[{id}].sha256");
        if (trial.Files.FirstOrDefault(f => f.Name == name) is not { } file || library.ContentPath(file) is not { } path) return new(id, name, null, null, null, [], confirmed);
        var proposed = Read(path, file, "", () => new());
        var read = Read(path, file, trial.Draft.Value($"logs[{id}]") ?? "", () => Wishes(trial.Draft, id, confirmed == file.Sha256 ? proposed.Proposal : null));
        return new(id, name, file, proposed.Proposal, read.Proposal, read.Rows, confirmed);
    }

    /// <summary>What the entry states. Once it is confirmed, a column without a role is one that is not read.</summary>
    private static LogWishes Wishes(TrialDraft draft, string id, LogProposal? confirmed)
    {
        var wishes = LogWishes.Of(draft, id);
        return confirmed is null ? wishes : wishes with { Columns = confirmed.Columns.Where(c => !wishes.Columns.ContainsKey(c.Number)).Select(c => KeyValuePair.Create(c.Number, new ColumnRole(ColumnKind.Other))).Concat(wishes.Columns).ToDictionary() };
    }

    private (LogProposal Proposal, IReadOnlyList<(int, IReadOnlyList<string>)> Rows) Read(string path, StoredFile file, string entry, Func<LogWishes> wishes)
    {
        if (_known.Count > MostKept) _known.Clear();
        return _known.GetOrAdd($"{file.Sha256} {entry}", _ =>
        {
            using var bytes = FileBytes.Open(path, file.Name, out var problem);
            if (bytes is null) return (new(null, [], [], null, null, null, [problem!]), []);
            var proposal = LogProposal.Of(bytes, file.Name, wishes());
            return (proposal, proposal.Layout is { } layout ? LogRowsShown.First(bytes, layout, RowsShown) : []);
        });
    }
}
