using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>Two tracks of one microphone: a take in which the main one clips is read from the other, at the level it would have had.</summary>
public sealed class SafetyTrackTests
{
    private const int Rate = 16_000;
    private const double Below = 12.04;

    /// <summary>Twenty seconds: eight that clip on the main track, twelve that do not.</summary>
    private static Recording Sound(bool clips, bool other = false, double drop = Below)
    {
        var (random, stranger) = (new SeededGenerator(1), new SeededGenerator(2));
        var frames = new double[2 * 20 * Rate];
        for (var i = 0; i < 20 * Rate; i++)
        {
            var value = (i < 8 * Rate ? 0.45 : 0.1) * random.NextNormal();
            frames[2 * i] = clips ? Math.Clamp(value, -1, 1) : value;
            frames[(2 * i) + 1] = (other ? 0.1 * stranger.NextNormal() : value) * Math.Pow(10, -drop / 20);
        }
        var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 2, WaveSampleFormat.Float32)) writer.Write(frames);
        return Recording.Open(new BufferedBytes(stream.ToArray()), "f1.wav");
    }

    private static MeasuredTrial Measured(string safety, Recording recording)
    {
        var (document, problems) = TrialDocumentReader.Read($$"""
            hushtrial: 1
            trial: { title: two tracks, quantity: insertion-loss, design: sequential }
            channels:
              - { id: ear, where: ear, number: 1{{safety}} }
            recordings:
              - { id: f1, file: f1.wav, run: F1 }
            devices: [{ id: elm, kind: over-ear }]
            conditions: [{ id: elm, device: elm }]
            runs: [{ id: F1 }]
            takes:
              - { id: T1, condition: open, recording: f1, from: 1, to: 7 }
              - { id: T2, condition: elm, fit: D1, recording: f1, from: 10, to: 16 }
            """, "trial.yaml");
        Assert.True(document is not null, string.Join('\n', problems));
        return MeasuredTrial.Of(new(document, new Dictionary<string, Recording>(StringComparer.Ordinal) { ["f1"] = recording }, [], [], ""), null, TestContext.Current.CancellationToken);
    }

    private static string Codes(IEnumerable<Problem> problems) => string.Join(' ', problems.Select(p => p.Code).Where(c => c is "TAK-010" or "TAK-040" or "TAK-041" or "TAK-042"));

    [Theory]
    [InlineData(", safety: { number: 2, below_db: 12 }"), InlineData(", safety: { number: 2 }")]
    public void A_take_that_clips_is_read_from_the_safety_track_at_its_true_level(string safety)
    {
        var truth = Measured("", Sound(clips: false)).Takes[0].Ears[0];
        var (without, with) = (Measured("", Sound(clips: true)), Measured(safety, Sound(clips: true)));
        Assert.Equal("TAK-010", Codes(without.Takes[0].Findings));
        Assert.Equal("TAK-040", Codes(with.Takes[0].Findings));
        Assert.Contains("12.04 dB below", with.Takes[0].Findings.Single(f => f.Code == "TAK-040").Found, StringComparison.Ordinal);
        Assert.InRange(truth.A!.Value - without.Takes[0].Ears[0].A!.Value, 0.1, 3);
        Assert.Equal(truth.A!.Value, with.Takes[0].Ears[0].A!.Value, 0.005);
        Assert.All(truth.Bands, b => Assert.Equal(b.Value, with.Takes[0].Ears[0].Bands[b.Key], 0.01));
        // What does not clip stays with the main track.
        Assert.Equal("", Codes(with.Takes[1].Findings));
        Assert.Equal(without.Takes[1].Ears[0].A, with.Takes[1].Ears[0].A);
    }

    [Fact]
    public void A_stated_gain_that_is_not_the_measured_one_is_told_and_nothing_is_read()
    {
        var measured = Measured(", safety: { number: 2, below_db: 18 }", Sound(clips: true));
        var problem = measured.Problems.Single(p => p.Code == "TAK-041");
        Assert.Equal(-5.96, problem.EffectDecibels!.Value, 0.02);
        Assert.Equal("TAK-010", Codes(measured.Takes[0].Findings));
    }

    /// <summary>The gain is stated alone, for nothing is left unclipped: 0.5 dB. It moves what was read from the safety track, and nothing else.</summary>
    [Theory]
    [InlineData(true, true, true, 0)]
    [InlineData(true, true, false, 0.5)]
    [InlineData(true, false, false, 0.25)]
    [InlineData(false, false, true, 0.5)]
    [InlineData(false, false, false, 0)]
    public void The_gain_of_the_safety_track_is_in_the_budget_of_what_was_read_from_it(bool firstOpen, bool secondOpen, bool covered, double expected)
    {
        bool[] loud = [firstOpen, covered, secondOpen];
        var (document, problems) = TrialDocumentReader.Read("""
            hushtrial: 1
            trial: { title: two tracks, quantity: insertion-loss, design: sequential }
            channels:
              - { id: ear, where: ear, number: 1, safety: { number: 2, below_db: 12.04 } }
            recordings:
              - { id: f0, file: f0.wav, run: F1, starts: 10:00:00 }
              - { id: f1, file: f1.wav, run: F1, starts: 10:01:00 }
              - { id: f2, file: f2.wav, run: F1, starts: 10:02:00 }
            devices: [{ id: elm, kind: over-ear }]
            conditions: [{ id: elm, device: elm }]
            runs: [{ id: F1 }]
            takes:
              - { id: T1, condition: open, recording: f0, from: 1, to: 7 }
              - { id: T2, condition: elm, fit: D1, recording: f1, from: 1, to: 7 }
              - { id: T3, condition: open, recording: f2, from: 1, to: 7 }
            """, "trial.yaml");
        Assert.True(document is not null, string.Join('\n', problems));
        var recordings = loud.Select((l, i) => KeyValuePair.Create($"f{i}", Throughout(l, i == 1 ? 12 : 0, (ulong)i + 3))).ToDictionary(StringComparer.Ordinal);
        var results = Analysis.Run(new(document, recordings, [], [], ""), null, TestContext.Current.CancellationToken);
        Assert.Equal(loud, results.Takes.OrderBy(t => t.Entry.Recording, StringComparer.Ordinal).Select(t => t.Findings.Any(f => f.Code == "TAK-040")));
        foreach (var loss in results.Conditions.Single().Loss.Bands.Where(b => b.Band.NominalHertz is 125 or 1000).Select(b => b.Effect).Append(results.Conditions.Single().Loss.A!))
            Assert.Equal(expected, loss.General!.Budget.Where(b => b.Source == KnownUncertainties.SafetyGainName).Sum(b => b.StandardUncertainty), 1e-6);
    }

    /// <summary>Eight seconds that clip on the main track from end to end, or nowhere.</summary>
    private static Recording Throughout(bool clips, double loss, ulong seed)
    {
        var random = new SeededGenerator(seed);
        var frames = new double[2 * 8 * Rate];
        for (var i = 0; i < 8 * Rate; i++)
        {
            var value = (clips ? 0.45 : 0.1) * Math.Pow(10, -(clips ? 0 : loss) / 20) * random.NextNormal();
            (frames[2 * i], frames[(2 * i) + 1]) = (clips ? Math.Clamp(value, -1, 1) : value, value * Math.Pow(10, -Below / 20));
        }
        var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 2, WaveSampleFormat.Float32)) writer.Write(frames);
        return Recording.Open(new BufferedBytes(stream.ToArray()), $"f{seed}.wav");
    }

    [Fact]
    public void Another_microphone_and_a_track_that_is_not_there_are_refused()
    {
        Assert.Contains("does not follow", Measured(", safety: { number: 2 }", Sound(clips: true, other: true)).Problems.Single(p => p.Code == "TAK-042").Found, StringComparison.Ordinal);
        Assert.Contains("2 channel(s)", Measured(", safety: { number: 3 }", Sound(clips: true)).Problems.Single(p => p.Code == "TAK-042").Found, StringComparison.Ordinal);
    }
}
