using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>What findings do to a whole trial: nothing is deleted, the answer stands with and without, and what must not be published is said. Invented data.</summary>
public sealed class ScreenedTrialTests
{
    private const int Rate = 24_000;
    private const double Apart = 6;

    [Fact]
    public void A_flagged_take_is_used_and_the_answer_without_it_stands_beside()
    {
        // The second take of oak lets 3 dB more through for half of its time and has a hole.
        var results = Analyse(Trial([new("open"), new("oak", 20), new("oak", 17, Hole: true), new("open"), new("elm", 15), new("open")]));
        Assert.True(results.Takes[2].Used);
        Assert.Contains(results.Takes[2].Findings, f => f.Code == "TAK-011" && f.EffectDecibels < 0);
        var without = Assert.Single(results.Robustness.WithoutFlagged, w => w.Changed == "T2");
        var loss = Assert.Single(without.Losses);
        Assert.Equal((18.5, 20), (loss.Value, loss.Changed), new Close(0.3));
        Assert.Contains("Without take T2 (flagged: TAK-011", without.Sentence);
        Assert.Empty(results.NotToPublish);
    }

    [Fact]
    public void Speech_is_set_aside_for_the_answer_beside_and_stays_in_the_take()
    {
        var results = Analyse(Trial([new("open"), new("oak", 20), new("oak", 20, Burst: true), new("open"), new("elm", 15), new("open")]));
        var take = results.Takes[2];
        Assert.NotNull(take.NoiseOnly);
        // A burst 14 dB up for 1 of 5 s: 10 lg(0.8 + 0.2·25) = 7.6 dB as heard.
        Assert.Equal(7.6, take.LevelA!.Value - take.NoiseOnly.LevelA!.Value, 0.3);
        var noise = results.Robustness.NoiseOnly!;
        Assert.Equal(20, noise.Losses.Single().Changed, 0.3);
        Assert.Equal(20 - (7.6 / 2), noise.Losses.Single().Value, 0.4);
    }

    [Fact]
    public void A_change_of_the_cabin_is_taken_off_with_its_uncertainty()
    {
        Made[] steady = [new("open"), new("oak", 20), new("oak", 20), new("open")];
        Made[] changed = [new("open"), new("oak", 20, Cabin: 2.3), new("oak", 20, Cabin: 2.3), new("open")];
        Estimate Loss(Made[] takes) => Analyse(Trial(takes, outside: true)).Conditions.Single().Loss.A!.General!;
        var (before, after) = (Loss(steady), Loss(changed));
        Assert.Equal(before.Value, after.Value, 0.1);
        Assert.Equal(20, after.Value, 0.2);
        // A tenth of 2.3 dB; the steady trial has no such line.
        Assert.Equal(0.23, after.Budget.Single(b => b.Source.StartsWith("cabin change", StringComparison.Ordinal)).StandardUncertainty, 0.02);
        Assert.DoesNotContain(before.Budget, b => b.Source.StartsWith("cabin change", StringComparison.Ordinal));
    }

    [Fact]
    public void A_change_beyond_the_limit_is_refused_shown_and_put_back_beside()
    {
        var results = Analyse(Trial([new("open"), new("oak", 20), new("oak", 20, Cabin: 12), new("open"), new("oak", 20), new("open")], outside: true));
        Assert.False(results.Takes[2].Used);
        Assert.Contains("outside", results.Takes[2].Refused);
        Assert.NotNull(results.Takes[2].LevelA);
        Assert.Contains(results.Robustness.WithExcluded, w => w.Changed == "T2" && w.Sentence.Contains("refused", StringComparison.Ordinal));
        // 9 dB are corrected.
        Assert.All(Analyse(Trial([new("open"), new("oak", 20), new("oak", 20, Cabin: 9), new("open")], outside: true)).Takes, t => Assert.True(t.Used));
    }

    [Fact]
    public void Two_calibrator_levels_that_differ_by_too_little_block_publication()
    {
        CalibrationEntry Tone(double level, double from) => new("ear", CalibrationKind.Tone, "tones", from, from + 4, level, 1000, FrequencyWeighting.Z, 0.2, false, null, null, "");
        Made[] takes = [new("open"), new("oak", 20), new("open")];
        MadeTrial With(double step)
        {
            var trial = Trial(takes);
            var files = new Dictionary<string, byte[]>(trial.Files) { ["tones"] = Tones(step) };
            return new(trial.Document with { Recordings = [.. trial.Document.Recordings, new("tones", "tones.wav", null, null)], Calibrations = [Tone(94, 0.5), Tone(114, 5.5)] }, files);
        }
        var honest = Analyse(With(20));
        Assert.Empty(honest.NotToPublish);
        // Ratio 2 over 20 dB.
        var automatic = Analyse(With(10));
        var problem = Assert.Single(automatic.Problems, p => p.Code == "TAK-036");
        Assert.Equal((Severity.Error, -10.0), (problem.Severity, Math.Round(problem.EffectDecibels!.Value, 1)));
        Assert.Single(automatic.NotToPublish);
        Assert.StartsWith("No insertion loss of this trial may be published", automatic.Headline, StringComparison.Ordinal);
        Assert.All(automatic.Conditions.Single().Loss.Bands, b => Assert.False(b.Valid));
    }

