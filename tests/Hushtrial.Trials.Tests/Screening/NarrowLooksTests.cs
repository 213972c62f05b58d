using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>A stated noise with a stated tone behind a stated loss: what does the look find? Method 4(a): tone excess, the tone's frequency, the noise beside it.</summary>
public sealed class NarrowLooksTests
{
    private const int Rate = 16_000;
    private const int Seconds = 12;

    private sealed class Memory(double[] samples) : SampleSource
    {
        public override int SampleRate => Rate;

        public override int Channels => 1;

        public override long Frames => samples.Length;

        public override void Read(int channel, long firstFrame, Span<double> destination) => samples.AsSpan((int)firstFrame, destination.Length).CopyTo(destination);
    }

    /// <summary>Dense sines of random phase from 50 to 200 Hz make the noise, 0 dB per Hz; one more sine makes the tone. Both behind a loss that is a line over the octaves.</summary>
    private static Memory Sound(double toneHertz, double toneLevel, double lossAt100, double lossPerOctave)
    {
        var random = new SeededGenerator(5);
        var samples = new double[Rate * Seconds];
        double Loss(double f) => lossAt100 + (lossPerOctave * Math.Log2(f / 100));
        void Sine(double f, double level)
        {
            var (amplitude, phase) = (Math.Sqrt(2) * Math.Pow(10, (level - Loss(f)) / 20), 2 * Math.PI * random.NextUniform());
            // cos((i + 1)x + p) = 2 cos x·cos(ix + p) − cos((i − 1)x + p): no cosine per sample.
            var (step, before, now) = (2 * Math.Cos(2 * Math.PI * f / Rate), amplitude * Math.Cos(phase - (2 * Math.PI * f / Rate)), amplitude * Math.Cos(phase));
            for (var i = 0; i < samples.Length; i++)
            {
                samples[i] += now;
                (before, now) = (now, (step * now) - before);
            }
        }
        const double Step = 0.25;
        for (var f = 50.0; f < 200; f += Step) Sine(f + (Step * random.NextUniform()), 10 * Math.Log10(Step) - 60);
        if (toneLevel > -200) Sine(toneHertz, toneLevel - 60);
        return new(samples);
    }

    private static NarrowLook Look(Memory sound, double hertz) => NarrowLooks.At(sound, 0, 0, Rate * Seconds, hertz, 0)!;

    [Fact]
    public void A_tone_is_found_at_its_frequency_with_its_excess()
    {
        // The band at 80 Hz is 18.4 Hz wide, its noise 12.6 dB; a tone of 25.4 dB stands 12.8 dB above that: the band with it 13.0 dB.
        var look = Look(Sound(79, 25.4, 0, 0), 80);
        Assert.Equal(79, look.ToneHertz!.Value, 0.3);
        Assert.Equal(13.0, look.ToneExcess, 1.0);
        Assert.Equal(79, look.CentroidHertz, 1.0);
        var none = Look(Sound(79, -300, 0, 0), 80);
        Assert.Null(none.ToneHertz);
        Assert.Equal(0, none.ToneExcess);
    }

    [Fact]
    public void The_noise_beside_a_tone_is_read_without_it()
    {
        // Within a twelfth of an octave of 80 Hz: 9.25 Hz of 0 dB per Hz, moved by the −60 dB of the scale. Some 110 lines' energies: 0.5 dB.
        Assert.Equal((10 * Math.Log10(80 * (Math.Pow(2, 1 / 12.0) - Math.Pow(2, -1 / 12.0)))) - 60, Look(Sound(79, 25.4, 0, 0), 80).NoiseLevel!.Value, 1.0);
        Assert.Equal(Look(Sound(79, -300, 0, 0), 80).NoiseLevel!.Value, Look(Sound(79, 25.4, 0, 0), 80).NoiseLevel!.Value, 0.7);
    }

    [Fact]
    public void Noise_at_f_shows_the_loss_at_f_where_a_tone_elsewhere_in_the_band_pulls_the_band_to_its_own()
    {
        // 36 dB an octave, 12 dB over the band: at 88 Hz the loss is 8.0 dB less 12 dB per third of an octave; the tone sits at 73 Hz.
        var (open, covered) = (Sound(73, 20, 0, 0), Sound(73, 20, 20, 36));
        double Band(Memory sound) => 10 * Math.Log10(Signals.Levels.LevelAnalysis.Measure(sound, 0, 0, Rate * Seconds, new()).Thirds.Single(b => b.Band.NominalHertz == 80).MeanSquare);
        double Loss(double f) => 20 + (36 * Math.Log2(f / 100));
        var (near, band) = (Look(open, 86).NoiseLevel!.Value - Look(covered, 86).NoiseLevel!.Value, Band(open) - Band(covered));
        // The energy mean over a sixth of an octave of a loss that changes by 6 dB there lies 0.2 dB below its middle.
        Assert.Equal(Loss(86), near, 0.8);
        Assert.True(Math.Abs(band - Loss(86)) > 3, $"band {band:0.0}, at 86 Hz {Loss(86):0.0}");
        // With an excess of 10 dB and more the band's loss is that at the tone (within the band filter's skirts).
        Assert.Equal(Loss(73), band, 1.5);
    }

    [Fact]
    public void A_span_too_short_for_the_lines_it_needs_gives_nothing() => Assert.Null(NarrowLooks.At(Sound(79, 25, 0, 0), 0, 0, Rate, 80, 0));
}
