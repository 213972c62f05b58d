using System.Globalization;
using System.Text.RegularExpressions;
using CsCheck;
using Hushtrial.Quantities;
using Hushtrial.Signals.Calibration;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Calibration;

public class CalibratorToneTests
{
    private static readonly ToneCalibrator _ninetyFour = new(Level.FromDecibels(94), Frequency.FromHertz(1000), LevelDifference.FromDecibels(0.15), CalibratorType.Feedback);

    private static Signals.Calibration.Calibration Measure(Func<double, double> value, ToneCalibrator? calibrator = null, int rate = 48000, double seconds = 5, RecordingSpan? span = null) =>
        CalibratorTone.Measure(new MadeSamples(rate, seconds, value), 0, span ?? new RecordingSpan(0, seconds), calibrator ?? _ninetyFour, "cal.wav");

    private static Func<double, double> Sine(double amplitude, double frequency = 1000, double phase = 0.3) => t => amplitude * Math.Sin((2 * Math.PI * frequency * t) + phase);

    /// <summary>What full scale must be if a sine of this amplitude is 94 dB.</summary>
    private static double FullScaleOf(double amplitude, double level = 94) => level - (10 * Math.Log10(amplitude * amplitude / 2));

    private static string[] Codes(Signals.Calibration.Calibration calibration) => [.. calibration.Problems.Select(p => $"{p.Code} {p.Severity}")];

    [Fact]
    public void A_tone_at_full_scale_of_94_dB_puts_full_scale_at_97_01_dB()
    {
        // Mean square of a sine that just reaches full scale: 1/2, 3.01 dB below 1. A hair below, so that it counts as unclipped.
        var calibration = Measure(Sine(0.9999));
        Assert.Equal(94 + 3.0103 + 0.0009, calibration.FullScale!.Value.Decibels, 3);
        Assert.Equal(94, calibration.At(Level.FromDecibels(-3.0112)).Decibels, 3);
    }

    [Fact]
    public void Amplitude_frequency_and_phase_do_not_matter_at_any_rate() =>
        Gen.Select(Gen.Double[-50, -1], Gen.Double[0.991, 1.009], Gen.Double[0, 6.28], Gen.OneOf(Gen.Const(16000), Gen.Const(44100), Gen.Const(48000), Gen.Const(96000)), Gen.OneOf(Gen.Const(250.0), Gen.Const(1000.0)))
            .Sample((dB, ratio, phase, rate, nominal) =>
            {
                var amplitude = Math.Pow(10, dB / 20);
                var calibration = Measure(Sine(amplitude, nominal * ratio, phase), _ninetyFour with { Frequency = Frequency.FromHertz(nominal) }, rate, 1.3);
                Assert.Empty(calibration.Problems);
                // The estimator is exact for a steady sine up to rounding and the window's side lobes (1e-6 in amplitude).
                Assert.InRange(calibration.FullScale!.Value.Decibels - FullScaleOf(amplitude), -0.0005, 0.0005);
            }, iter: 40);

    [Fact]
    public void Noise_and_hum_beside_the_tone_do_not_count()
    {
        var noise = MadeSamples.Noise(0.003);
        // Hum as strong as the tone: a broadband reading would be 3 dB too high.
        var calibration = Measure(t => Sine(0.1)(t) + Sine(0.1, 50)(t) + noise(t));
        Assert.Empty(calibration.Problems);
        // Noise of −50 dB re full scale over 24 kHz leaves −87 dB in the 6 Hz of a line: 64 dB below the tone, 0.002 dB rms in a mean of 20 pieces.
        Assert.InRange(calibration.FullScale!.Value.Decibels - FullScaleOf(0.1), -0.01, 0.01);
    }

