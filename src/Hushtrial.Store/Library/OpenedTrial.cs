using System.Security.Cryptography;
using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;
using Hushtrial.Trials;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Store.Library;

/// <summary>A trial of the library with its recordings opened, as <see cref="TrialFolder"/> is one of a folder. Recordings are opened also while the document cannot be read yet.</summary>
public sealed class OpenedTrial : IDisposable
{
    private readonly Dictionary<string, OpenedRecording> _opened = new(StringComparer.Ordinal);

    private OpenedTrial(StoredTrial trial) => Trial = trial;

    /// <summary>The trial as stored.</summary>
    public StoredTrial Trial { get; }

    /// <summary>The document; null when it cannot be read yet.</summary>
    public TrialDocument? Document { get; private init; }

    /// <summary>Problems of the document, each with its place.</summary>
    public IReadOnlyList<DraftProblem> DocumentProblems { get; private init; } = [];

    /// <summary>Problems of the document and of the recordings.</summary>
    public List<Problem> Problems { get; } = [];

    /// <summary>Input files with hashes, the document first.</summary>
    public List<InputFile> Inputs { get; } = [];

    /// <summary>Whether analysis can go on.</summary>
    public bool Readable => Document is not null && !Problems.Any(p => p.Severity == Severity.Error);

    /// <summary>What the analysis takes; only when <see cref="Readable"/>.</summary>
    public TrialInputs ToInputs() => new(Document ?? throw new InvalidOperationException("The document cannot be read yet: look at Readable first."),
        _opened.Where(o => o.Value.Recording is not null).ToDictionary(o => o.Key, o => o.Value.Recording!, StringComparer.Ordinal), Inputs, Problems, ProductVersion.Text);

    /// <summary>A recording by its identity in the document, with its problems; null when the document names none, or its file is not in the library.</summary>
    public OpenedRecording? Recording(string id) => _opened.GetValueOrDefault(id);

    /// <inheritdoc/>
    public void Dispose()
    {
        foreach (var opened in _opened.Values) opened.Dispose();
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
        return opened;
    }

    private void OpenRecording(string id, LibraryFolder folder)
    {
        if (Trial.Draft.Value($"recordings[{id}].file") is not { } name) return;
        if (Trial.Files.FirstOrDefault(f => f.Name == name) is not { } file || new FileInfo(folder.Content(file.Sha256)) is not { Exists: true } content)
        {
            Problems.Add(LibraryProblems.NoFile(name));
            return;
        }
        if (content.Length != file.Bytes)
        {
            Problems.Add(LibraryProblems.Changed(name));
            return;
        }
        var truncation = Trial.Draft.Value($"recordings[{id}].allow_truncated") is "yes" or "true" ? Truncation.IsAllowed : Truncation.IsError;
        var opened = OpenedRecording.OpenStored(id, content.FullName, new InputFile(name, file.Bytes, file.Sha256), truncation);
        _opened[id] = opened;
        Problems.AddRange(opened.Problems);
        if (opened.Input is { } input) Inputs.Add(input);
    }
}
