using Hushtrial.Signals.Recordings;

namespace Hushtrial.Web.Tests.Recordings;

/// <summary>Samples from a formula: frame → value.</summary>
internal sealed class SoundSamples(int rate, double seconds, Func<long, double> value) : SampleSource
{
    public override int SampleRate => rate;

    public override int Channels => 1;

    public override long Frames => (long)Math.Round(seconds * rate);

    public override void Read(int channel, long firstFrame, Span<double> destination)
    {
        for (var i = 0; i < destination.Length; i++) destination[i] = value(firstFrame + i);
    }

    /// <summary>A sine of 1 kHz.</summary>
    public static SoundSamples Sine(double amplitude, double seconds, int rate = 48_000) => new(rate, seconds, n => amplitude * Math.Sin(2 * Math.PI * 1000 * n / rate));
}
