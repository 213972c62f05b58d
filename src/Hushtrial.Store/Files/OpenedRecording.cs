using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Store.Files;

/// <summary>One recording of a trial, opened and hashed.</summary>
public sealed class OpenedRecording : IDisposable
{
    private OpenedRecording(string id) => Id = id;

    /// <summary>Its identity in the document.</summary>
    public string Id { get; }

    /// <summary>The recording; null when it could not be opened.</summary>
    public Recording? Recording { get; private init; }

    /// <summary>The file with its hash; null when it could not be read.</summary>
    public InputFile? Input { get; private init; }

    /// <summary>What was wrong with it.</summary>
    public IReadOnlyList<Problem> Problems { get; private init; } = [];

    /// <summary>Opens a recording that the document names relative to its folder.</summary>
    public static OpenedRecording Open(RecordingEntry entry, string folder)
    {
        var (id, file) = (entry.Id, entry.File);
        var path = Path.GetFullPath(Path.Combine(folder, file));
        // The reader refuses names that leave the folder; a link inside it may still lead out.
        if (File.Exists(path) && !InsideFolder.Holds(folder, file)) return new(id) { Problems = [FileProblems.LeadsOut(file)] };
        var recording = RecordingFiles.Open(path, file, entry.AllowTruncated ? Truncation.IsAllowed : Truncation.IsError);
        if (recording.Samples is null) return new(id) { Problems = recording.Problems, Recording = recording };
        using var bytes = FileBytes.Open(path, file, out _);
        return new(id)
        {
            Recording = recording,
            Problems = [.. recording.Problems, .. SampleScan.Of(recording)],
            Input = bytes is null ? null : new(file, bytes.Length, RecordingHash.Sha256(bytes)),
        };
    }

    /// <summary>Opens a recording whose content is known by its hash.</summary>
    /// <param name="id">Its identity in the document.</param>
    /// <param name="path">The file that holds its content.</param>
    /// <param name="file">Its name in the document, with length and hash.</param>
    /// <param name="truncation">Whether a recording that ends before its promised length is an error or a warning.</param>
    public static OpenedRecording OpenStored(string id, string path, InputFile file, Truncation truncation)
    {
        var recording = RecordingFiles.Open(path, file.File, truncation);
        return recording.Samples is null ? new(id) { Problems = recording.Problems, Recording = recording }
            : new(id) { Recording = recording, Problems = [.. recording.Problems, .. SampleScan.Of(recording)], Input = file };
    }

    /// <inheritdoc/>
    public void Dispose() => Recording?.Dispose();
}
