using Hushtrial.Hearing.Audibility;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Tests.Listening;

/// <summary>Recorded warnings in a trial without any calibration. White noise of −30 dB re full scale over 24 kHz: −30 + 10 lg(461/24 000) = −47.2 dB in the band at 2 kHz. Invented data.</summary>
public sealed class MeasuredListeningTests
{
    private const int Rate = 48_000;
    private const double NoiseInBand = -47.2;

    /// <summary>A horn 15 dB over the noise is heard and one 5 dB under it is not, also re full scale; the intervals of one donning are wide, so the horn stands 22 dB over.</summary>
    [Theory]
    [InlineData(22, AudibilityVerdict.Audible)]
    [InlineData(-8, AudibilityVerdict.Inaudible)]
    public void Without_calibration_a_recorded_warning_is_judged_against_the_noise_alone(double over, AudibilityVerdict verdict)
    {
        var results = Analyse(over, new(0, 4));
        Assert.Equal(TrialMode.Relative, results.Mode);
        var horn = Assert.Single(results.Listening!.Warnings);
        Assert.Null(horn.LevelA);
        Assert.All(horn.Conditions, c => Assert.Equal(verdict, c.Verdict));
        // The tone's band is 1 dB over its neighbour below in white noise, so nothing masks upwards; a take of 4 s leaves 4.34/√(461·4) = 0.1 dB.
        Assert.All(horn.Conditions, c => Assert.Equal(over, c.Excess!.Value, 0.7));
        Assert.DoesNotContain(results.Listening.Cautions, c => c.Contains("dB(A)", StringComparison.Ordinal));
    }

    [Fact]
    public void The_background_is_taken_off_and_bands_without_the_sound_say_nothing()
    {
        var inputs = Inputs(10, new(0, 4), new(5, 9));
        var measured = MeasuredListening.Of(inputs, new Dictionary<string, double> { ["ear"] = 0 });
        var band = Assert.Single(measured.Warnings["horn"]);
        Assert.Equal(2000, band.Key.NominalHertz);
        Assert.Equal(NoiseInBand + 10, band.Value, 0.3);
        Assert.Empty(measured.Problems);
    }

    [Fact]
    public void A_span_outside_its_recording_and_a_sound_below_its_background_are_told()
    {
        Assert.Equal("LIS-010", Assert.Single(MeasuredListening.Of(Inputs(10, new(8, 14)), new Dictionary<string, double> { ["ear"] = 0 }).Problems).Code);
        Assert.Equal("LIS-012", Assert.Single(MeasuredListening.Of(Inputs(-20, new(0, 4), new(5, 9)), new Dictionary<string, double> { ["ear"] = 0 }).Problems).Code);
        var two = Inputs(10, new(0, 4));
        Assert.Equal("LIS-011", Assert.Single(MeasuredListening.Of(two with { Document = two.Document with { Channels = [two.Document.Channels[0] with { Number = 2 }] } }, new Dictionary<string, double> { ["ear"] = 0 }).Problems).Code);
        var lost = Analyse(10, new(8, 14));
        Assert.Contains("could not be measured", Assert.Single(lost.Listening!.Warnings).Sentence, StringComparison.Ordinal);
    }

