using Hushtrial.Quantities;
using Hushtrial.Trials;
using Hushtrial.Trials.Alignment;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Store.Files;

/// <summary>A trial on disk: its document and the recordings beside it, opened for reading only.</summary>
public sealed class TrialFolder : IDisposable
{
    /// <summary>Name of the document in a trial's folder.</summary>
    public const string DocumentName = "trial.yaml";

    private readonly List<OpenedRecording> _opened = [];
    private readonly List<OpenedLog> _logs = [];
    private readonly Dictionary<string, KeptRecording> _kept = new(StringComparer.Ordinal);

    private TrialFolder(string documentPath) => DocumentPath = documentPath;

    /// <summary>The document's path.</summary>
    public string DocumentPath { get; }

    /// <summary>The folder that holds the document.</summary>
    public string Folder => Path.GetDirectoryName(Path.GetFullPath(DocumentPath))!;

    /// <summary>The document, or null when it could not be read.</summary>
    public TrialDocument? Document { get; private set; }

    /// <summary>Problems of the document and the recordings.</summary>
    public List<Problem> Problems { get; } = [];

    /// <summary>Input files with hashes.</summary>
    public List<InputFile> Inputs { get; } = [];

    /// <summary>Whether analysis can go on.</summary>
    public bool Readable => Document is not null && !Problems.Any(p => p.Severity == Severity.Error);

    /// <summary>What the analysis takes.</summary>
    public TrialInputs ToInputs() => new(Document!, _opened.Where(o => o.Recording is not null).ToDictionary(o => o.Id, o => o.Recording!, StringComparer.Ordinal), Inputs, Problems, ProductVersion.Text)
    {
        Logs = _logs.Where(l => l.Log is not null).ToDictionary(l => l.Id, l => l.Log!, StringComparer.Ordinal), Kept = _kept,
    };

    /// <summary>Opens a trial by its document or its folder.</summary>
    /// <exception cref="WrongUseException">There is no such file or folder.</exception>
    public static TrialFolder Open(string trial, IProgress<double>? progress = null)
    {
        var folder = new TrialFolder(Find(trial));
        // The reader refuses anything above 5 MB; it need not be loaded to be refused.
        var bytes = SmallFile.ReadBeginning(folder.DocumentPath, 6_000_000);
        var name = Path.GetFileName(folder.DocumentPath);
        using (var stream = new MemoryStream(bytes))
        {
            (folder.Document, var problems) = TrialDocumentReader.Read(stream, name);
            folder.Problems.AddRange(problems);
        }
        folder.Inputs.Add(new(name, bytes.Length, Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(bytes))));
        if (folder.Document is not { } document) return folder;
        folder.OpenRecordings(document, progress);
        (folder.Document, var clocks) = BroadcastClocks.Apply(document, folder._opened.Where(o => o.Recording is not null).ToDictionary(o => o.Id, o => o.Recording!, StringComparer.Ordinal), id => folder._kept.GetValueOrDefault(id)?.OfDay);
        folder.Problems.AddRange(clocks);
        folder.OpenLogs(folder.Document);
        return folder;
    }

    /// <summary>Adds the cabins of a library to those that the document names.</summary>
    public void Add(CabinLibrary library)
    {
        Problems.AddRange(library.Problems);
        Inputs.AddRange(library.Inputs);
        if (Document is { } document) Document = document with { Cabins = library.Behind(document.Cabins, Problems) };
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _opened.ForEach(o => o.Dispose());
        _logs.ForEach(l => l.Dispose());
    }

    /// <summary>The document of a trial that is named by it or by its folder.</summary>
    /// <exception cref="WrongUseException">There is none.</exception>
    public static string Find(string trial)
    {
        if (File.Exists(trial)) return trial;
        if (!Directory.Exists(trial)) throw new WrongUseException($"there is no file or folder '{trial}'.");
        var inside = Path.Combine(trial, DocumentName);
        if (File.Exists(inside)) return inside;
        throw new WrongUseException($"the folder '{trial}' holds no {DocumentName}. 'hushtrial new {trial}' writes one.");
    }

    private void OpenLogs(TrialDocument document)
    {
        foreach (var entry in document.Logs)
        {
            var opened = OpenedLog.Open(entry, document, Folder);
            _logs.Add(opened);
            Problems.AddRange(opened.Problems);
            if (opened.Input is { } input && !Inputs.Contains(input)) Inputs.Add(input);
        }
    }

    private void OpenRecordings(TrialDocument document, IProgress<double>? progress)
    {
        foreach (var (index, entry) in document.Recordings.Index())
        {
            if (OpenKept(entry)) continue;
            var opened = OpenedRecording.Open(entry, Folder);
            _opened.Add(opened);
            Problems.AddRange(opened.Problems);
            Inputs.AddRange(opened.Inputs);
            progress?.Report((index + 1.0) / document.Recordings.Count);
        }
    }

    /// <summary>Kept levels beside the document stand where the sound was discarded; the sound goes before them.</summary>
    private bool OpenKept(RecordingEntry entry)
    {
        var name = KeptRecording.NameFor(entry.File);
        if (File.Exists(Path.Combine(Folder, entry.File)) || !File.Exists(Path.Combine(Folder, name)) || !InsideFolder.Holds(Folder, name)) return false;
        var bytes = SmallFile.ReadBeginning(Path.Combine(Folder, name), 500_000_000);
        using var stream = new MemoryStream(bytes);
        if (KeptRecording.Read(stream, name, out var problem) is { } kept) _kept[entry.Id] = kept;
        else Problems.Add(problem!);
        Inputs.Add(new(name, bytes.Length, Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(bytes))));
        return true;
    }
}
