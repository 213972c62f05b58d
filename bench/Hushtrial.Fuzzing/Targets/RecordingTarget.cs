using Hushtrial.Fuzzing.Mutation;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Fuzzing.Targets;

/// <summary>Headers of recordings: every container that is read without a decoder, and the signatures of the others.</summary>
internal static class RecordingTarget
{
    public static FuzzTarget Target { get; } = new("recordings", 2048,
        corpus => [.. Directory.GetFiles(Path.Combine(corpus, "recordings"), "*.*").Where(f => Path.GetExtension(f) is not (".py" or ".txt")).Order(StringComparer.Ordinal).Select(f => File.ReadAllBytes(f)).Select(b => b[..Math.Min(b.Length, 1400)])],
        ChunkMutation.Mutate, Execute);

    public static bool Execute(byte[] input)
    {
        using var recording = Recording.Open(new BufferedBytes(input), "r.wav");
        Places.Check(recording.Problems, input.Length, 1);
        if (recording.Samples is { } samples) CheckSamples(recording, samples, input);
        else BrokenPropertyException.Unless(recording.Problems.Any(p => p.Severity == Severity.Error), "no samples, and no error that says why");
        return FileSignature.IsNative(recording.Container);
    }

    private static void CheckSamples(Recording recording, SampleSource samples, byte[] input)
    {
        BrokenPropertyException.Unless(recording.Layout is { } l && l.DataOffset >= 0 && l.DataOffset + (l.Frames * l.FrameBytes) <= input.Length && l.Frames > 0, "frames beyond the file");
        BrokenPropertyException.Unless(recording is { SampleRate: >= 8000 and <= 192_000, Channels: >= 1 } && recording.Encoding is { } e && recording.Layout!.Value.FrameBytes == e.Bytes * recording.Channels && e.ValidBits <= 8 * e.Bytes, "a layout that cannot be");
        var frames = (int)recording.Frames;
        var floating = recording.Encoding!.Value.Kind == SampleKind.FloatingPoint;
        var whole = new double[frames];
        var parts = new double[frames];
        foreach (var channel in new[] { 0, recording.Channels - 1 })
        {
            samples.Read(channel, 0, whole);
            // In parts of 1, 2, 3 … frames: where the cuts lie must not matter.
            for (int at = 0, n = 1; at < frames; at += n++) samples.Read(channel, at, parts.AsSpan(at, Math.Min(n, frames - at)));
            BrokenPropertyException.Unless(whole.AsSpan().SequenceEqual(parts), "other samples in parts than at once");
            foreach (var x in whole) BrokenPropertyException.Unless(floating ? double.IsFinite(x) : x is >= -1 and < 1, "a sample out of its range");
        }
        foreach (var p in SampleScan.Of(recording)) BrokenPropertyException.Unless(p.Where.Length > 0, "a scan without a place");
        using var allowed = Recording.Open(new BufferedBytes(input), "r.wav", Truncation.IsAllowed);
        BrokenPropertyException.Unless(allowed.Layout == recording.Layout, "truncation alone changes the samples");
        foreach (var m in recording.Markers) BrokenPropertyException.Unless(m.Frame >= 0, "a marker before the first frame");
    }
}
