using Hushtrial.Reporting.Figures;
using Hushtrial.Tests.Samples;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Figures;

public sealed class LadderTests
{
    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public void Lines_join_only_what_differs_and_every_difference_has_a_way_down(string name)
    {
        var results = All.Of(name);
        var ladder = Ladder.Of(results);
        var shown = ladder.Steps.SelectMany(s => s).Select(c => c.Condition.Id).ToHashSet();
        foreach (var pair in results.Pairs.Where(p => shown.Contains(p.First) && shown.Contains(p.Second)))
        {
            if (pair.In(results.Document.Scope) is not { } verdict) continue;
            var (better, worse) = verdict.Difference.Value > 0 ? (pair.First, pair.Second) : (pair.Second, pair.First);
            var different = verdict.Verdict is VerdictKind.Different or VerdictKind.DifferentWithinMargin;
            if (different) Assert.True(Reaches(ladder, better, worse), $"{better} is better than {worse}");
            else Assert.DoesNotContain((better, worse), ladder.Lines);
        }
        Assert.Equal(ladder.Steps.Count, ladder.Sentences.Count);
    }

    [Fact]
    public void Conditions_on_one_step_are_said_to_be_unresolved_never_equal()
    {
        var ladder = Ladder.Of(Helicopter.Results());
        Assert.Equal(["birch-on", "cedar-on"], ladder.Steps[0].Select(c => c.Condition.Id));
        Assert.Contains("which of them is best is not resolved", ladder.Sentences[0], StringComparison.Ordinal);
        Assert.All(ladder.Sentences, s => Assert.DoesNotContain("equal", s, StringComparison.Ordinal));
    }

    private static bool Reaches(Ladder ladder, string from, string to) => ladder.Lines.Where(l => l.Better == from).Any(l => l.Worse == to || Reaches(ladder, l.Worse, to));
}
