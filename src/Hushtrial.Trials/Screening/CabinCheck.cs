using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>A cabin that changed between takes: told by the outside microphone, corrected by it band by band, and refused beyond a limit.</summary>
/// <remarks>The correction takes the outside level off every reading of the design with an outside channel. It is as good as the field's shape is steady: a
/// tenth of the change is taken as its standard uncertainty. Beyond 10 dB that is as much as two donnings differ, and the noise is another noise: the take is
/// refused. Told from 1.5 dB on. Limits: common practice, no source.
/// Without an outside channel the open-ear brackets tell it: those next to each other more than 3 dB apart, for the line between them corrects a slow drift alone; two takes of one
/// bracket more than 3 dB apart; two brackets of a run more than 5 dB apart, however slowly it came about. A bracket counts by its mean, as it does in the estimate: the largest
/// difference among all takes of a run grows with their number while nothing changes. Limits set on synthetic takes.</remarks>
public static class CabinCheck
{
    /// <summary>Share of a corrected change that stays as standard uncertainty.</summary>
    public const double UncertaintyShare = 0.1;

    /// <summary>Largest change that is corrected, dB.</summary>
    public const double MostCorrected = 10;

    /// <summary>Code of the finding that refuses a take.</summary>
    public const string RefusedCode = "TAK-039";

    private const double Told = 1.5;

    internal static IEnumerable<Finding> Check(ComparedTakes trial)
    {
        foreach (var run in trial.Readings.GroupBy(t => (t.Entry.Run, t.Entry.Wearer, Noted: ComparedTakes.IsNoted(t))))
        {
            if (trial.Document.Design == TrialDesign.OutsideChannel)
            {
                foreach (var take in run)
                    if (Change(take, [.. run]) is { } change && Math.Abs(change) > Told)
                        yield return Outside(trial, take, change);
                continue;
            }
            if (OpenBrackets.Furthest(run) is { } found)
                yield return new(new("TAK-026", Severity.Warning, $"run {run.Key.Run}, open-ear takes {string.Join(", ", found.Takes)}", found.Words, found.Expected,
                    "The cabin changed. The line between the open-ear takes around each device corrects a slow drift only; a microphone outside would correct it take by take.", found.Decibels / 2), found.Takes);
        }
    }

    /// <summary>How much louder it was outside in a take than in the median of its run, A-weighted, dB; null without an outside level.</summary>
    internal static double? Change(TakeLevels take, IReadOnlyList<TakeLevels> run)
    {
        var outside = run.Where(t => t.Entry.Excluded is null).Select(t => t.Outside?.A).OfType<double>().ToList();
        return outside.Count < 2 ? null : take.Outside?.A - Robust.Median(outside);
    }

    private static Finding Outside(ComparedTakes trial, TakeLevels take, double change) => Math.Abs(change) > MostCorrected
        ? trial.Finding(take, 0, RefusedCode, Severity.Warning, Invariant($"{change:+0.0;−0.0} dB outside against the other takes of the run"), "at most 10 dB, the most that is corrected",
            "Another noise, or a fault of the outside microphone. The take is not used; what it would do to the answer is shown.", change)
        : trial.Finding(take, 0, "TAK-026", Severity.Note, Invariant($"{change:+0.0;−0.0} dB outside against the other takes of the run"), "the same noise in all takes",
            Invariant($"Corrected band by band with the outside microphone; {UncertaintyShare * Math.Abs(change):0.0} dB stay as its standard uncertainty."), UncertaintyShare * Math.Abs(change));
}
