using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Store.Files;

/// <summary>One recording of a trial, opened and hashed: a file, or several that belong together.</summary>
public sealed class OpenedRecording : IDisposable
{
    private OpenedRecording(string id) => Id = id;

    /// <summary>Its identity in the document.</summary>
    public string Id { get; }

    /// <summary>The recording; null when it could not be opened.</summary>
    public Recording? Recording { get; private init; }

    /// <summary>Its files with their hashes, by channel and in order of time; empty when it could not be read.</summary>
    public IReadOnlyList<InputFile> Inputs { get; private init; } = [];

    /// <summary>One fingerprint of all its samples: the hash of the file, or that of the hashes of several; null when it could not be read.</summary>
    public string? Sha256 { get; private init; }

    /// <summary>What was wrong with it.</summary>
    public IReadOnlyList<Problem> Problems { get; private init; } = [];

    /// <summary>Opens a recording that the document names relative to its folder.</summary>
    public static OpenedRecording Open(RecordingEntry entry, string folder)
    {
        ArgumentNullException.ThrowIfNull(entry);
        return Open(entry.Id, entry.Tracks.Count > 0 ? entry.Tracks : [new(1, [entry.File])], entry.AllowTruncated ? Truncation.IsAllowed : Truncation.IsError, file => InFolder(folder, file));
    }

    /// <summary>Opens a recording whose content is known by its hashes.</summary>
    /// <param name="id">Its identity in the document.</param>
    /// <param name="tracks">Its files as the document names them.</param>
    /// <param name="truncation">Whether a recording that ends before its promised length is an error or a warning.</param>
    /// <param name="find">The way to the content of a file, with its name, length and hash.</param>
    public static OpenedRecording OpenStored(string id, IReadOnlyList<TrackFiles> tracks, Truncation truncation, Func<string, (string Path, InputFile File)> find)
    {
        ArgumentNullException.ThrowIfNull(find);
        return Open(id, tracks, truncation, name => find(name) switch { var (path, file) => new Place(path, file, null) });
    }

    /// <inheritdoc/>
    public void Dispose() => Recording?.Dispose();

    private readonly record struct Place(string Path, InputFile? Known, Problem? Problem);

    private static OpenedRecording Open(string id, IReadOnlyList<TrackFiles> tracks, Truncation truncation, Func<string, Place> find)
    {
        var problems = new List<Problem>();
        var inputs = new List<InputFile>();
        var channels = tracks.Select(t => (t.Number, Recording: Joining.InSequence([.. t.Parts.Select(Part)], NameOf(t.Parts)))).ToList();
        var recording = channels is [{ Number: 1, Recording: var only }] ? only : Joining.SideBySide(channels, NameOf([.. tracks.SelectMany(t => t.Parts)]));
        // Looked at file by file, so that a bad sample is named by its place in its own file.
        problems.InsertRange(0, recording.Problems);
        if (recording.Samples is null) return new(id) { Problems = problems, Recording = recording };
        return new(id) { Recording = recording, Problems = problems, Inputs = inputs, Sha256 = Together(channels.Select(c => c.Number), tracks, inputs) };

        Recording Part(string file)
        {
            var place = find(file);
            if (place.Problem is { } refused) return Recording.Unreadable(file, ContainerFormat.Unknown, refused);
            var part = RecordingFiles.Open(place.Path, file, truncation);
            if (part.Samples is null) return part;
            problems.AddRange(SampleScan.Of(part));
            if (place.Known is { } known) inputs.Add(known);
            else if (FileBytes.Open(place.Path, file, out _) is { } bytes)
                using (bytes) inputs.Add(new(file, bytes.Length, RecordingHash.Sha256(bytes)));
            return part;
        }
    }

    private static Place InFolder(string folder, string file)
    {
        var path = Path.GetFullPath(Path.Combine(folder, file));
        // The reader refuses names that leave the folder; a link inside it may still lead out.
        return new(path, null, File.Exists(path) && !InsideFolder.Holds(folder, file) ? FileProblems.LeadsOut(file) : null);
    }

    private static string? Together(IEnumerable<int> numbers, IReadOnlyList<TrackFiles> tracks, IReadOnlyList<InputFile> inputs)
    {
        if (inputs.Count == 0) return null;
        if (tracks is [{ Number: 1, Parts.Count: 1 }]) return inputs[0].Sha256;
        var text = string.Join('\n', numbers.Zip(tracks).SelectMany(t => t.Second.Parts.Select(_ => t.First.ToString(CultureInfo.InvariantCulture))).Zip(inputs).Select(i => $"{i.First} {i.Second.Sha256}"));
        return Convert.ToHexStringLower(SHA256.HashData(Encoding.ASCII.GetBytes(text)));
    }

    private static string NameOf(IReadOnlyList<string> files) => files.Count == 1 ? files[0] : $"{files[0]} … {files[^1]}";
}
