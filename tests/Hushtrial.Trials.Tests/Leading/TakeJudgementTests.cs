using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Leading;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Tests.Leading;

/// <summary>A take is judged when it is over, beside those of its session, by the checks that the findings come from.</summary>
public sealed class TakeJudgementTests
{
    private static readonly LevelSettings _settings = new() { History = true, Octaves = false };
    private static readonly CheckedTrial _trial = new(4);
    private static readonly TrialDocument _document = CheckedTrial.Document(_trial.Takes, outside: false);

    [Fact]
    public void A_clean_take_is_kept() => Assert.Equal((TakeFate.Kept, ""), Judge(12, _trial.RenderEar(12)));

    [Fact]
    public void Speech_is_taken_again() => Assert.Equal((TakeFate.Again, "TAK-019"), Judge(12, Loud(_trial.RenderEar(12), 4, 6), ["TAK-019"]));

    [Fact]
    public void A_clipped_take_is_taken_again() => Assert.Equal((TakeFate.Again, "TAK-010"), Judge(12, Disturbance.Each(_trial.RenderEar(12), (s, _) => Math.Clamp(s * 2500, -1, 1)), ["TAK-010"]));

    [Fact]
    public void Missing_samples_are_taken_again() => Assert.Equal((TakeFate.Again, "TAK-011"), Judge(12, Disturbance.Each(_trial.RenderEar(12), (s, t) => t is > 3 and < 3.01 ? 0 : s)));

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void A_leak_is_put_on_anew_with_and_without_an_open_ear_before_it(bool open)
    {
        var leaking = _trial.RenderEar(12, less: f => 12 / (1 + Math.Pow(f / 500, 2)));
        Assert.Equal((TakeFate.AgainPutOn, "TAK-031"), Judge(12, leaking, ["TAK-031"], open ? [0, 1, 2, 3] : [2, 3]));
        Assert.Equal(TakeFate.Kept, Judge(12, _trial.RenderEar(12), null, open ? [0, 1, 2, 3] : [2, 3]).Advice);
    }

    private static (TakeFate Advice, string Codes) Judge(int index, float[] samples, IReadOnlyList<string>? only = null, IReadOnlyList<int>? session = null)
    {
        var judged = TakeJudgement.Of(_document, _document.Recordings[0], [.. (session ?? [0, 1, 2, 3]).Select(i => Take(i, _trial.RenderEar(i)))], Take(index, samples));
        return (judged.Advice, string.Join(' ', judged.Findings.Select(f => f.Code).Where(c => only is null || only.Contains(c)).Distinct()));
    }

    private static float[] Loud(float[] samples, double from, double to) => Disturbance.Each(samples, (s, t) => t > from && t < to && (int)(t * 4) % 2 == 0 ? s * 5 : s);

    private static TakeLevels Take(int index, float[] samples)
    {
        var held = new HeldSamples(CheckedTrial.Rate, [samples]);
        return TakeMeasurement.Compose(_document, _trial.Takes[index], _document.Recordings[0], _document.Channels, [LevelAnalysis.Measure(held, 0, 0, samples.Length, _settings)], SignalPass.Measure(held, [0], 0, samples.Length),
            new Dictionary<string, double> { ["ear"] = CheckedTrial.FullScale }, (long)(_trial.Takes[index].From!.Value * CheckedTrial.Rate));
    }
}
