using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests;

/// <summary>Small trials of white noise whose losses are known, through the whole analysis. Invented data: the laws are what is tested.</summary>
public sealed class AnalysisTests
{
    private const int Rate = 48_000;
    private const double TakeSeconds = 4;

    [Fact]
    public void Sequential_takes_give_the_loss_that_was_put_in()
    {
        var results = Analyse(Trial(new Made("open", 0), new("oak", 20), new("oak", 20), new("open", 0), new("elm", 16), new("open", 0)));
        // 4 s of white noise leave 4.34/√(B·T) ≈ 0.02 dB of an A-weighted level to chance.
        Assert.Equal(20, Loss(results, "oak"), 0.15);
        Assert.Equal(16, Loss(results, "elm"), 0.15);
        // One donning each: only differences above about 8 dB could be called.
        Assert.Equal(VerdictKind.Unresolved, results.Pairs.Single().General!.Verdict);
        Assert.Contains("assumed donning scatter", results.Conditions[0].Loss.A!.Reason);
    }

    [Fact]
    public void Without_calibration_differences_stand_and_nothing_absolute_is_there()
    {
        var results = Analyse(Trial(new Made("open", 0), new("oak", 20), new("open", 0)));
        Assert.Equal(TrialMode.Relative, results.Mode);
        Assert.Null(results.OpenEarLevel);
        Assert.All(results.Conditions, c => Assert.Null(c.EarLevel));
        Assert.Contains("no calibration", results.RelativeReason);
        Assert.NotNull(results.Conditions.Single().Loss.A!.General);
    }

    [Fact]
    public void A_stated_sensitivity_makes_levels_absolute_and_its_uncertainty_cancels_in_the_loss()
    {
        var trial = Trial(new Made("open", 0), new("oak", 20), new("open", 0));
        CalibrationEntry Stated(double u) => new("ear", CalibrationKind.Sensitivity, null, null, null, 130, null, FrequencyWeighting.Z, u, null, null, null, "");
        var fine = Analyse(trial with { Document = trial.Document with { Calibrations = [Stated(0.1)] } });
        var coarse = Analyse(trial with { Document = trial.Document with { Calibrations = [Stated(3)] } });
        Assert.Equal(TrialMode.Absolute, fine.Mode);
        Assert.Equal(fine.Conditions[0].Loss.A!.AsWorn!.StandardUncertainty, coarse.Conditions[0].Loss.A!.AsWorn!.StandardUncertainty, 1e-9);
        var (u1, u2) = (fine.Conditions[0].EarLevel!.A!.AsWorn!.StandardUncertainty, coarse.Conditions[0].EarLevel!.A!.AsWorn!.StandardUncertainty);
        Assert.Equal((u1 * u1) - 0.01 + 9, u2 * u2, 1e-6);
        Assert.Equal(coarse.OpenEarLevel!.A!.AsWorn!.Value - Loss(coarse, "oak"), coarse.Conditions[0].EarLevel!.A!.General!.Value, 0.2);
    }

    [Theory]
    [InlineData(2.3)]
    [InlineData(-6)]
    public void An_outside_channel_takes_a_change_of_the_cabin_away(double change)
    {
        Made[] takes = [new("open", 0), new("oak", 20, change), new("open", 0), new("elm", 12, change / 2), new("open", 0)];
        var corrected = Analyse(Trial(takes, outside: true));
        Assert.Equal(20, Loss(corrected, "oak"), 0.2);
        Assert.Equal(12, Loss(corrected, "elm"), 0.2);
        // Without it the change is taken for a loss.
        Assert.Equal(20 - change, Loss(Analyse(Trial(takes)), "oak"), 0.3);
    }

    [Fact]
    public void Bands_at_the_microphones_own_noise_become_lower_bounds()
    {
        var trial = Trial(new Made("open", 0), new("oak", 55), new("open", 0));
        var results = Analyse(trial);
        // The own noise lies 40 dB below the open ear: a loss of 55 dB reaches it everywhere.
        Assert.All(results.Conditions[0].Loss.Bands, b => Assert.True(b.LowerBoundOnly && !b.Valid && b.Effect.General!.Value < 45));
        Assert.All(Analyse(Trial(new Made("open", 0), new("oak", 10), new("open", 0))).Conditions[0].Loss.Bands, b => Assert.True(b.Valid));
    }

    [Fact]
    public void An_excluded_take_is_measured_shown_and_not_used()
    {
        var trial = Trial(new Made("open", 0), new("oak", 20), new("oak", 0), new("open", 0));
        var takes = trial.Document.Takes.ToList();
        takes[2] = takes[2] with { Excluded = "microphone fell out" };
        var results = Analyse(trial with { Document = trial.Document with { Takes = takes } });
        Assert.Equal(20, Loss(results, "oak"), 0.15);
        Assert.False(results.Takes[2].Used);
        Assert.NotNull(results.Takes[2].LevelA);
        Assert.Equal(1, results.Conditions[0].Takes);
    }

    [Fact]
    public void Two_ears_of_one_donning_are_averaged_and_do_not_count_twice()
    {
        var one = Analyse(Trial(new Made("open", 0), new("oak", 20), new("open", 0)));
        var two = Analyse(Trial([new("open", 0), new("oak", 20), new("open", 0)], ears: 2));
        Assert.Equal(1, two.Conditions[0].Fits);
        Assert.Equal(one.Conditions[0].Loss.A!.General!.StandardUncertainty, two.Conditions[0].Loss.A!.General!.StandardUncertainty, 0.1);
    }

