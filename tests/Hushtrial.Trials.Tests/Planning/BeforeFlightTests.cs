using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Planning;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Tests.Planning;

public sealed class BeforeFlightTests
{
    private const int Rate = 48_000;

    /// <summary>A tone at 1 kHz of so many dB re full scale (mean square) for 10 s, through a gain that may depend on the level.</summary>
    private static Recording Tone(double decibels, Func<double, double>? gain = null)
    {
        var draws = new SeededGenerator(5);
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 1, WaveSampleFormat.Integer24))
        {
            var level = decibels + (gain?.Invoke(decibels) ?? 0);
            var amplitude = Math.Sqrt(2) * Math.Pow(10, level / 20);
            writer.Write(Enumerable.Range(0, 10 * Rate).Select(i => (amplitude * Math.Sin(2 * Math.PI * 1000 * i / Rate)) + (1e-5 * draws.NextNormal())).ToArray());
        }
        return Recording.Open(new BufferedBytes(stream.ToArray()), "tone.wav");
    }

    private static TwoTones Read(Recording low, Recording high) => BeforeFlight.TwoTonesOf(low, high, 0, Frequency.FromHertz(1000), 2);

    [Fact]
    public void Two_tones_20_dB_apart_show_that_nothing_moves_the_gain()
    {
        using var low = Tone(-40);
        using var high = Tone(-20);
        var tones = Read(low, high);
        Assert.Equal(20, tones.Difference!.Value, 0.01);
        Assert.True(tones.Steady);
    }

    /// <summary>An automatic gain that takes 1 dB off for every 10 dB above −40 dB makes 18 dB of them; a limiter at −23 dB 17 dB.</summary>
    [Fact]
    public void Automatic_gain_and_a_limiter_are_seen()
    {
        using var low = Tone(-40);
        using var squeezed = Tone(-20, level => -0.1 * (level + 40));
        using var limited = Tone(-20, _ => -3);
        Assert.Equal((18, false), (Math.Round(Read(low, squeezed).Difference!.Value, 1), Read(low, squeezed).Steady));
        Assert.Equal((17, false), (Math.Round(Read(low, limited).Difference!.Value, 1), Read(low, limited).Steady));
    }

    [Fact]
    public void Without_a_tone_nothing_is_said()
    {
        using var low = Tone(-140);
        using var high = Tone(-20);
        var tones = Read(low, high);
        Assert.Null(tones.Difference);
        Assert.Null(tones.Steady);
        Assert.NotEmpty(tones.Problems);
    }

    /// <summary>Full scale at 130 dB (mean square 1): a sine reaches it at 130 − 3.01 dB. Three octaves of 110 dB make 114.8 dB, and peaks 15 dB more.</summary>
    [Fact]
    public void The_ceiling_is_held_against_the_peaks_of_the_cabin()
    {
        var cabin = Spectrum.Of([Band.Octave(-3), Band.Octave(-2), Band.Octave(-1)], [110, 110, 110]);
        var ceiling = BeforeFlight.CeilingOf(Level.FromDecibels(130), cabin);
        Assert.Equal(126.99, ceiling.HighestSine, 0.005);
        Assert.Equal(130 - 114.77 - 15, ceiling.Headroom, 0.01);
        Assert.True(BeforeFlight.CeilingOf(Level.FromDecibels(120), cabin).Headroom < 0);
    }

    /// <summary>An octave of 90 dB has 85.2 dB in each third; own noise of 40 dB lets 39.2 dB of loss be measured 6 dB over it, and one of 80 dB none.</summary>
    [Fact]
    public void The_floor_says_which_loss_can_be_measured()
    {
        var cabin = Spectrum.Of([Band.Octave(0)], [90]);
        var floor = BeforeFlight.FloorOf(new("ear", null, null, new Dictionary<Band, double> { [Band.ThirdOctave(-1)] = 40, [Band.ThirdOctave(0)] = 80, [Band.ThirdOctave(5)] = 10 }), cabin);
        Assert.Equal(2, floor.Count);
        Assert.Equal(39.23, floor[0].MostLoss!.Value, 0.01);
        Assert.Null(floor[1].MostLoss);
    }
}
