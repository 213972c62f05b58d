using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Files;

/// <summary>Files beside a trial document that look like parts of one recording, proposed to the person who writes it.</summary>
public static class BelongingFiles
{
    /// <summary>Headers of more files are not read: a folder of thousands is an archive.</summary>
    private const int MostFiles = 500;

    private static readonly string[] _endings = [".wav", ".bwf", ".rf64", ".w64", ".aif", ".aiff"];

    /// <summary>A note for every sequence that the document does not join yet. Only headers are read.</summary>
    /// <param name="folder">The folder of the trial.</param>
    /// <param name="document">The document; null where it is new or cannot be read.</param>
    public static IReadOnlyList<Problem> Proposals(string folder, TrialDocument? document)
    {
        var joined = (document?.Recordings ?? []).Where(r => r.Files.Count > 1).Select(r => r.Files.ToHashSet(StringComparer.Ordinal)).ToList();
        var opened = new List<(Recording Recording, long Bytes)>();
        try
        {
            foreach (var name in Names(folder, document))
                if (InsideFolder.Holds(folder, name) && FileBytes.Open(Path.Combine(folder, name), name, out _) is { } bytes) opened.Add((Recording.Open(bytes, name), bytes.Length));
            return [.. SplitSequences.Find(opened).Where(s => !joined.Exists(j => s.Parts.All(j.Contains))).Select(Proposal)];
        }
        finally
        {
            opened.ForEach(o => o.Recording.Dispose());
        }
    }

    private static IEnumerable<string> Names(string folder, TrialDocument? document)
    {
        var named = (document?.Recordings ?? []).SelectMany(r => r.Files).ToList();
        var folders = named.Select(n => Path.GetDirectoryName(n) ?? "").Append("").Distinct(StringComparer.Ordinal);
        return folders.Select(f => (Name: f, Path: Path.Combine(folder, f))).Where(f => Directory.Exists(f.Path))
            .SelectMany(f => Directory.EnumerateFiles(f.Path).Where(p => _endings.Contains(Path.GetExtension(p), StringComparer.OrdinalIgnoreCase)).Select(p => f.Name.Length == 0 ? Path.GetFileName(p) : $"{f.Name}/{Path.GetFileName(p)}"))
            .Order(StringComparer.Ordinal).Take(MostFiles);
    }

    private static Problem Proposal(SplitSequence sequence) => new("REC-068", Severity.Note, sequence.Parts[0], $"{sequence.Parts.Count} files that look like parts of one recording: {string.Join(", ", sequence.Parts)} ({sequence.Reason})",
        "one entry for the parts of a recording", $"If they are, write 'files: [{string.Join(", ", sequence.Parts)}]' in one entry of 'recordings'; nothing was joined.");
}
