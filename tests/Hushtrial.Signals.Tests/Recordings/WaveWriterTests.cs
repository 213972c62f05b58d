using CsCheck;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Recordings;

public class WaveWriterTests
{
    private static byte[] Written(double[] interleaved, int rate, int channels, WaveSampleFormat format, long promoteAbove = uint.MaxValue)
    {
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, rate, channels, format, promoteAbove)) writer.Write(interleaved);
        return stream.ToArray();
    }

    private static double[] Channel(Recording recording, int channel)
    {
        var samples = new double[recording.Frames];
        recording.Samples!.Read(channel, 0, samples);
        return samples;
    }

    [Theory]
    [InlineData(WaveSampleFormat.Integer16, 1 / 65536.0)]
    [InlineData(WaveSampleFormat.Integer24, 1 / 16777216.0)]
    [InlineData(WaveSampleFormat.Float32, 1 / 33554432.0)]
    public void What_is_written_is_read_within_half_a_step(WaveSampleFormat format, double halfStep) =>
        Gen.Select(Gen.Int[1, 7], Gen.Int[1, 40], Gen.Bool).SelectMany((channels, frames, large) =>
            Gen.Double[-0.9999, 0.9999].Array[channels * frames].Select(x => (channels, frames, large, x))).Sample(t =>
        {
            var bytes = Written(t.x, 48000, t.channels, format, t.large ? 0 : uint.MaxValue);
            using var recording = Recording.Open(new BufferedBytes(bytes), "written.wav");
            Assert.Empty(recording.Problems);
            Assert.Equal(t.large ? ContainerFormat.Rf64 : ContainerFormat.Wave, recording.Container);
            Assert.Equal((48000, t.channels, (long)t.frames), (recording.SampleRate, recording.Channels, recording.Frames));
            for (var c = 0; c < t.channels; c++)
            {
                var read = Channel(recording, c);
                for (var i = 0; i < t.frames; i++) Assert.InRange(read[i] - t.x[(i * t.channels) + c], -halfStep, halfStep);
            }
        }, iter: 300);

    [Fact]
    public void Values_beyond_full_scale_stop_at_it()
    {
        using var recording = Recording.Open(new BufferedBytes(Written([1.5, -1.5, 1, -1], 48000, 1, WaveSampleFormat.Integer24)), "loud.wav");
        Assert.Equal([8388607 / 8388608.0, -1, 8388607 / 8388608.0, -1], Channel(recording, 0));
    }

    [Fact]
    public void A_value_that_is_no_number_is_refused()
    {
        using var stream = new MemoryStream();
        using var writer = new WaveWriter(stream, 48000, 1, WaveSampleFormat.Float32);
        Assert.Throws<ArgumentException>(() => writer.Write([0, double.NaN]));
    }
}
