using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>A recording held in memory.</summary>
internal sealed class MemorySamples(int rate, params double[][] channels) : SampleSource
{
    public override int SampleRate => rate;

    public override int Channels => channels.Length;

    public override long Frames => channels[0].Length;

    public override void Read(int channel, long firstFrame, Span<double> destination) =>
        channels[channel].AsSpan(checked((int)firstFrame), destination.Length).CopyTo(destination);

    /// <summary>The levels of a span of the first channel; the whole recording unless told otherwise.</summary>
    internal SpanLevels Levels(long first = 0, long? frames = null, LevelSettings? settings = null) =>
        LevelAnalysis.Measure(this, 0, first, frames ?? (Frames - first), settings ?? new(), cancellation: TestContext.Current.CancellationToken);
}
