using System.Buffers.Binary;
using Hushtrial.Signals.Recordings;
using Hushtrial.Web.Recordings;

namespace Hushtrial.Web.Tests.Recordings;

public sealed class CloseViewTests
{
    [Fact]
    public void Extremes_lose_no_single_sample()
    {
        var samples = new SoundSamples(48_000, 10, n => n == 123_456 ? 0.9 : n == 200_001 ? -0.8 : 0.01);
        var bytes = CloseView.Extremes(samples, 0, 1, 9, 500, TestContext.Current.CancellationToken);
        var pairs = Enumerable.Range(0, 500).Select(i => (Low: BinaryPrimitives.ReadSingleLittleEndian(bytes.AsSpan(8 * i)), High: BinaryPrimitives.ReadSingleLittleEndian(bytes.AsSpan((8 * i) + 4)))).ToList();
        Assert.Equal(0.9f, pairs.Max(p => p.High));
        Assert.Equal(-0.8f, pairs.Min(p => p.Low));
        Assert.Equal((123_456 - 48_000) / 768, pairs.FindIndex(p => p.High > 0.5));
        Assert.Equal((200_001 - 48_000) / 768, pairs.FindIndex(p => p.Low < -0.5));
    }

    [Theory]
    [InlineData(0.01, 0.01)]
    [InlineData(0.02, 0.02)]
    public void Levels_from_near_begin_on_a_whole_step_and_tell_a_short_burst(double step, double burst)
    {
        var samples = new SoundSamples(48_000, 10, n => n >= 5 * 48_000 && n < (5 + burst) * 48_000 ? Math.Sin(2 * Math.PI * 1000 * n / 48_000) : 1e-4 * Math.Sin(n * 0.13));
        var bytes = CloseView.Levels(samples, 0, 4.507, 5.5, step, TestContext.Current.CancellationToken);
        Assert.Equal(4_500_000, BinaryPrimitives.ReadInt64LittleEndian(bytes.AsSpan(12)));
        var place = (int)Math.Round(0.5 / step);
        short Z(int at) => BinaryPrimitives.ReadInt16LittleEndian(bytes.AsSpan(HistoryRows.HeadBytes + (at * HistoryRows.RowBytes) + 4));
        // A full-scale sine: mean square 1/2, -3.01 dB; half a decibel for the edges of the burst in the Z filter.
        Assert.InRange(Z(place) / 100.0, -3.51, -2.51);
        Assert.True(Z(place - 2) < -5000);
    }

    [Theory]
    [InlineData(1e-4)]
    [InlineData(0.02)]
    [InlineData(0.99)]
    public void What_is_listened_to_has_one_level_whatever_the_recording_had(double amplitude)
    {
        var random = new Random(7);
        var noise = new double[48_000 * 3];
        for (var i = 0; i < noise.Length; i++) noise[i] = amplitude * ((2 * random.NextDouble()) - 1);
        using var wave = Listening.Wave(new SoundSamples(48_000, 3, n => noise[n]), 0, 0.5, 2.5, TestContext.Current.CancellationToken);
        using var heard = Recording.Open(new BufferedBytes(wave.ToArray()), "heard.wav");
        Assert.Equal((48_000, 1, 96_000L), (heard.SampleRate, heard.Channels, heard.Frames));
        var played = new double[96_000];
        heard.Samples!.Read(0, 0, played);
        // -26 dB but for the fades of 30 ms at both ends, which take at most 0.1 dB of 2 s.
        Assert.InRange(10 * Math.Log10(played.Average(x => x * x)), -26.15, -25.95);
        Assert.Equal(0, played[0], 4);
        Assert.Equal(0, played[^1], 4);
    }

    [Fact]
    public void A_knock_is_kept_below_half_of_full_scale_and_silence_stays_silent()
    {
        using var knock = Listening.Wave(new SoundSamples(48_000, 2, n => n == 48_000 ? 1 : 1e-5 * Math.Sin(n)), 0, 0, 2, TestContext.Current.CancellationToken);
        using var heard = Recording.Open(new BufferedBytes(knock.ToArray()), "heard.wav");
        var played = new double[96_000];
        heard.Samples!.Read(0, 0, played);
        Assert.InRange(played.Max(Math.Abs), 0.45, 0.502);
        using var silence = Listening.Wave(new SoundSamples(48_000, 2, _ => 0.25), 0, 0, 2, TestContext.Current.CancellationToken);
        using var nothing = Recording.Open(new BufferedBytes(silence.ToArray()), "nothing.wav");
        nothing.Samples!.Read(0, 0, played);
        Assert.Equal(0, played.Max(Math.Abs));
    }
}
