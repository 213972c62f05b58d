using System.Globalization;
using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Speech;

public class SpeechSpectrumTests
{
    /// <summary>ANSI S3.5-1997: overall levels of the standard speech spectra, printed to 0.01 dB.</summary>
    [Theory]
    [InlineData(VocalEffort.Normal, 62.35)]
    [InlineData(VocalEffort.Raised, 68.28)]
    [InlineData(VocalEffort.Loud, 74.86)]
    [InlineData(VocalEffort.Shout, 82.36)]
    public void Band_levels_of_standard_speech_add_up_to_the_published_level(VocalEffort effort, double published) =>
        Assert.Equal(published, SpeechSpectrum.Standard(BandFraction.ThirdOctave, effort).Total(FrequencyWeighting.Z).Decibels, 0.006);

    /// <summary>ANSI S3.5-1997, Annex C, examples C.1 (octaves) and C.2 (one-third octaves), given as band levels; ten digits are published: half of the last.</summary>
    [Theory]
    [InlineData("C.1", BandFraction.Octave)]
    [InlineData("C.2", BandFraction.ThirdOctave)]
    public void Band_levels_give_the_published_index(string name, BandFraction fraction)
    {
        var row = Reference.Read("speech/sii-examples.csv").Single(r => r["case"] == name);
        Assert.Equal(row.Number("sii"), SpeechSpectrum.Index(Bands(row["speech"], fraction), Bands(row["noise"], fraction)).Value, 6e-11);
    }

    [Fact]
    public void A_channel_keeps_what_passes_in_part_and_a_level_is_that_of_what_passes()
    {
        var standard = SpeechSpectrum.Standard(BandFraction.ThirdOctave, VocalEffort.Raised);
        var through = SpeechSpectrum.Through(standard, Frequency.FromHertz(300), Frequency.FromHertz(3400));
        // 315 Hz begins at 281 Hz and 3.15 kHz ends at 3.55 kHz: both pass in part.
        Assert.Equal((315.0, 3150.0, 11), (through.Bands.First().NominalHertz, through.Bands.Last().NominalHertz, through.Bands.Count));
        Assert.Equal(80, SpeechSpectrum.AtLevel(through, Level.FromDecibels(80)).Total(FrequencyWeighting.A).Decibels, 1e-9);
    }

    /// <summary>'Headset exposure and environmental noise', Canadian Acoustics: +0.42 dB of headset level per dB of noise, so a headset 10 dB quieter buys about 4 dB.</summary>
    [Fact]
    public void Ten_decibels_less_noise_buy_four_decibels_less_speech() =>
        Assert.Equal(-4.2, HeadsetVolume.Following(LevelDifference.FromDecibels(-10)).Decibels, 1e-9);

    private static Spectrum Bands(string spectrumLevels, BandFraction fraction)
    {
        var levels = spectrumLevels.Split(';').Select(v => double.Parse(v, CultureInfo.InvariantCulture));
        var midbands = IntelligibilityIndex.Midbands(fraction == BandFraction.Octave ? SpeechProcedure.Octave : SpeechProcedure.ThirdOctave);
        // The standard's bandwidths: f/√2 for octaves, (2^(1/6) − 2^(−1/6))·f for one-third octaves.
        var width = fraction == BandFraction.Octave ? Math.Sqrt(0.5) : Math.Pow(2, 1 / 6.0) - Math.Pow(2, -1 / 6.0);
        return Spectrum.Of(levels.Zip(midbands, (l, f) => KeyValuePair.Create(Band.FromNominal(fraction, f.Hertz)!.Value, Level.FromDecibels(l + (10 * Math.Log10(f.Hertz * width))))));
    }
}
