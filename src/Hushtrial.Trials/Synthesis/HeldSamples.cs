using Hushtrial.Signals.Recordings;

namespace Hushtrial.Trials.Synthesis;

/// <summary>Samples in memory, channel by channel, as a recorder of 24 bits would hold them: rounded, and cut off at full scale.</summary>
/// <param name="rate">Sampling rate, Hz.</param>
/// <param name="channels">Samples of every channel, equally many; full scale = ±1.</param>
public sealed class HeldSamples(int rate, IReadOnlyList<float[]> channels) : SampleSource
{
    private const double Steps = 8_388_608;

    /// <inheritdoc/>
    public override int SampleRate => rate;

    /// <inheritdoc/>
    public override int Channels => channels.Count;

    /// <inheritdoc/>
    public override long Frames => channels[0].Length;

    /// <inheritdoc/>
    public override void Read(int channel, long firstFrame, Span<double> destination)
    {
        var source = channels[channel].AsSpan((int)firstFrame, destination.Length);
        for (var i = 0; i < destination.Length; i++) destination[i] = Math.Clamp(Math.Round(source[i] * Steps), -Steps, Steps - 1) / Steps;
    }
}
