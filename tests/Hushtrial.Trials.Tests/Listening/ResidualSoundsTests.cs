using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Signals.Rendering;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Listening;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Listening;

/// <summary>What is played of a trial of noted bands, and of one with a recording of the open ear. Invented data.</summary>
public sealed class ResidualSoundsTests
{
    private const int Rate = 16_000;

    // 160 Hz to 8 kHz; the oak loses from 5 dB on, rising by 2 dB a band with a dip, the elm a flat 12 dB.
    private static readonly double[] _open = [.. Enumerable.Range(0, 18).Select(i => 90.0 - i)];
    private static readonly double[] _oak = [.. _open.Select((l, i) => l - 5 - (2 * i) + (i == 7 ? 6 : 0))];
    private static readonly double[] _elm = [.. _open.Select(l => l - 12)];

    private static TrialResults Noted { get; } = NotedTrial.Analyse(NotedTrial.Thirds, new Dictionary<string, double[]> { ["open"] = _open, ["oak"] = _oak, ["elm"] = _elm }, null);

    [Fact]
    public void Without_a_recording_noise_of_the_noted_spectrum_loses_what_was_estimated()
    {
        var set = ResidualSounds.Of(Noted, _ => null, withSpeech: false, TestContext.Current.CancellationToken)!;
        Assert.Null(set.Span);
        Assert.Equal(["open", "oak", "elm"], set.Sounds.Select(s => s.Condition));
        var levels = set.Sounds.Select(s => LevelAnalysis.Measure(new LoopSamples(s.Samples, set.SampleRate, 2), 0, s.Samples.Length, s.Samples.Length, new())).ToList();
        double Band(int sound, Band band) => 10 * Math.Log10(levels[sound].Thirds.Single(b => b.Band == band).MeanSquare);
        // The noise has the shape of the noted levels: they fall by 1 dB a band. A band's chance: 4.34/√(37 Hz · 8 s) = 0.25 dB, taken off by the fit.
        foreach (var band in NotedTrial.Thirds.Skip(1)) Assert.Equal(1, Band(0, NotedTrial.Thirds[NotedTrial.Thirds.ToList().IndexOf(band) - 1]) - Band(0, band), 0.3);
        // Half a decibel, as the page promises; the two outermost bands too, where the curve only goes on.
        foreach (var (i, band) in NotedTrial.Thirds.Index())
        {
            Assert.Equal(_open[i] - _oak[i], Band(0, band) - Band(1, band), 0.5);
            Assert.Equal(12, Band(0, band) - Band(2, band), 0.5);
        }
        Assert.All(set.Sounds.Skip(1), s => Assert.InRange(s.WorstDeviation, 0, 0.5));
        Assert.Equal(12, set.Sounds[0].LevelA - set.Sounds[2].LevelA, 0.3);
    }

    [Fact]
    public void All_sounds_share_one_gain_at_a_low_level_and_none_clips()
    {
        var set = ResidualSounds.Of(Noted, _ => null, withSpeech: false, TestContext.Current.CancellationToken)!;
        Assert.Equal(ResidualSounds.PlayedLevel, set.Sounds[0].LevelA, 0.01);
        Assert.All(set.Sounds, s => Assert.True(s.Samples.Max(Math.Abs) <= Math.Pow(10, ResidualSounds.HighestPeak / 20)));
        // Low tones that A-weighting hardly counts need the room: then the cabin is played lower, and all with it.
        var rumble = With(Noise(16, (t, n) => (0.9 * Math.Sin(2 * Math.PI * 25 * t)) + (0.001 * n)), []);
        var low = ResidualSounds.Of(rumble.Results, rumble.Recording, withSpeech: false, TestContext.Current.CancellationToken)!;
        Assert.True(low.Sounds[0].LevelA < ResidualSounds.PlayedLevel - 10);
        Assert.Equal(Math.Pow(10, ResidualSounds.HighestPeak / 20), low.Sounds.Max(s => s.Samples.Max(Math.Abs)), 1e-6);
    }

    [Fact]
    public void Speech_that_was_found_is_left_out_and_comes_back_only_when_it_is_asked_for()
    {
        // 'Speech': a tone at 1 kHz, 25 dB over the noise of its band, in two bursts that leave no stretch of 8 s.
        var (results, recording) = With(Noise(16, (t, n) => (0.05 * n) + (t is (> 4 and < 6) or (> 11 and < 12.5) ? 0.2 * Math.Sin(2 * Math.PI * 1000 * t) : 0)), [(3.9, 6.1), (10.9, 12.6)]);
        double Tone(bool speech)
        {
            var set = ResidualSounds.Of(results, recording, speech, TestContext.Current.CancellationToken)!;
            Assert.Equal("T1", set.Span!.Take);
            Assert.InRange(set.Seconds, 6, 8);
            var loop = set.Sounds[0].Samples;
            var levels = LevelAnalysis.Measure(new LoopSamples(loop, Rate, 2), 0, loop.Length, loop.Length, new()).Thirds;
            return 10 * Math.Log10(levels.Single(b => b.Band.NominalHertz == 1000).MeanSquare / levels.Single(b => b.Band.NominalHertz == 2000).MeanSquare);
        }
        // White noise: 3 dB less in the band an octave below.
        Assert.Equal(-3, Tone(speech: false), 0.6);
        Assert.InRange(Tone(speech: true), 5, 30);
    }

