using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Tests.Verdicts;

/// <summary>What would change a verdict, on hand-noted readings of a vineyard tractor: each answer is checked against a trial that was really changed so.</summary>
public class RobustnessTests
{
    private static readonly TrialDocument _document = VineyardTractor.Make(3).Document;
    private static readonly TrialResults _results = Run(_document);

    [Fact]
    public void Every_donning_is_left_out_once_and_the_answer_is_that_of_a_trial_without_it()
    {
        var fits = _document.Takes.Where(t => !t.IsOpen).Select(t => t.Fit!).Distinct().ToList();
        Assert.Equal(9, fits.Count);
        Assert.Equal(fits.Order(), _results.Robustness.WithoutDonning.Select(w => w.Changed).Order());
        foreach (var answer in _results.Robustness.WithoutDonning.Take(3))
        {
            var other = Run(_document with { Takes = [.. _document.Takes.Select(t => t.Fit == answer.Changed ? t with { Excluded = "tried without" } : t)] });
            var shift = Assert.Single(answer.Losses);
            Assert.Equal(Loss(_results, shift.Condition), shift.Value, 1e-9);
            Assert.Equal(Loss(other, shift.Condition), shift.Changed, 1e-9);
            foreach (var (before, after) in _results.Pairs.Zip(other.Pairs))
            {
                var turned = answer.Verdicts.SingleOrDefault(v => v.First == before.First && v.Second == before.Second);
                Assert.Equal(before.General!.Verdict != after.General!.Verdict, turned is not null);
                if (turned is not null) Assert.Equal(after.General.SimultaneousLow95, turned.Low!.Value, 0.05);      // a quarter of the draws: 0.01 of the critical value, times an sd of 1 to 2 dB
            }
        }
    }

    [Fact]
    public void An_excluded_take_put_back_gives_the_trial_that_never_left_it_out()
    {
        var excluded = _document.Takes.First(t => t.Condition == "laurel");
        var results = Run(_document with { Takes = [.. _document.Takes.Select(t => t == excluded ? t with { Excluded = "a shout" } : t)] });
        var answer = Assert.Single(results.Robustness.WithExcluded);
        Assert.Equal(excluded.Id, answer.Changed);
        Assert.Equal(Loss(results, "laurel"), answer.Losses[0].Value, 1e-9);
        Assert.Equal(Loss(_results, "laurel"), answer.Losses[0].Changed, 1e-9);
        Assert.Contains("a shout", answer.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Excluded_takes_are_put_back_one_at_a_time()
    {
        var excluded = _document.Takes.Where(t => t.Condition == "laurel").Take(2).ToList();
        TrialResults Without(params TakeEntry[] left) => Run(_document with { Takes = [.. _document.Takes.Select(t => left.Contains(t) ? t with { Excluded = "a shout" } : t)] });
        var answers = Without([.. excluded]).Robustness.WithExcluded;
        Assert.Equal(excluded.Select(e => e.Id), answers.Select(a => a.Changed));
        Assert.Equal(Loss(Without(excluded[1]), "laurel"), answers[0].Losses[0].Changed, 1e-9);
        Assert.Equal(Loss(Without(excluded[0]), "laurel"), answers[1].Losses[0].Changed, 1e-9);
    }

    [Fact]
    public void Leaving_out_one_of_three_equal_runs_leaves_the_losses()
    {
        // The first run three times over: no donning tells anything that the others do not.
        var first = _document.Takes.Where(t => t.Run == "row-1").ToList();
        var takes = _document.Runs.SelectMany((run, i) => first.Select(t => t with { Id = $"{t.Id}-{i}", Run = run.Id, Fit = t.Fit is null ? null : $"{t.Fit}-{i}" }));
        var results = Run(_document with { Takes = [.. takes] });
        Assert.Equal(9, results.Robustness.WithoutDonning.Count);
        // Brackets of the run that lost a donning still pull on its drift a little.
        Assert.All(results.Robustness.WithoutDonning.SelectMany(w => w.Losses), l => Assert.Equal(l.Value, l.Changed, 0.1));
    }

    [Fact]
    public void A_reading_far_out_is_named_and_used()
    {
        Assert.DoesNotContain(_results.Problems, p => p.Code == "EFF-001");
        var wrong = _document.Takes.First(t => t.Condition == "laurel");
        var results = Run(_document with { Takes = [.. _document.Takes.Select(t => t == wrong ? t with { ReadingA = t.ReadingA + 12 } : t)] });
        var problem = Assert.Single(results.Problems, p => p.Code == "EFF-001");
        Assert.Equal($"take {wrong.Id}", problem.Where);
        Assert.True(results.Takes.Single(t => t.Entry.Id == wrong.Id).Used);
        // 12 dB in one of six readings of Laurel, all of one weight in a balanced design: about 2 dB of its loss.
        Assert.InRange(problem.EffectDecibels!.Value, -2.8, -1.2);
    }

    [Fact]
    public void With_one_donning_each_nothing_is_left_out_and_that_is_said()
    {
        var results = Run(_document with { Takes = [.. _document.Takes.Where(t => t.Run == "row-1")], Runs = [.. _document.Runs.Take(1)] });
        Assert.Empty(results.Robustness.WithoutDonning);
        Assert.Contains("put on once", results.Robustness.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void A_cap_is_told_as_one_thing_that_changes()
    {
        var pair = _results.Pairs.Single(p => p.Only is not null);
        Assert.Equal(("juniper", "juniper-cap", OnlyDifference.WornWith), (pair.First, pair.Second, pair.Only!.Value));
        Assert.Matches("^(Cap (costs|adds)|What cap costs)", pair.OnlySentence);
    }

    private static double Loss(TrialResults results, string condition) => results.Conditions.Single(c => c.Condition.Id == condition).Loss.A!.General!.Value;

    private static TrialResults Run(TrialDocument document) => Analysis.Run(new(document, new Dictionary<string, Signals.Recordings.Recording>(), [], [], "test"));
}
