using Hushtrial.Trials.Leading;

namespace Hushtrial.Trials.Tests.Leading;

/// <summary>A run is followed from its takes alone.</summary>
public sealed class OrderProgressTests
{
    private static readonly LeadStep[] _steps =
    [
        new(1, ["open", "open"], null), new(2, ["alder", "alder"], "B4"), new(3, ["birch-off", "birch-on", "birch-on", "birch-off"], "K7"), new(4, ["open", "open"], null),
    ];

    [Fact]
    public void It_goes_step_by_step_through_the_order()
    {
        var taken = new List<LedTake>();
        var said = new List<string>();
        while (OrderProgress.Of(_steps, "F1", taken, false).Next is { } next)
        {
            said.Add($"{next.Step.Number} {next.Condition} {next.Fit} {next.Take}/{next.Of}{(next.PutOn ? " on" : "")}");
            taken.Add(new(next.Condition, next.Fit, TakeFate.Kept));
        }
        Assert.Equal(["1 open  1/2 on", "1 open  2/2", "2 alder F1-2 1/2 on", "2 alder F1-2 2/2", "3 birch-off F1-3 1/4 on", "3 birch-on F1-3 2/4", "3 birch-on F1-3 3/4", "3 birch-off F1-3 4/4", "4 open  1/2 on", "4 open  2/2"], said);
    }

    [Fact]
    public void Again_and_aborted_takes_are_taken_again()
    {
        LedTake[] open = [new("open", null, TakeFate.Kept), new("open", null, TakeFate.Kept)];
        var again = OrderProgress.Of(_steps, "F1", [.. open, new("alder", "F1-2", TakeFate.Again)], false).Next!;
        Assert.Equal(("F1-2", 1, false), (again.Fit, again.Take, again.PutOn));
        var stopped = OrderProgress.Of(_steps, "F1", [.. open, new("alder", "F1-2", TakeFate.Aborted)], false).Next!;
        Assert.Equal(("F1-2", 1, false), (stopped.Fit, stopped.Take, stopped.PutOn));
        var leaked = OrderProgress.Of(_steps, "F1", [.. open, new("alder", "F1-2", TakeFate.AgainPutOn)], false).Next!;
        Assert.Equal(("F1-2b", 1, true), (leaked.Fit, leaked.Take, leaked.PutOn));
        // What was put on anew stays: the second take is of the same donning.
        var then = OrderProgress.Of(_steps, "F1", [.. open, new("alder", "F1-2", TakeFate.AgainPutOn), new("alder", "F1-2b", TakeFate.Kept)], false).Next!;
        Assert.Equal(("F1-2b", 2, false), (then.Fit, then.Take, then.PutOn));
        Assert.Equal("F1-2c", OrderProgress.Anew("F1-2b"));
    }

    [Fact]
    public void Something_else_in_between_leaves_the_order_where_it_was()
    {
        var next = OrderProgress.Of(_steps, "F1", [new("birch-on", "F1-birch-on-1", TakeFate.Kept), new("open", null, TakeFate.Kept)], false).Next!;
        Assert.Equal(("open", 2), (next.Condition, next.Take));
    }

    [Fact]
    public void An_open_ear_that_has_had_its_share_is_passed_over()
    {
        LedTake[] taken = [new("open", null, TakeFate.Kept)];
        var progress = OrderProgress.Of(_steps, "F1", taken, openEnded: true);
        Assert.Equal(("alder", 2, 2), (progress.Next!.Condition, progress.PassedOver, progress.StepsLeft));
    }

    [Fact]
    public void Step_one_is_not_step_ten()
    {
        LeadStep[] steps = [.. Enumerable.Range(1, 10).Select(n => new LeadStep(n, ["alder"], null))];
        var progress = OrderProgress.Of(steps, "F1", [new("alder", "F1-10", TakeFate.Kept)], false);
        Assert.Equal((1, 9), (progress.Next!.Step.Number, progress.StepsLeft));
    }
}
