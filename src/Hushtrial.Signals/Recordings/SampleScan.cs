using System.Runtime.InteropServices;
using Hushtrial.Quantities;

namespace Hushtrial.Signals.Recordings;

/// <summary>Looks through all samples of a floating-point recording for values no microphone can give.</summary>
public static class SampleScan
{
    /// <summary>Integer files cannot hold such values; floating-point ones may rightly exceed full scale, but not by 60 dB.</summary>
    private const double FarAbove = 1000;

    private const int BlockBytes = 1 << 18;

    /// <summary>Reads the whole recording once, streaming, if it is floating point; returns at once if not.</summary>
    /// <returns>REC-030 per channel with values that are not finite numbers, REC-031 per channel that exceeds full scale a thousandfold.</returns>
    public static IReadOnlyList<Problem> Of(Recording recording, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        if (recording.Layout is not { Encoding.Kind: SampleKind.FloatingPoint } layout) return [];
        var count = new long[layout.Channels];
        var firstBad = new long[layout.Channels];
        var largest = new double[layout.Channels];
        var largestAt = new long[layout.Channels];
        var atOnce = Math.Max(1, BlockBytes / layout.FrameBytes);
        var buffer = new byte[atOnce * layout.FrameBytes];
        for (long frame = 0; frame < layout.Frames; frame += atOnce)
        {
            cancellation.ThrowIfCancellationRequested();
            var frames = (int)Math.Min(atOnce, layout.Frames - frame);
            if (!recording.Bytes.Fill(layout.DataOffset + (frame * layout.FrameBytes), buffer.AsSpan(0, frames * layout.FrameBytes)))
                throw new EndOfStreamException($"The file became shorter while it was read: frame {frame} of {layout.Frames} is gone.");
            for (var i = 0; i < frames * layout.Channels; i++)
            {
                var value = Math.Abs(SampleDecoding.Float(ref MemoryMarshal.GetReference(buffer.AsSpan(i * layout.Encoding.Bytes)), layout.Encoding));
                var channel = i % layout.Channels;
                if (!double.IsFinite(value))
                {
                    if (count[channel]++ == 0) firstBad[channel] = frame + (i / layout.Channels);
                }
                else if (value > largest[channel])
                {
                    (largest[channel], largestAt[channel]) = (value, frame + (i / layout.Channels));
                }
            }
            progress?.Report((double)(frame + frames) / layout.Frames);
        }
        var problems = new List<Problem>();
        var report = new RecordingProblems(recording.Name, Truncation.IsError, problems);
        for (var c = 0; c < layout.Channels; c++)
        {
            if (count[c] > 0) report.NotNumbers(count[c], c, (double)firstBad[c] / layout.SampleRate);
            if (largest[c] > FarAbove) report.FarAboveFullScale(largest[c], c, (double)largestAt[c] / layout.SampleRate);
        }
        return problems;
    }
}
