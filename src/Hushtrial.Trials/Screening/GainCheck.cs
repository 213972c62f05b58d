using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>A gain that was changed between takes: the whole spectrum stands higher or lower by one amount.</summary>
/// <remarks>Against another take of the same donning (or open bracket) within two minutes: a mean difference above 3.5 dB with a spread below 2 dB over the bands
/// from 50 Hz to 8 kHz; of the two the one that lies further from the other takes of the condition is named. Without such a take: above 4 dB
/// from the median of the others (method, section 6). A change of a donning is never so even.</remarks>
internal static class GainCheck
{
    private const double LeastShift = 4;
    private const double MostSpread = 2;
    private const double LeastFromSibling = 3.5;
    private static readonly IReadOnlyList<Band> _bands = BandRange.Between(50, 8000);

    public static IEnumerable<Finding> Check(ComparedTakes trial)
    {
        foreach (var take in trial.Takes)
            for (var ear = 0; ear < trial.Ears; ear++)
            {
                if (trial.Excess(take, ear) is not { } excess) continue;
                var shifts = _bands.Where(excess.ContainsKey).Select(b => excess[b]).ToList();
                if (shifts.Count < _bands.Count / 2) continue;
                var shift = shifts.Average();
                if (Sibling(trial, take) is { } sibling)
                {
                    var apart = _bands.Where(b => !trial.Reached(take, ear, b) && !trial.Reached(sibling, ear, b)).Select(b => trial.Level(take, ear, b) - trial.Level(sibling, ear, b)).OfType<double>().ToList();
                    if (apart.Count < _bands.Count / 2 || Math.Abs(apart.Average()) <= LeastFromSibling || Robust.StandardDeviation(apart) >= MostSpread) continue;
                    if (trial.Excess(sibling, ear) is { } its && Math.Abs(_bands.Where(its.ContainsKey).Select(b => its[b]).DefaultIfEmpty().Average()) > Math.Abs(shift)) continue;
                }
                else if (Math.Abs(shift) <= LeastShift || Robust.StandardDeviation(shifts) >= MostSpread) continue;
                yield return trial.Finding(take, ear, "TAK-035", Severity.Warning, Invariant($"the whole spectrum {shift:+0.0;−0.0} dB from the other takes of its condition, evenly within {Robust.StandardDeviation(shifts):0.0} dB"),
                    "the same gain in all takes", "The recorder's gain was changed, or the cabin was much louder or quieter. Leave the take out unless a tone in the same recording shows the gain.", shift);
            }
    }

    private static TakeLevels? Sibling(ComparedTakes trial, TakeLevels take) => trial.Others(take).Where(o => o.Entry.Fit == take.Entry.Fit && o.Entry.Run == take.Entry.Run && o.Clock is not null && take.Clock is not null)
        .OrderBy(o => Math.Abs(o.Clock!.Value - take.Clock!.Value)).FirstOrDefault(o => Math.Abs(o.Clock!.Value - take.Clock!.Value) < 120);
}
