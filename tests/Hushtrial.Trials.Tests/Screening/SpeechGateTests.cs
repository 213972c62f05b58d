using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>Speech set aside: 30 % of the time at 10 dB over the noise gives 10 lg(0.7 + 0.3·(1 + 10)) = 6.02 dB as heard, and nothing in the noise only.</summary>
public sealed class SpeechGateTests
{
    private static readonly LevelSettings _settings = new() { History = true, Octaves = false };

    [Theory]
    [InlineData(4, 0)]
    [InlineData(5, 4)]
    [InlineData(8, 12)]
    public void Noise_only_is_unchanged_and_as_heard_is_six_decibels_up(int seed, int take)
    {
        var trial = new CheckedTrial((ulong)seed);
        var clean = trial.Render(take)[0];
        var spoken = Disturbance.Speech(clean, 0.3, 0.01, new Draws(77));
        var voice = clean.Zip(spoken, (c, s) => s - c).ToArray();
        // The voice alone over the whole take: three times the noise's A-weighted energy, ten times in 30 % of it.
        var noise = Level(clean).MeanSquare(FrequencyWeighting.A);
        var scale = Math.Sqrt(3 * noise / Level(voice).MeanSquare(FrequencyWeighting.A));
        var heard = Take(trial, take, [.. clean.Zip(voice, (c, v) => (float)(c + (scale * v)))]);
        var before = Take(trial, take, clean);
        // Noise and voice are not quite independent in 12 s, which moves their sum by some 0.1 dB.
        Assert.Equal(6.02, heard.Ears[0].A!.Value - before.Ears[0].A!.Value, 0.2);
        Assert.NotNull(heard.Gate);
        // What is left is 8 of 12 s of a wandering noise: 0.8 dB with a correlation time of 2 s moves by 0.3 dB and more where the wander is slow.
        Assert.Equal(before.Ears[0].A!.Value, heard.Gate.Ears[0].A!.Value, 0.6);
        // Against the same seconds of the clean take nothing but the voice's own tails is left.
        var gated = new bool[heard.Ears[0].Signal!.History.Count];
        foreach (var span in heard.Gate.Spans)
            for (var i = 0; i < gated.Length; i++) gated[i] |= heard.Entry.From + ((i + 0.5) * 0.125) is var middle && middle > span.From && middle < span.To;
        Assert.Equal(Gating.Without(before.Ears[0], gated).A!.Value, heard.Gate.Ears[0].A!.Value, 0.05);
        var finding = Assert.Single(heard.Findings, f => f.Code == "TAK-019");
        Assert.Equal(heard.Ears[0].A - heard.Gate.Ears[0].A, finding.EffectDecibels);
        Assert.Null(before.Gate);
    }

    [Fact]
    public void A_level_that_stays_up_is_no_burst()
    {
        var trial = new CheckedTrial(6);
        var clean = trial.Render(0)[0];
        var stepped = Take(trial, 0, Disturbance.Each(clean, (s, t) => t > 6 ? s * 3 : s));
        Assert.Null(stepped.Gate);
        Assert.Contains(stepped.Findings, f => f.Code == "TAK-012");
    }

    private static TakeLevels Take(CheckedTrial trial, int take, float[] samples)
    {
        var document = CheckedTrial.Document(trial.Takes, outside: false);
        var held = new HeldSamples(CheckedTrial.Rate, [samples]);
        return TakeMeasurement.Compose(document, trial.Takes[take], document.Recordings[0], document.Channels, [Level(samples)], SignalPass.Measure(held, [0], 0, samples.Length),
            new Dictionary<string, double> { ["ear"] = CheckedTrial.FullScale }, (long)(trial.Takes[take].From!.Value * CheckedTrial.Rate));
    }

    private static SpanLevels Level(float[] samples) => LevelAnalysis.Measure(new HeldSamples(CheckedTrial.Rate, [samples]), 0, 0, samples.Length, _settings, cancellation: TestContext.Current.CancellationToken);
}
