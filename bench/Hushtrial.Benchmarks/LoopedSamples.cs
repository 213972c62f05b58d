using Hushtrial.Signals.Recordings;

namespace Hushtrial.Benchmarks;

/// <summary>A recording repeated to any length, in any number of equal channels: long files without the files.</summary>
internal sealed class LoopedSamples(SampleSource once, long frames, int channels) : SampleSource
{
    public override int SampleRate => once.SampleRate;

    public override int Channels => channels;

    public override long Frames => frames;

    public override void Read(int channel, long firstFrame, Span<double> destination)
    {
        while (!destination.IsEmpty)
        {
            var at = firstFrame % once.Frames;
            var count = (int)Math.Min(destination.Length, once.Frames - at);
            once.Read(0, at, destination[..count]);
            firstFrame += count;
            destination = destination[count..];
        }
    }
}
