using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Active electronics that are overloaded or oscillate: bursts more than 10 dB above the running level below 50 Hz.</summary>
/// <remarks>125 ms levels of the bands 20 to 40 Hz together against their median. Limit: domain knowledge of the trade; chance alone would need
/// a factor of ten over five degrees of freedom.</remarks>
internal static class OverloadCheck
{
    private const double Above = 10;

    public static IEnumerable<Problem> Check(ChannelTake take)
    {
        if (!take.Active || take.Steps(BandRange.Between(20, 40)) is not { Length: >= 8 } steps) yield break;
        var median = Robust.Median(steps);
        var bursts = steps.Index().Where(s => s.Item > median * Math.Pow(10, Above / 10)).ToList();
        if (bursts.Count == 0 || median <= 0) yield break;
        var a = take.Signal.History.MeanSquareA;
        var calm = Enumerable.Range(0, steps.Length).Except(bursts.Select(b => b.Index)).Average(i => (double)a[i]);
        yield return take.Finding("TAK-030", Severity.Warning,
            Invariant($"{bursts.Count} bursts below 50 Hz up to {Robust.Decibels(bursts.Max(b => b.Item) / median):0} dB above the running level, {100.0 * bursts.Count / steps.Length:0.#} % of the time"),
            "no burst above 10 dB", "The active system was overloaded or its seal opened. Say so in the report; a take without bursts shows what it does when it works.",
            calm > 0 ? Robust.Decibels(a.Average(m => (double)m)) - Robust.Decibels(calm) : null, take.SecondOf(bursts[0].Index));
    }
}
