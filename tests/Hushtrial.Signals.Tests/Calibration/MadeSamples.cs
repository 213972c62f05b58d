using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Calibration;

/// <summary>One channel of samples from a formula of time in seconds.</summary>
internal sealed class MadeSamples(int rate, double seconds, Func<double, double> value) : SampleSource
{
    private readonly double[] _samples = [.. Enumerable.Range(0, (int)(rate * seconds)).Select(n => value((double)n / rate))];

    public override int SampleRate => rate;

    public override int Channels => 1;

    public override long Frames => _samples.Length;

    public override void Read(int channel, long firstFrame, Span<double> destination) => _samples.AsSpan((int)firstFrame, destination.Length).CopyTo(destination);

    /// <summary>White noise of a given rms from a fixed seed; a new one for each call.</summary>
    public static Func<double, double> Noise(double rms)
    {
        var state = 88172645463325252UL;
        return _ =>
        {
            // xorshift64 (Marsaglia 2003); the sum of 12 uniform numbers is near enough to normal.
            var sum = 0.0;
            for (var i = 0; i < 12; i++)
            {
                state ^= state << 13;
                state ^= state >> 7;
                state ^= state << 17;
                sum += (state >> 11) / 9007199254740992.0;
            }
            return rms * (sum - 6);
        };
    }
}
