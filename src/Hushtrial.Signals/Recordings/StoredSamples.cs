using System.Buffers;

namespace Hushtrial.Signals.Recordings;

/// <summary>Samples decoded on demand from the bytes of a recording. Values that are not finite numbers are read as 0 (see <see cref="SampleScan"/>).</summary>
internal sealed class StoredSamples(IByteSource bytes, SampleLayout layout) : SampleSource
{
    /// <summary>Bytes of one read: large enough for the full speed of a file (engine measurements: from 256 KiB), small enough for the second cache.</summary>
    internal const int ReadBytes = 256 * 1024;

    public SampleLayout Layout => layout;

    public override int SampleRate => layout.SampleRate;

    public override int Channels => layout.Channels;

    public override long Frames => layout.Frames;

    public override void Read(int channel, long firstFrame, Span<double> destination)
    {
        if (channel < 0 || channel >= layout.Channels)
            throw new ArgumentOutOfRangeException(nameof(channel), channel, $"The recording has channels 0 to {layout.Channels - 1}.");
        if (firstFrame < 0 || firstFrame > layout.Frames - destination.Length)
            throw new ArgumentOutOfRangeException(nameof(firstFrame), firstFrame, $"Frames {firstFrame} to {firstFrame + destination.Length} are asked; the recording has {layout.Frames}.");
        var stride = layout.FrameBytes;
        var atOnce = Math.Max(1, ReadBytes / stride);
        var needed = SampleDecoding.Before + (Math.Min(atOnce, destination.Length) * stride) + SampleDecoding.Behind;
        var buffer = ArrayPool<byte>.Shared.Rent(needed);
        try
        {
            while (!destination.IsEmpty)
            {
                var frames = Math.Min(atOnce, destination.Length);
                var block = buffer.AsSpan(SampleDecoding.Before, frames * stride);
                ReadStored(firstFrame, block);
                SampleDecoding.Decode(buffer, SampleDecoding.Before + (channel * layout.Encoding.Bytes), stride, layout.Encoding, destination[..frames]);
                destination = destination[frames..];
                firstFrame += frames;
            }
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(buffer);
        }
    }

    /// <summary>Frames of all channels as they are stored.</summary>
    /// <param name="firstFrame">The first; frames that do not exist are an error of the caller.</param>
    /// <param name="destination">Receives as many whole frames as it holds.</param>
    internal void ReadStored(long firstFrame, Span<byte> destination)
    {
        if (!bytes.Fill(layout.DataOffset + (firstFrame * layout.FrameBytes), destination))
            throw new EndOfStreamException($"The file became shorter while it was read: frame {firstFrame} of {layout.Frames} is gone.");
    }

    internal override (StoredSamples Samples, int Channel)? Stored(int channel) => (this, channel);
}
