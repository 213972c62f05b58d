using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>A cabin that changed, told by the open-ear brackets of a run: what is told, what is not, and which takes are named. Invented levels; limits: common practice, no source.</summary>
public sealed class OpenBracketsTests
{
    [Fact]
    public void Two_brackets_next_to_each_other_more_than_3_dB_apart_are_told_by_their_means()
    {
        var found = Furthest(("open", 90), ("open", 91), ("oak", 70), ("open", 94), ("open", 93.6));
        Assert.NotNull(found);
        Assert.Equal(3.3, found.Decibels, 1e-9);
        Assert.Equal(["T0", "T1", "T3", "T4"], found.Takes);
        Assert.Contains("from one bracket to the next", found.Words, StringComparison.Ordinal);
        Assert.Null(Furthest(("open", 90), ("open", 91), ("oak", 70), ("open", 93.6), ("open", 93.2)));
    }

    [Fact]
    public void The_largest_difference_among_many_takes_of_a_steady_cabin_is_none()
    {
        // The range of eight takes of 0.8 dB of scatter: 3.2 dB, more than 3, and no bracket tells it.
        Assert.Null(Furthest(("open", 90), ("open", 92.4), ("oak", 70), ("open", 91), ("open", 92), ("elm", 72), ("open", 93.2), ("open", 91), ("oak", 70), ("open", 91), ("open", 92)));
    }

    [Fact]
    public void A_slow_drift_is_left_to_the_line_until_it_passes_5_dB()
    {
        (string, double)[] drift = [("open", 90), ("oak", 70), ("open", 92), ("elm", 70), ("open", 94), ("oak", 70), ("open", 94.9)];
        Assert.Null(Furthest(drift));
        var found = Furthest([.. drift, ("elm", 70), ("open", 95.2)]);
        Assert.NotNull(found);
        Assert.Equal((5.2, "T0 T8"), (Math.Round(found.Decibels, 6), string.Join(' ', found.Takes)));
    }

    [Fact]
    public void One_take_of_a_bracket_that_stands_apart_is_told()
    {
        var found = Furthest(("open", 90), ("open", 93.5), ("oak", 70), ("open", 92));
        Assert.NotNull(found);
        Assert.Equal(["T0", "T1"], found.Takes);
        Assert.Contains("in one bracket", found.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Brackets_follow_the_clock_and_takes_left_out_do_not_count()
    {
        TakeLevels[] run = [Take("A", "open", 90, 0), Take("D", "open", 95, 300), Take("B", "oak", 70, 100), Take("C", "open", 96, 200) with { Entry = Entry("C", "open", "a knock") }];
        Assert.Equal(["A", "D"], OpenBrackets.Furthest(run)!.Takes);
        // In the order as written A and D are one bracket of two takes; by the clock oak lies between them.
        Assert.Contains("to the next", OpenBrackets.Furthest(run)!.Words, StringComparison.Ordinal);
    }

    private static OpenBrackets.Difference? Furthest(params (string Condition, double A)[] takes) => OpenBrackets.Furthest([.. takes.Select((t, i) => Take($"T{i}", t.Condition, t.A, 60 * i))]);

    private static TakeLevels Take(string id, string condition, double a, double clock) => new(Entry(id, condition, null), clock, 12, [new("ear", a, null, new Dictionary<Band, double>())], null, []);

    private static TakeEntry Entry(string id, string condition, string? excluded) => new(id, "R", null, condition, condition == "open" ? null : condition, "f", 0, 12, null, null, [], null, null, excluded, null, "");
}
