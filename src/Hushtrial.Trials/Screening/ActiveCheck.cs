using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>An active system that was not running: in an active take the low frequencies are as in passive ones.</summary>
/// <remarks>Method: mean gain of 63 to 250 Hz, active over passive in the same donning, below 3 dB. Without a passive take of the donning: a loss
/// at 63 to 250 Hz that lies 6 dB further below the other active takes of the condition than the one at 1 to 4 kHz does, and 4 dB below them.</remarks>
internal static class ActiveCheck
{
    private const double LeastGain = 3;
    private const double LeastDeficit = 4;
    private const double LeastContrast = 6;
    private static readonly IReadOnlyList<Band> _low = BandRange.Between(63, 250);
    private static readonly IReadOnlyList<Band> _high = BandRange.Between(1000, 4000);

    public static IEnumerable<Finding> Check(ComparedTakes trial)
    {
        foreach (var take in trial.Takes.Where(trial.IsActive))
            for (var ear = 0; ear < trial.Ears; ear++)
            {
                var active = trial.ConditionOf(take)!;
                var passive = trial.Takes.Where(t => t.Entry.Fit == take.Entry.Fit && t.Entry.Run == take.Entry.Run && t.Entry.Excluded is null
                    && trial.ConditionOf(t) is { Mode: "passive" } c && c.Device == active.Device).ToList();
                var usual = Mean(trial, trial.Others(take), ear, _low) - Mean(trial, [take], ear, _low);
                if (passive.Count > 0)
                {
                    var gain = Mean(trial, [take], ear, _low) - Mean(trial, passive, ear, _low);
                    if (gain < LeastGain)
                        yield return Off(trial, take, ear, Invariant($"{gain:0.0;−0.0} dB of active reduction at 63 to 250 Hz against the passive takes of the donning"), usual);
                }
                else if (usual > LeastDeficit && usual - (Mean(trial, trial.Others(take), ear, _high) - Mean(trial, [take], ear, _high)) > LeastContrast)
                    yield return Off(trial, take, ear, Invariant($"{usual:0.0} dB less loss at 63 to 250 Hz than in the other active takes, and not so higher up"), usual);
            }
    }

    private static Finding Off(ComparedTakes trial, TakeLevels take, int ear, string found, double? effect) =>
        trial.Finding(take, ear, "TAK-028", Severity.Warning, found, "an active system that works", "The system was off, its battery empty, or its seal open. Leave the take out, or name it passive if that is what it was.", effect);

    private static double? Mean(ComparedTakes trial, IReadOnlyList<TakeLevels> takes, int ear, IReadOnlyList<Band> bands)
    {
        var each = takes.Select(t => trial.Loss(t, ear, bands)).OfType<double>().ToList();
        return each.Count == 0 ? null : Robust.Median(each);
    }
}