    [Fact]
    public void A_tone_of_sox_in_its_pink_noise_gives_the_level_asked_of_sox()
    {
        var folder = Directory.CreateTempSubdirectory("tone-");
        try
        {
            var file = Path.Combine(folder.FullName, "tone.wav");
            // sox's sine of amplitude 1 lowered by 20 dB, half of it by mixing; beside it pink noise 40 dB below.
            string[] arguments = ["-n", "-r", "48000", "-b", "24", file, "synth", "6", "sine", "250", "gain", "-20"];
            using (var sox = System.Diagnostics.Process.Start("sox", arguments)!) sox.WaitForExit();
            using var recording = Recording.Open(new BufferedBytes(File.ReadAllBytes(file)), "tone.wav");
            var calibration = CalibratorTone.Measure(recording, 0, new RecordingSpan(0.5, 5.5), _ninetyFour with { Frequency = Frequency.FromHertz(250), Level = Level.FromDecibels(124) });
            Assert.Empty(calibration.Problems);
            // −20 dB peak is −23.01 dB rms; sox works with 32-bit integers.
            Assert.Equal(124 + 20 + 3.0103, calibration.FullScale!.Value.Decibels, 3);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    // Heights and pressures of the standard atmosphere (ISO 2533, formula from memory); 8000 ft is the altitude of a pressurised cabin.
    [Theory]
    [InlineData(2000, -0.63)]
    [InlineData(5000, -1.60)]
    [InlineData(8000, -2.58)]
    [InlineData(10000, -3.25)]
    public void A_piston_is_weaker_where_the_air_is_thin(double feet, double expected)
    {
        var pressure = 101.325 * Math.Pow(1 - (2.25577e-5 * 0.3048 * feet), 5.25588);
        var piston = new ToneCalibrator(Level.FromDecibels(124), Frequency.FromHertz(250), LevelDifference.FromDecibels(0.15), CalibratorType.Piston, pressure);
        var high = Measure(Sine(0.1, 250), piston);
        var low = Measure(Sine(0.1, 250), piston with { StaticPressureKilopascal = 101.325 });
        // The expected values are printed with two decimals.
        Assert.InRange((high.FullScale!.Value - low.FullScale!.Value).Decibels - expected, -0.0051, 0.0051);
        Assert.Contains("kPa", high.Words, StringComparison.Ordinal);
        Assert.Equal(LevelDifference.Zero, (piston with { Type = CalibratorType.Feedback }).PressureCorrection);
    }

    [Fact]
    public void A_calibrator_of_unknown_type_or_a_piston_without_pressure_is_told()
    {
        Assert.Equal(["CAL-010 Warning"], Codes(Measure(Sine(0.1), _ninetyFour with { Type = CalibratorType.Piston })));
        var unknown = Measure(Sine(0.1), _ninetyFour with { Type = CalibratorType.NotStated, StaticPressureKilopascal = 75.3 });
        Assert.Equal("CAL-011", Assert.Single(unknown.Problems).Code);
        // 20 lg (75.3/101.325).
        Assert.Equal(2.58, unknown.Problems[0].EffectDecibels!.Value, 2);
        Assert.Equal(FullScaleOf(0.1), unknown.FullScale!.Value.Decibels, 3);
        Assert.Empty(Codes(Measure(Sine(0.1), _ninetyFour with { Type = CalibratorType.NotStated })));
        Assert.Equal(["CAL-012 Error"], Codes(Measure(Sine(0.1), _ninetyFour with { Type = CalibratorType.Piston, StaticPressureKilopascal = 1013 })));
    }

    [Fact]
    public void A_tone_beside_its_frequency_is_told_with_the_one_found()
    {
        Assert.Equal(["CAL-006 Warning"], Codes(Measure(Sine(0.1, 1015))));
        var far = Measure(Sine(0.1, 1035));
        Assert.Equal(["CAL-006 Error"], Codes(far));
        Assert.Contains("1035 Hz", far.Problems[0].Found, StringComparison.Ordinal);
        var other = Measure(Sine(0.1, 250));
        Assert.Equal(["CAL-003 Error"], Codes(other));
        Assert.Contains("one at 250 Hz", other.Problems[0].Found, StringComparison.Ordinal);
        Assert.Null(other.FullScale);
    }

    [Fact]
    public void Noise_alone_or_silence_is_no_tone()
    {
        Assert.Equal(["CAL-003 Error"], Codes(Measure(MadeSamples.Noise(0.1))));
        Assert.Equal(["CAL-003 Error"], Codes(Measure(_ => 0)));
        // A machine's broad hump around 1 kHz: noise through a narrow resonance, 40 Hz wide.
        double y1 = 0, y2 = 0, r = Math.Exp(-Math.PI * 40 / 48000), c = 2 * r * Math.Cos(2 * Math.PI * 1000 / 48000);
        var noise = MadeSamples.Noise(0.001);
        Assert.Equal(["CAL-003 Error"], Codes(Measure(t =>
        {
            (y1, y2) = ((c * y1) - (r * r * y2) + noise(t), y1);
            return y1;
        })));
    }

    [Fact]
    public void An_unsteady_tone_is_an_error_and_a_slightly_uneven_one_is_not()
    {
        // Level modulated by a slow sine of 0.5 (0.1) dB peak: standard deviation 0.35 (0.07) dB, limit 0.2 dB.
        Func<double, double> Wavering(double dB) => t => Sine(0.1)(t) * Math.Pow(10, dB * Math.Sin(2 * Math.PI * 0.3 * t) / 20);
        Assert.Contains("CAL-007 Error", Codes(Measure(Wavering(0.5), seconds: 10)));
        Assert.Empty(Codes(Measure(Wavering(0.1), seconds: 10)));
    }

    [Fact]
    public void Distortion_above_3_percent_is_an_error()
    {
        var distorted = Measure(t => Sine(0.1)(t) + Sine(0.0035, 3000)(t));
        Assert.Equal(["CAL-008 Error"], Codes(distorted));
        Assert.Contains("3.5 %", distorted.Problems[0].Found, StringComparison.Ordinal);
        Assert.Empty(Codes(Measure(t => Sine(0.1)(t) + Sine(0.0015, 2000)(t) + Sine(0.002, 3000)(t))));
    }

    [Fact]
    public void Clipping_is_found_at_full_scale_and_below_it()
    {
        Assert.Contains("CAL-009 Error", Codes(Measure(t => Math.Clamp(Sine(1.05)(t), -1, 1))));
        // A preamplifier that stops at half of full scale.
        Assert.Contains("CAL-009 Error", Codes(Measure(t => Math.Clamp(Sine(0.55)(t), -0.5, 0.5))));
        // A floating-point file above full scale has not clipped; neither has a 16-bit one just below.
        Assert.Empty(Codes(Measure(Sine(1.7))));
        Assert.Empty(Codes(Measure(t => Math.Round(Sine(0.99)(t) * 32768) / 32768)));
        Assert.Empty(Codes(Measure(t => Math.Round(Sine(0.01)(t) * 32768) / 32768)));
        // Sixteen samples a period, locked: each period has the same one or two largest samples.
        Assert.Empty(Codes(Measure(Sine(0.1, 1000, 0), rate: 16000)));
        Assert.Empty(Codes(Measure(Sine(0.1, 1000, Math.PI / 16), rate: 16000)));
    }

    [Fact]
    public void Lost_samples_are_left_out_and_told()
    {
        // 8 % of the tone, in quanta of 128 frames, as a browser loses them: as it stands its mean square is 0.36 dB too low.
        var lost = new Random(3);
        var quanta = new bool[(10 * 48_000 / 128) + 1];
        for (var i = 0; i < quanta.Length; i++) quanta[i] = lost.NextDouble() < 0.08;
        var some = Measure(t => quanta[(int)Math.Round(t * 48_000) / 128] ? 0 : Sine(0.1)(t), seconds: 10);
        Assert.Equal(["CAL-020 Warning"], Codes(some));
        var found = Regex.Match(some.Problems[0].Found, "^([0-9]+) ms of exact zeros in the tone, first at second ([0-9.]+)$");
        // What a quantum has of less than 1 ms at the edge of a piece is not seen, and the window is next to nothing there.
        Assert.Equal(quanta.Take(10 * 48_000 / 128).Count(q => q) * 128 / 48.0, double.Parse(found.Groups[1].Value, CultureInfo.InvariantCulture), 10.0);
        Assert.Equal(Array.IndexOf(quanta, true) * 128 / 48_000.0, double.Parse(found.Groups[2].Value, CultureInfo.InvariantCulture), 0.006);
        Assert.InRange(some.FullScale!.Value.Decibels - FullScaleOf(0.1), -0.0005, 0.0005);
        // Through holes some of the hum gets into the tone's line; it lies 10 dB below the tone here.
        var hum = Measure(t => quanta[(int)Math.Round(t * 48_000) / 128] ? 0 : Sine(0.1)(t) + Sine(0.03, 50)(t), seconds: 10);
        Assert.InRange(hum.FullScale!.Value.Decibels - FullScaleOf(0.1), -0.05, 0.05);
        // A hole of 60 ms in nearly every piece: too little is whole.
        var many = Measure(t => t > 0.75 && t % 0.25 is > 0.1 and < 0.16 ? 0 : Sine(0.1)(t));
        Assert.Equal(["CAL-020 Error"], Codes(many));
        Assert.Null(many.FullScale);
        // A tone of one step of 16 bits stands at zero for a third of its period.
        Assert.DoesNotContain("CAL-020", string.Join(" ", Codes(Measure(t => Math.Round(Sine(0.9 / 32768, 125)(t) * 32768) / 32768, _ninetyFour with { Frequency = Frequency.FromHertz(125) }))), StringComparison.Ordinal);
    }

    [Fact]
    public void A_weak_tone_and_a_tone_in_noise_are_warned_of()
    {
        Assert.Equal(["CAL-005 Warning"], Codes(Measure(Sine(0.001))));
        // Far below the last bit of a recording: rounding, from which a level of full scale beyond 250 dB would follow.
        var nothing = Measure(Sine(1e-8));
        Assert.Equal(["CAL-005 Error"], Codes(nothing));
        Assert.Null(nothing.FullScale);
        // Noise 3 dB above the tone: the line stands some 33 dB above it, still steady enough. 6 dB more and it is not.
        var noise = MadeSamples.Noise(0.2);
        Assert.Contains("CAL-004 Warning", Codes(Measure(t => Sine(0.1)(t) + noise(t))));
    }

    [Fact]
    public void Spans_channels_and_frequencies_that_cannot_be_are_refused()
    {
        Assert.Equal(["CAL-001 Error"], Codes(Measure(Sine(0.1), span: new RecordingSpan(2, 7))));
        Assert.Equal(["CAL-001 Error"], Codes(Measure(Sine(0.1), span: new RecordingSpan(3, 2))));
        Assert.Equal(["CAL-001 Error"], Codes(Measure(Sine(0.1), span: new RecordingSpan(-1, 2))));
        Assert.Equal(["CAL-001 Error"], Codes(Measure(Sine(0.1), span: new RecordingSpan(double.NaN, 2))));
        Assert.Equal(["CAL-002 Error"], Codes(Measure(Sine(0.1), span: new RecordingSpan(1, 1.5))));
        Assert.Equal(["CAL-019 Error"], Codes(Measure(Sine(0.1), _ninetyFour with { Frequency = Frequency.FromHertz(20_000) })));
        Assert.Equal(["CAL-017 Error"], Codes(CalibratorTone.Measure(new MadeSamples(48000, 2, Sine(0.1)), 1, new RecordingSpan(0, 2), _ninetyFour, "cal.wav")));
        using var unreadable = Recording.Open(new BufferedBytes(Array.Empty<byte>()), "empty.wav");
        Assert.Equal(["CAL-018 Error"], Codes(CalibratorTone.Measure(unreadable, 0, new RecordingSpan(0, 2), _ninetyFour)));
    }

    [Fact]
    public void The_calibrators_uncertainty_is_kept_and_scatter_is_added()
    {
        Assert.Equal(0.15, Measure(Sine(0.1)).StandardUncertainty.Decibels, 4);
        // A sine of 0.2 dB peak: 0.141 dB standard deviation, 40 pieces of 10 s: 0.022 dB; sqrt(0.15² + 0.022²) = 0.1517.
        var wavering = Measure(t => Sine(0.1)(t) * Math.Pow(10, 0.2 * Math.Sin(2 * Math.PI * 0.3 * t) / 20), seconds: 10);
        Assert.InRange(wavering.StandardUncertainty.Decibels, 0.1510, 0.1524);
        Assert.Equal(["CAL-014 Error"], Codes(Measure(Sine(0.1), _ninetyFour with { StandardUncertainty = LevelDifference.Zero })));
    }
}
