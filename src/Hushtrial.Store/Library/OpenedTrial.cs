using System.Security.Cryptography;
using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;
using Hushtrial.Trials;
using Hushtrial.Trials.Alignment;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Store.Library;

/// <summary>A trial of the library with its recordings and logs opened, as <see cref="TrialFolder"/> is one of a folder. Recordings are opened also while the document cannot be read yet; logs need it.</summary>
public sealed class OpenedTrial : IDisposable
{
    private readonly Dictionary<string, OpenedRecording> _opened = new(StringComparer.Ordinal);
    private readonly List<OpenedLog> _logs = [];
    private readonly Dictionary<string, KeptRecording> _kept = new(StringComparer.Ordinal);

    private OpenedTrial(StoredTrial trial) => Trial = trial;

    /// <summary>The trial as stored.</summary>
    public StoredTrial Trial { get; }

    /// <summary>The document; null when it cannot be read yet.</summary>
    public TrialDocument? Document { get; private set; }

    /// <summary>Problems of the document, each with its place.</summary>
    public IReadOnlyList<DraftProblem> DocumentProblems { get; private init; } = [];

    /// <summary>Problems of the document, of the recordings and of the logs.</summary>
    public List<Problem> Problems { get; } = [];

    /// <summary>Input files with hashes, the document first.</summary>
    public List<InputFile> Inputs { get; } = [];

    /// <summary>Whether analysis can go on.</summary>
    public bool Readable => Document is not null && !Problems.Any(p => p.Severity == Severity.Error);

    /// <summary>What the analysis takes; only when <see cref="Readable"/>.</summary>
    public TrialInputs ToInputs() => new(Document ?? throw new InvalidOperationException("The document cannot be read yet: look at Readable first."),
        _opened.Where(o => o.Value.Recording is not null).ToDictionary(o => o.Key, o => o.Value.Recording!, StringComparer.Ordinal), Inputs, Problems, ProductVersion.Text)
    {
        Logs = _logs.Where(l => l.Log is not null).ToDictionary(l => l.Id, l => l.Log!, StringComparer.Ordinal), Kept = _kept,
    };

    /// <summary>A recording by its identity in the document, with its problems; null when the document names none, or its file is not in the library.</summary>
    public OpenedRecording? Recording(string id) => _opened.GetValueOrDefault(id);

    /// <inheritdoc/>
    public void Dispose()
    {
        foreach (var opened in _opened.Values) opened.Dispose();
        _logs.ForEach(l => l.Dispose());
    }

    internal static OpenedTrial Open(StoredTrial trial, LibraryFolder folder, IProgress<double>? progress)
    {
        ArgumentNullException.ThrowIfNull(trial);
        var (document, problems) = trial.Draft.Read();
        var opened = new OpenedTrial(trial) { Document = document, DocumentProblems = problems };
        opened.Problems.AddRange(problems.Select(p => p.Problem));
        var text = Encoding.UTF8.GetBytes(trial.Draft.Text);
        opened.Inputs.Add(new(TrialFolder.DocumentName, text.Length, Convert.ToHexStringLower(SHA256.HashData(text))));
        var ids = trial.Draft.Ids("recordings");
        foreach (var (index, id) in ids.Index())
        {
            opened.OpenRecording(id, folder);
            progress?.Report((index + 1.0) / ids.Count);
        }
        if (document is not null)
        {
            (opened.Document, var clocks) = BroadcastClocks.Apply(document, opened._opened.Where(o => o.Value.Recording is not null).ToDictionary(o => o.Key, o => o.Value.Recording!, StringComparer.Ordinal), id => opened._kept.GetValueOrDefault(id)?.OfDay);
            opened.Problems.AddRange(clocks);
            foreach (var entry in document.Logs) opened.OpenLog(entry, opened.Document, folder);
        }
        return opened;
    }

    private void OpenRecording(string id, LibraryFolder folder)
    {
        var tracks = DraftFiles.Of(Trial.Draft, "recordings", id);
        if (OpenKept(id, tracks, folder)) return;
        var contents = tracks.SelectMany(t => t.Parts).Distinct(StringComparer.Ordinal).ToDictionary(name => name, name => Stored(name, folder), StringComparer.Ordinal);
        if (contents.Count == 0 || contents.Values.Any(c => c is null)) return;
        var truncation = Trial.Draft.Value($"recordings[{id}].allow_truncated") is "yes" or "true" ? Truncation.IsAllowed : Truncation.IsError;
        var opened = OpenedRecording.OpenStored(id, tracks, truncation, name => (contents[name]!.Value.Path, contents[name]!.Value.File));
        _opened[id] = opened;
        Problems.AddRange(opened.Problems);
        Inputs.AddRange(opened.Inputs);
    }

    /// <summary>Kept levels stand where the sound was discarded; the sound goes before them.</summary>
    private bool OpenKept(string id, IReadOnlyList<TrackFiles> tracks, LibraryFolder folder)
    {
        if (tracks.SelectMany(t => t.Parts).FirstOrDefault() is not { } first || Trial.Files.Any(f => f.Name == first) || !Trial.Files.Any(f => f.Name == KeptRecording.NameFor(first))) return false;
        if (Stored(KeptRecording.NameFor(first), folder) is not var (file, path)) return true;
        using var stream = File.OpenRead(path);
        if (KeptRecording.Read(stream, file.File, out var problem) is { } kept) _kept[id] = kept;
        else Problems.Add(problem!);
        Inputs.Add(file);
        return true;
    }

    private void OpenLog(LogEntry entry, TrialDocument document, LibraryFolder folder)
    {
        if (Stored(entry.File, folder) is not var (file, path)) return;
        var opened = OpenedLog.OpenStored(entry, document, path, file);
        _logs.Add(opened);
        Problems.AddRange(opened.Problems);
        // Two microphones in one file are two entries of it.
        if (opened.Input is { } input && !Inputs.Contains(input)) Inputs.Add(input);
    }

    /// <summary>A file of the trial with the way to its content; null with a problem when it is not whole.</summary>
    private (InputFile File, string Path)? Stored(string name, LibraryFolder folder)
    {
        if (Trial.Files.FirstOrDefault(f => f.Name == name) is not { } file || new FileInfo(folder.Content(file.Sha256)) is not { Exists: true } content)
        {
            Problems.Add(LibraryProblems.NoFile(name));
            return null;
        }
        if (content.Length == file.Bytes) return (new(name, file.Bytes, file.Sha256), content.FullName);
        Problems.Add(LibraryProblems.Changed(name));
        return null;
    }
}
