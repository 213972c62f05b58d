using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Rendering;

/// <summary>A loop played a few times over, as samples of one channel.</summary>
/// <param name="loop">One turn of it, full scale = ±1.</param>
/// <param name="sampleRate">Hz.</param>
/// <param name="turns">How often it is played.</param>
public sealed class LoopSamples(double[] loop, int sampleRate, int turns) : SampleSource
{
    /// <inheritdoc/>
    public override int SampleRate => sampleRate;

    /// <inheritdoc/>
    public override int Channels => 1;

    /// <inheritdoc/>
    public override long Frames => (long)loop.Length * turns;

    /// <inheritdoc/>
    public override void Read(int channel, long firstFrame, Span<double> destination)
    {
        if (channel != 0) throw new ArgumentOutOfRangeException(nameof(channel), channel, "A loop has one channel.");
        if (firstFrame < 0 || firstFrame > Frames - destination.Length) throw new ArgumentOutOfRangeException(nameof(firstFrame), firstFrame, $"The loop has {Frames} frames.");
        for (var i = 0; i < destination.Length; i++) destination[i] = loop[(firstFrame + i) % loop.Length];
    }
}