    [Fact]
    public void The_steadier_half_of_a_take_is_played()
    {
        var (results, recording) = With(Noise(20, (t, n) => n * 0.05 * (t < 10 ? 1 + (0.6 * Math.Sin(2 * Math.PI * 0.7 * t)) : 1)), []);
        Assert.InRange(CabinSpan.Of(results, recording, withSpeech: false, TestContext.Current.CancellationToken)!.Pieces.Single().From, 9.5, 12);
    }

    [Fact]
    public void Bands_that_are_not_trusted_are_told_with_what_is_heard_from_them()
    {
        var first = Noted.Conditions[0];
        var bands = first.Loss.Bands.Select((b, i) => i switch { >= 15 => b with { Valid = false, LowerBoundOnly = true }, 9 => b with { Valid = false, Reason = "for some reason" }, _ => b }).ToList();
        var results = Noted with { Conditions = [first with { Loss = first.Loss with { Bands = bands } }, .. Noted.Conditions.Skip(1)] };
        var plan = ResidualPlan.Of(results).Residuals[0];
        Assert.Equal((3, 1), (plan.AtLeast.Count, plan.Filled.Count));
        Assert.False(plan.Losses.ContainsKey(plan.Filled[0]));
        var set = ResidualSounds.Of(results, _ => null, withSpeech: false, TestContext.Current.CancellationToken)!;
        Assert.InRange(set.Sounds[1].FilledShare, 0.001, 0.2);
        // The rest lies beyond the outermost bands.
        Assert.InRange(set.Sounds[2].FilledShare, 0, 0.06);
        // The gap goes on smoothly: between its neighbours, 19 and 23 dB of loss.
        var at = plan.Filled[0];
        var levels = set.Sounds.Take(2).Select(s => LevelAnalysis.Measure(new LoopSamples(s.Samples, set.SampleRate, 2), 0, s.Samples.Length, s.Samples.Length, new()).Thirds.Single(b => b.Band == at).MeanSquare).ToList();
        Assert.InRange(10 * Math.Log10(levels[0] / levels[1]), 20, 25);
    }

    [Fact]
    public void What_cannot_be_heard_says_why()
    {
        var few = ResidualPlan.Of(NotedTrial.Analyse(NotedTrial.Octaves[..3], new Dictionary<string, double[]> { ["open"] = [90, 90, 90], ["oak"] = [70, 70, 70] }, null));
        Assert.Equal("too few bands were read", few.WhyNot);
        var active = ResidualPlan.Of(Noted with { Document = Noted.Document with { Quantity = MeasuredQuantity.ActivePart } });
        Assert.NotNull(active.WhyNot);
        Assert.Null(ResidualSounds.Of(Noted with { OpenSpectrum = new Dictionary<Band, double>() }, _ => null, withSpeech: false, TestContext.Current.CancellationToken));
    }

    private static double[] Noise(int seconds, Func<double, double, double> sample)
    {
        var draws = new SeededGenerator(11);
        return [.. Enumerable.Range(0, seconds * Rate).Select(i => sample(i / (double)Rate, draws.NextNormal()))];
    }

    /// <summary>The noted trial with one recorded take of the open ear in it.</summary>
    private static (TrialResults Results, Func<string, SampleSource?> Recording) With(double[] samples, IReadOnlyList<(double, double)> speech)
    {
        var entry = new TakeEntry("T1", "R", null, TrialDocument.OpenEar, null, "r", 0, samples.Length / (double)Rate, null, null, [], null, null, null, null, "");
        var take = new TakeResult(entry, true, 0, samples.Length / (double)Rate, null, null, new Dictionary<Band, double>(), []) { NoiseOnly = speech.Count == 0 ? null : new(speech, null, null, new Dictionary<Band, double>()) };
        var source = new LoopSamples(samples, Rate, 1);
        return (Noted with { Document = Noted.Document with { Channels = [new("ear", false, null, 1, [])] }, Takes = [.. Noted.Takes, take] }, id => id == "r" ? source : null);
    }
}
