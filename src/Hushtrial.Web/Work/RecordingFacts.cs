using System.Collections.Concurrent;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;
using Hushtrial.Store.Library;

namespace Hushtrial.Web.Work;

/// <summary>What a list says of a recording file.</summary>
/// <param name="Container">The format, in words.</param>
/// <param name="SampleRate">Hz; 0 when not known.</param>
/// <param name="Channels">0 when not known.</param>
/// <param name="Seconds">Length; 0 when not known.</param>
/// <param name="Problems">What its header says is wrong.</param>
public sealed record RecordingFact(string Container, int SampleRate, int Channels, double Seconds, IReadOnlyList<Problem> Problems);

/// <summary>Reads headers of stored recordings, each once.</summary>
internal sealed class RecordingFacts(TrialLibrary library)
{
    private readonly ConcurrentDictionary<string, RecordingFact> _known = new(StringComparer.Ordinal);

    /// <summary>The facts of a file; null when its content is not there.</summary>
    public RecordingFact? Of(StoredFile file) => library.ContentPath(file) is not { } path ? null : _known.GetOrAdd(file.Sha256, _ => Read(path, file.Name));

    private static RecordingFact Read(string path, string name)
    {
        if (FileBytes.Open(path, name, out var problem) is not { } bytes) return new("", 0, 0, 0, [problem!]);
        var format = FileSignature.Of(bytes);
        if (FileSignature.NeedsDecoder(format))
        {
            // Decoding takes as long as the recording deserves; the analysis does it, the list does not.
            bytes.Dispose();
            return new(FileSignature.Words(format), 0, 0, 0, []);
        }
        using var recording = Recording.Open(bytes, name);
        return new(FileSignature.Words(format), recording.SampleRate, recording.Channels, recording.Duration.TotalSeconds, recording.Problems);
    }
}
