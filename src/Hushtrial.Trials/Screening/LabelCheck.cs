using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>A take under a wrong name: what it keeps out looks like another condition's and not like its own.</summary>
/// <remarks>Method: distance (root mean square over the bands from 50 Hz to 4 kHz) to the own condition's median above max(6 dB, 2.5 times the usual
/// distance), and to the nearest other below 0.45 of it. Conditions with nearly the same spectrum cannot be told apart so.</remarks>
internal static class LabelCheck
{
    private const double Least = 6;
    private const double Usual = 2.5;
    private const double Nearest = 0.45;
    private static readonly IReadOnlyList<Band> _bands = BandRange.Between(50, 4000);

    public static IEnumerable<Finding> Check(ComparedTakes trial)
    {
        for (var ear = 0; ear < trial.Ears; ear++)
        {
            var read = trial.Takes.Where(t => trial.Loss(t, ear) is { } l && _bands.All(l.ContainsKey)).ToDictionary(t => t, t => _bands.Select(b => trial.Loss(t, ear)![b]).ToArray());
            var conditions = read.Keys.Where(t => t.Entry.Excluded is null).GroupBy(t => t.Entry.Condition).ToList();
            double[]? Centre(string condition, TakeLevels without)
            {
                var takes = conditions.First(c => c.Key == condition).Where(t => t != without).ToList();
                return takes.Count < 2 ? null : [.. _bands.Select((_, i) => Robust.Median(takes.Select(t => read[t][i])))];
            }
            var own = read.Keys.Where(t => conditions.Any(c => c.Key == t.Entry.Condition)).Select(t => (Take: t, Centre: Centre(t.Entry.Condition, t)))
                .Where(t => t.Centre is not null).Select(t => (t.Take, Distance: Distance(read[t.Take], t.Centre!))).ToList();
            if (own.Count < 4) continue;
            var limit = Math.Max(Least, Usual * Robust.Median(own.Select(o => o.Distance)));
            foreach (var (take, distance) in own.Where(o => o.Distance > limit))
            {
                var nearest = conditions.Where(c => c.Key != take.Entry.Condition).Select(c => (c.Key, Centre: Centre(c.Key, take))).Where(c => c.Centre is not null)
                    .Select(c => (c.Key, Distance: Distance(read[take], c.Centre!))).DefaultIfEmpty(("", double.PositiveInfinity)).MinBy(c => c.Item2);
                if (nearest.Item2 >= Nearest * distance) continue;
                yield return trial.Finding(take, ear, "TAK-027", Severity.Warning,
                    Invariant($"what it keeps out lies {distance:0.0} dB from its own condition and {nearest.Item2:0.0} dB from {Name(nearest.Item1)}"),
                    Invariant($"within {limit:0.0} dB of its own condition"), "Look at the order card: the take may carry a wrong name.", distance);
            }
        }
    }

    private static string Name(string condition) => condition == TrialDocument.OpenEar ? "the open ear" : condition;

    private static double Distance(double[] a, double[] b) => Math.Sqrt(a.Zip(b, (x, y) => (x - y) * (x - y)).Average());
}