    [Fact]
    public void A_take_outside_its_recording_is_a_problem_with_its_place_and_the_rest_is_analysed()
    {
        var trial = Trial(new Made("open", 0), new("oak", 20), new("open", 0));
        var takes = trial.Document.Takes.Append(trial.Document.Takes[1] with { Id = "late", From = 100, To = 104, Where = "trial.yaml, line 40, column 5" }).ToList();
        var results = Analyse(trial with { Document = trial.Document with { Takes = takes } });
        var problem = Assert.Single(results.Problems, p => p.Code == "TAK-001");
        Assert.Equal("trial.yaml, line 40, column 5", problem.Where);
        Assert.Equal(20, Loss(results, "oak"), 0.15);
    }

    /// <summary>Start and length rounded each for itself may come to a frame more than the recording has; and one frame too much is told with digits that show it.</summary>
    [Fact]
    public void A_take_up_to_the_last_frame_is_inside_and_one_that_reaches_a_frame_further_is_told_apart()
    {
        var trial = Trial(new Made("open", 0), new("oak", 20), new("open", 0));
        const int Frames = 18 * Rate;
        IReadOnlyList<Problem> Told(double toFrame) => Analyse(trial with { Document = trial.Document with { Takes = [.. trial.Document.Takes, trial.Document.Takes[2] with { Id = "last", From = 15 + (0.6 / Rate), To = toFrame / Rate }] } }).Problems;
        Assert.DoesNotContain(Told(Frames + 0.2), p => p.Code == "TAK-001");
        var problem = Assert.Single(Told(Frames + 1), p => p.Code == "TAK-001");
        Assert.Contains("to 18.000021 s", problem.Found, StringComparison.Ordinal);
        Assert.Contains("which is 18 s long", problem.Expected, StringComparison.Ordinal);
    }

    [Fact]
    public void Own_noise_in_the_A_weighted_level_is_told_with_its_size()
    {
        // 32 dB of loss over own noise 40 dB down: 10^(−0.8) = 16 % of the cabin's energy, 14 % of what is read.
        var results = Analyse(Trial(new Made("open", 0), new("oak", 32), new("open", 0)));
        var problem = Assert.Single(results.Problems, p => p.Code == "TAK-014");
        Assert.Equal(10 * Math.Log10(1 - 0.1368), problem.EffectDecibels!.Value, 0.05);
        Assert.Equal(32, Loss(results, "oak"), 0.2);
    }

    internal sealed record Made(string Condition, double Loss, double CabinChange = 0);

    internal sealed record MadeTrial(TrialDocument Document, IReadOnlyDictionary<string, byte[]> Files);

    private static double Loss(TrialResults results, string condition) => results.Conditions.Single(c => c.Condition.Id == condition).Loss.A!.General!.Value;

    internal static TrialResults Analyse(MadeTrial trial)
    {
        var recordings = trial.Files.ToDictionary(f => f.Key, f => Recording.Open(new BufferedBytes(f.Value), f.Key + ".wav"));
        return Analysis.Run(new TrialInputs(trial.Document, recordings, [], [], "0"), null, TestContext.Current.CancellationToken);
    }

    internal static MadeTrial Trial(params Made[] takes) => Trial(takes, outside: false);

    internal static MadeTrial Trial(Made[] takes, bool outside = false, int ears = 1)
    {
        var channels = new List<ChannelEntry>();
        for (var ear = 0; ear < ears; ear++) channels.Add(new(ear == 0 ? "ear" : "ear-2", false, ear == 0 ? "left" : "right", ear + 1, [], NoiseRecording: "quiet", NoiseFrom: 0, NoiseTo: 3));
        if (outside) channels.Add(new("outside", true, null, ears + 1, []));
        var generator = new SeededGenerator(11);
        var conditions = takes.Select(t => t.Condition).Where(c => c != "open").Distinct().ToList();
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("Test", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss,
            Design = outside ? TrialDesign.OutsideChannel : TrialDesign.Sequential, Channels = channels,
            Recordings = [new("run", "run.wav", 0, "R"), new("quiet", "quiet.wav", null, null)],
            Devices = [.. conditions.Select(c => new Device(c, c, DeviceKind.OverEar, true, null, null, [], null))],
            Conditions = [.. conditions.Select(c => new Condition(c, c, "passive", []))], Runs = [new("R", null, [])],
            Takes = [.. takes.Select((t, i) => new TakeEntry($"T{i}", "R", null, t.Condition, t.Condition == "open" ? null : "fit-" + t.Condition, "run",
                (i * 6) + 1, (i * 6) + 1 + TakeSeconds, null, null, [], null, null, null, null, ""))],
        };
        return new(document, new Dictionary<string, byte[]>
        {
            ["run"] = Write(channels.Count, takes.Length * 6, (channel, second) =>
            {
                var take = takes[Math.Min((int)(second / 6), takes.Length - 1)];
                return channels[channel].Outside ? take.CabinChange : take.CabinChange - take.Loss;
            }, generator),
            ["quiet"] = Write(channels.Count, 4, (_, _) => -300, generator),
        });
    }

    // White noise at −30 dB re full scale with own noise 40 dB below it.
    private static byte[] Write(int channels, int seconds, Func<int, double, double> decibels, SeededGenerator generator)
    {
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, channels, WaveSampleFormat.Integer24))
        {
            var block = new double[channels * Rate];
            for (var second = 0; second < seconds; second++)
            {
                for (var i = 0; i < Rate; i++)
                    for (var c = 0; c < channels; c++)
                        block[(i * channels) + c] = (Math.Pow(10, (decibels(c, second) - 30) / 20) * generator.NextNormal()) + (Math.Pow(10, -70 / 20.0) * generator.NextNormal());
                writer.Write(block);
            }
        }
        return stream.ToArray();
    }
}