    [Fact]
    public void Ears_that_changed_places_between_recordings_are_told()
    {
        Made[] takes = [new("open"), new("oak", 20), new("open")];
        var (one, two) = (Trial(takes, ears: 2, run: "A"), Trial(takes, ears: 2, run: "B", swapped: true));
        var document = one.Document with { Recordings = [.. one.Document.Recordings, .. two.Document.Recordings], Runs = [.. one.Document.Runs, .. two.Document.Runs], Takes = [.. one.Document.Takes, .. two.Document.Takes.Select(t => t with { Id = "B" + t.Id })] };
        var files = one.Files.Concat(two.Files).ToDictionary();
        Assert.Contains(Findings(new(document, files)), p => p.Code == "TAK-038");
        var straight = Trial(takes, ears: 2, run: "B");
        Assert.DoesNotContain(Findings(new(document, one.Files.Concat(straight.Files).ToDictionary())), p => p.Code == "TAK-038");
    }

    private sealed record Made(string Condition, double Loss = 0, double Cabin = 0, bool Hole = false, bool Burst = false);

    private sealed record MadeTrial(TrialDocument Document, IReadOnlyDictionary<string, byte[]> Files);

    private sealed class Close(double tolerance) : IEqualityComparer<(double, double)>
    {
        public bool Equals((double, double) x, (double, double) y) => Math.Abs(x.Item1 - y.Item1) <= tolerance && Math.Abs(x.Item2 - y.Item2) <= tolerance;

        public int GetHashCode((double, double) pair) => 0;
    }

    private static TrialResults Analyse(MadeTrial trial) => Analysis.Run(Inputs(trial), null, TestContext.Current.CancellationToken);

    private static IReadOnlyList<Problem> Findings(MadeTrial trial) => Analysis.Findings(Inputs(trial), null, TestContext.Current.CancellationToken);

    private static TrialInputs Inputs(MadeTrial trial) => new(trial.Document, trial.Files.ToDictionary(f => f.Key, f => Recording.Open(new BufferedBytes(f.Value), f.Key + ".wav")), [], [], "0");

    // White noise, the whole spectrum down by the loss; the second ear hears what grows by 6 dB above some frequency.
    private static MadeTrial Trial(Made[] takes, bool outside = false, int ears = 1, string run = "R", bool swapped = false)
    {
        var channels = new List<ChannelEntry> { new("ear", false, "left", 1, []) };
        if (ears == 2) channels.Add(new("ear-2", false, "right", 2, []));
        if (outside) channels.Add(new("outside", true, null, channels.Count + 1, []));
        var generator = new SeededGenerator(11);
        var count = channels.Count;
        var frames = (int)(takes.Length * Apart * Rate);
        var samples = new double[frames * count];
        var last = 0.0;
        for (var i = 0; i < frames; i++)
        {
            var take = takes[(int)(i / (Apart * Rate))];
            var second = (i / (double)Rate) % Apart;
            var cabin = Math.Pow(10, (take.Cabin - 20) / 20) * generator.NextNormal();
            var ear = cabin * Math.Pow(10, -take.Loss / 20);
            if (take.Burst && second is > 2.5 and < 3.5) ear *= 5;
            // 30 ms without a sample in the middle of the take.
            if (take.Hole && second is > 3 and < 3.03) ear = 0;
            for (var c = 0; c < count; c++)
                samples[(i * count) + c] = channels[c].Outside ? cabin : c == (swapped ? 0 : 1) ? ear + (0.8 * (ear - last)) : ear;
            last = ear;
        }
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, count, WaveSampleFormat.Integer24)) writer.Write(samples);
        var conditions = takes.Select(t => t.Condition).Where(c => c != "open").Distinct().ToList();
        var fit = 0;
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("Test", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = outside ? TrialDesign.OutsideChannel : TrialDesign.Sequential,
            Channels = channels, Recordings = [new(run, run + ".wav", 0, run)], Devices = [.. conditions.Select(c => new Device(c, c, DeviceKind.OverEar, true, null, null, [], null))],
            Conditions = [.. conditions.Select(c => new Condition(c, c, "passive", []))], Runs = [new(run, null, [])],
            Takes = [.. takes.Select((t, i) => new TakeEntry($"T{i}", run, null, t.Condition, t.Condition == "open" ? null : $"{run}-fit-{(i > 0 && takes[i - 1].Condition == t.Condition ? fit : ++fit)}", run,
                (i * Apart) + 0.5, (i * Apart) + 5.5, null, null, [], null, null, null, null, ""))],
        };
        return new(document, new Dictionary<string, byte[]> { [run] = stream.ToArray() });
    }

    private static byte[] Tones(double step)
    {
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 1, WaveSampleFormat.Integer24))
        {
            var block = new double[10 * Rate];
            for (var i = 0; i < block.Length; i++) block[i] = (i < 5 * Rate ? 0.02 : 0.02 * Math.Pow(10, step / 20)) * Math.Sin(2 * Math.PI * 1000 * i / Rate);
            writer.Write(block);
        }
        return stream.ToArray();
    }
}
