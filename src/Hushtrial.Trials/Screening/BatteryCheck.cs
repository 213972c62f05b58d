using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Active electronics that switch off (or on) inside a take: a step of the level at 50 to 280 Hz that the higher bands do not share.</summary>
/// <remarks>Method: more than 6 dB between the medians of the 125 ms levels before and after, each side at least 1 s; at 1 to 4 kHz less than 3 dB.</remarks>
internal static class BatteryCheck
{
    private const double LeastStep = 6;
    private const double MostElsewhere = 3;
    private const int LeastSteps = 8;

    public static IEnumerable<Problem> Check(ChannelTake take)
    {
        if (!take.Active || take.Steps(BandRange.Between(63, 250)) is not { } low || take.Steps(BandRange.Between(1000, 4000)) is not { } high || low.Length < 2 * LeastSteps) yield break;
        var levels = low.Select(Robust.Decibels).ToArray();
        // The split with the largest difference of means; medians then say how large it is.
        var total = levels.Sum();
        var (best, at, before) = (0.0, 0, 0.0);
        for (var i = 0; i < levels.Length; i++)
        {
            if (i >= LeastSteps && i <= levels.Length - LeastSteps)
            {
                var weight = Math.Sqrt(i * (double)(levels.Length - i));
                var difference = Math.Abs((before / i) - ((total - before) / (levels.Length - i))) * weight;
                if (difference > best) (best, at) = (difference, i);
            }
            before += levels[i];
        }
        if (at == 0) yield break;
        var step = Robust.Median(levels[at..]) - Robust.Median(levels[..at]);
        var elsewhere = Robust.Median(high[at..].Select(Robust.Decibels)) - Robust.Median(high[..at].Select(Robust.Decibels));
        if (Math.Abs(step) <= LeastStep || Math.Abs(elsewhere) >= MostElsewhere) yield break;
        var a = take.Signal.History.MeanSquareA;
        var (first, second) = (a.Take(at).Average(m => (double)m), a.Skip(at).Average(m => (double)m));
        yield return take.Finding("TAK-029", Severity.Warning, Invariant($"a step of {step:+0.0;−0.0} dB at 63 to 250 Hz inside the take"), "an active system that stays on",
            "The battery died or the switch was moved. Split the take at this second, and name the halves after what was on.",
            Robust.Decibels(a.Average(m => (double)m)) - Robust.Decibels(Math.Min(first, second)), take.SecondOf(at));
    }
}
