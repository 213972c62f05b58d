using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>A cushion that leaks: low frequencies come in that the best donning of the same condition kept out, and higher ones do not.</summary>
/// <remarks>Mean loss at 50 to 250 Hz more than 3 dB below the best other donning's, and that deficit 3.5 dB larger than the one at 1 to 4 kHz, both times the
/// scatter factor of the kind of device (method 2.1: 1, 1.35, 2). The second limit does the telling: what moves all frequencies of a donning alike drops out of it. An active system that is off looks alike and is told by its own check too.
/// Common practice, no source; set on synthetic takes.</remarks>
internal static class LeakCheck
{
    private const double LeastDeficit = 3;
    private const double LeastContrast = 3.5;
    private static readonly IReadOnlyList<Band> _low = BandRange.Between(50, 250);
    private static readonly IReadOnlyList<Band> _high = BandRange.Between(1000, 4000);

    public static IEnumerable<Finding> Check(ComparedTakes trial)
    {
        foreach (var take in trial.Takes.Where(t => t.Entry.Condition != TrialDocument.OpenEar))
            for (var ear = 0; ear < trial.Ears; ear++)
            {
                if (trial.Loss(take, ear) is not { } loss || !_low.All(loss.ContainsKey)) continue;
                var best = trial.Others(take).Where(o => (o.Entry.Fit, o.Entry.Run) != (take.Entry.Fit, take.Entry.Run)).GroupBy(o => (o.Entry.Fit, o.Entry.Run))
                    .Select(d => (Low: Each(trial, d, ear, _low), High: Each(trial, d, ear, _high))).Where(d => d is { Low: not null, High: not null })
                    .DefaultIfEmpty().MaxBy(d => d.Low ?? double.NegativeInfinity);
                var (low, high) = (best.Low - trial.Loss(take, ear, _low), best.High - trial.Loss(take, ear, _high));
                var factor = trial.ScatterFactor(take);
                if (!(low > factor * LeastDeficit && low - high > factor * LeastContrast)) continue;
                yield return trial.Finding(take, ear, "TAK-031", Severity.Warning, Invariant($"{low:0.0;−0.0} dB less loss at 50 to 250 Hz than in the best donning of its condition, {high:0.0;−0.0} dB less at 1 to 4 kHz"),
                    Invariant($"within {factor * LeastDeficit:0.0} dB of the best donning"), "The cushion leaked: hair, spectacles, a cable, or a bad seat. If this is how the device is worn, keep it; it is part of the scatter. Else put it on again and leave the take out.", low);
            }
    }

    private static double? Each(ComparedTakes trial, IEnumerable<TakeLevels> takes, int ear, IReadOnlyList<Band> bands)
    {
        var each = takes.Select(t => trial.Loss(t, ear, bands)).OfType<double>().ToList();
        return each.Count == 0 ? null : each.Average();
    }
}