    /// <summary>Under the device the noise is 20 dB lower, so a horn 5 dB over the noise outside would be left 5 dB over it. It was recorded there 30 dB over: what was recorded counts.
    /// The quiet before it, as loud as the horn less 10 dB, is taken off: 10 lg(1 − 0.1) = −0.5 dB.</summary>
    [Fact]
    public void What_was_recorded_under_the_device_counts_before_what_its_loss_would_leave()
    {
        var inputs = Inputs(5, new(0, 4));
        var plain = Analysis.Run(inputs, null, TestContext.Current.CancellationToken).Listening!.Warnings.Single();
        var generator = new SeededGenerator(6);
        var document = inputs.Document;
        var warning = document.Listening!.Warnings[0] with { Under = [new("oak", new("under", 0, 4), new("under", 5, 9), null, null)] };
        var under = inputs with
        {
            Document = document with { Recordings = [.. document.Recordings, new("under", "under.wav", null, null)], Listening = document.Listening with { Warnings = [warning] } },
            Recordings = new Dictionary<string, Recording>(inputs.Recordings) { ["under"] = Open("under", 10, _ => -200, s => NoiseInBand - 20 + (s < 5 ? 30 : 20), generator) },
        };
        var levels = MeasuredListening.Of(under, new Dictionary<string, double> { ["ear"] = 0 });
        Assert.Equal(NoiseInBand - 20 + 30 - 0.46, levels.Under[("horn", "oak")][Band.FromNominal(BandFraction.ThirdOctave, 2000)!.Value], 0.1);
        var horn = Analysis.Run(under, null, TestContext.Current.CancellationToken).Listening!.Warnings.Single();
        ConditionWarning Of(WarningAnswer answer, string id) => answer.Conditions.Single(c => c.Condition == id);
        Assert.Equal((5.0, 29.5), (Of(plain, "oak").Excess!.Value, Of(horn, "oak").Excess!.Value), new Near(0.7));
        Assert.Equal((false, true, false), (Of(plain, "oak").RecordedUnder, Of(horn, "oak").RecordedUnder, Of(horn, "open").RecordedUnder));
        Assert.Equal(Of(plain, "open").Excess, Of(horn, "open").Excess);
        // Of one donning on the ground the others are not known: the interval is wider than that of the noise alone.
        Assert.True(Of(horn, "oak").Excess!.High - Of(horn, "oak").Excess!.Low > 1.2 * (Of(horn, "open").Excess!.High - Of(horn, "open").Excess!.Low));
    }

    private sealed record Near(double Within) : IEqualityComparer<(double, double)>
    {
        public bool Equals((double, double) x, (double, double) y) => Math.Abs(x.Item1 - y.Item1) <= Within && Math.Abs(x.Item2 - y.Item2) <= Within;

        public int GetHashCode((double, double) obj) => 0;
    }

    private sealed record Seconds(double From, double To);

    private static TrialResults Analyse(double over, Seconds span) => Analysis.Run(Inputs(over, span), null, TestContext.Current.CancellationToken);

    private static TrialInputs Inputs(double over, Seconds span, Seconds? background = null)
    {
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("Test", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.Sequential, Scope = EstimateScope.AsWorn,
            Channels = [new("ear", false, "left", 1, [])], Recordings = [new("run", "run.wav", 0, "R"), new("horn", "horn.wav", null, null)],
            Devices = [new("oak", "oak", DeviceKind.OverEar, true, null, null, [], null)], Conditions = [new("oak", "oak", "passive", [])], Runs = [new("R", null, [])],
            Takes = [Take(0, "open"), Take(1, "oak"), Take(2, "open")],
            Listening = new(null, [new("horn", "Horn", null, SoundWay.Air, new("horn", span.From, span.To), background is null ? null : new("horn", background.From, background.To), [], 0.1)], [], null),
        };
        var generator = new SeededGenerator(5);
        // The horn is recorded in quiet when it is to be judged by its own level, over the noise when its background is to be taken off.
        var noise = background is null ? -200 : -30;
        return new(document, new Dictionary<string, Recording>
        {
            ["run"] = Open("run", 18, s => s is >= 6 and < 12 ? -50 : -30, _ => -300, generator),
            ["horn"] = Open("horn", 10, _ => noise, s => s < 5 ? NoiseInBand + over : -300, generator),
        }, [], [], "0");
    }

    private static TakeEntry Take(int number, string condition) =>
        new($"T{number}", "R", null, condition, condition == "open" ? null : "D1", "run", (number * 6) + 1, (number * 6) + 5, null, null, [], null, null, null, null, "");

    private static Recording Open(string name, int seconds, Func<int, double> noise, Func<int, double> tone, SeededGenerator generator)
    {
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 1, WaveSampleFormat.Integer24))
        {
            var block = new double[Rate];
            for (var second = 0; second < seconds; second++)
            {
                for (var i = 0; i < Rate; i++)
                    block[i] = (Math.Pow(10, noise(second) / 20) * generator.NextNormal()) + (Math.Sqrt(2) * Math.Pow(10, tone(second) / 20) * Math.Sin(2 * Math.PI * 2000 * i / Rate));
                writer.Write(block);
            }
        }
        return Recording.Open(new BufferedBytes(stream.ToArray()), name + ".wav");
    }
}
