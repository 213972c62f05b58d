using CsCheck;
using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Audibility;

public class WarningSoundTests
{
    private static readonly Band[] _thirds = [.. Enumerable.Range(-13, 23).Select(Band.ThirdOctave)];
    private static readonly AudibilityRule _rule = AudibilityRule.Iso7731FromMemory;

    private static Spectrum Flat(double level) => Spectrum.Of(_thirds, [.. Enumerable.Repeat(level, _thirds.Length)]);

    private static Spectrum Tone(int index, double level) => Spectrum.Of([Band.ThirdOctave(index)], [level]);

    private static AudibilityResult Judge(double over) => WarningSound.Judge(Tone(4, 70 + over), Flat(70), SoundField.Diffuse, _rule);

    [Fact]
    public void A_horn_15_dB_over_the_noise_is_heard_and_one_5_dB_under_is_not()
    {
        Assert.Equal(AudibilityVerdict.Audible, Judge(15).Verdict);
        Assert.Equal(AudibilityVerdict.Audible, Judge(13).Verdict);
        Assert.Equal(AudibilityVerdict.Doubtful, Judge(12.9).Verdict);
        Assert.Equal(AudibilityVerdict.Inaudible, Judge(-5).Verdict);
        Assert.Equal(2, Judge(15).Margin.Decibels, 1e-9);
        Assert.Equal(Band.ThirdOctave(4), Judge(15).BestBand.Band);
    }

    [Fact]
    public void Low_frequency_noise_masks_upwards_at_2_5_dB_per_third()
    {
        var noise = Spectrum.Of([.. Enumerable.Range(-9, 10).Select(Band.ThirdOctave)], [100, 40, 40, 40, 40, 40, 40, 40, 40, 40.0]);
        var result = WarningSound.Judge(Tone(0, 90), noise, SoundField.Diffuse, _rule);
        Assert.Equal(100 - 9 * 2.5, result.BestBand.MaskedThreshold.Decibels, 1e-9);
    }

    [Fact]
    public void Masking_reaches_over_a_band_that_is_not_given()
    {
        var noise = Spectrum.Of([Band.ThirdOctave(-6), Band.ThirdOctave(0)], [100, 40.0]);
        Assert.Equal(100 - 6 * 2.5, WarningSound.Judge(Tone(0, 90), noise, SoundField.Diffuse, _rule).BestBand.MaskedThreshold.Decibels, 1e-9);
    }

    [Fact]
    public void Octaves_ask_for_10_dB_and_fall_by_7_5()
    {
        var noise = Spectrum.Of([Band.Octave(-1), Band.Octave(0), Band.Octave(1)], [90, 70, 60.0]);
        var signal = Spectrum.Of([Band.Octave(1)], [85.5]);
        var result = WarningSound.Judge(signal, noise, SoundField.Diffuse, _rule);
        Assert.Equal(75, result.BestBand.MaskedThreshold.Decibels, 1e-9);
        Assert.Equal(0.5, result.Margin.Decibels, 1e-9);
    }

    [Fact]
    public void A_device_takes_from_signal_and_noise_alike_until_the_threshold_or_its_own_noise_counts()
    {
        var loss = _thirds.ToDictionary(b => b, _ => LevelDifference.FromDecibels(20));
        Assert.Equal(Judge(14).Margin.Decibels, WarningSound.JudgeUnder(Tone(4, 84), Flat(70), loss, null, SoundField.Diffuse, _rule).Margin.Decibels, 1e-9);
        var hiss = WarningSound.JudgeUnder(Tone(4, 84), Flat(70), loss, Flat(60), SoundField.Diffuse, _rule);
        Assert.True(hiss.Margin.Decibels < -9); // 50 dB of noise and 60 dB of hiss: 10.4 dB more than the noise alone
        var deep = _thirds.ToDictionary(b => b, _ => LevelDifference.FromDecibels(85));
        Assert.Equal(AudibilityVerdict.Inaudible, WarningSound.JudgeUnder(Tone(4, 81), Flat(70), deep, null, SoundField.Diffuse, _rule).Verdict);
    }

    [Fact]
    public void More_signal_never_hurts() => Gen.Select(Gen.Double[40, 110].Array[23], Gen.Double[40, 110].Array[23], Gen.Double[0, 20]).Sample((signal, noise, rise) =>
    {
        var (s, n) = (Spectrum.Of(_thirds, signal), Spectrum.Of(_thirds, noise));
        var raised = Spectrum.Of(_thirds, [.. signal.Select(l => l + rise)]);
        var (before, after) = (WarningSound.Judge(s, n, SoundField.Free, _rule), WarningSound.Judge(raised, n, SoundField.Free, _rule));
        return Math.Abs(after.Margin.Decibels - before.Margin.Decibels - rise) < 1e-9 && after.Verdict <= before.Verdict;
    });

    [Fact]
    public void Unlike_bands_are_refused() =>
        Assert.Throws<ArgumentException>(() => WarningSound.Judge(Spectrum.Of([Band.Octave(0)], [80.0]), Flat(60), SoundField.Diffuse, _rule));

    [Fact]
    public void Hiss_is_heard_when_a_band_passes_the_threshold()
    {
        // ISO 389-7: 0.8 dB at 1 kHz in the diffuse field.
        Assert.True(DeviceHiss.Of(Tone(0, 6), SoundField.Diffuse).HeardInQuiet);
        Assert.False(DeviceHiss.Of(Tone(0, 0), SoundField.Diffuse).HeardInQuiet);
        Assert.Equal(5.2, DeviceHiss.Of(Tone(0, 6), SoundField.Diffuse).OverThreshold.Decibels, 1e-9);
    }
}
