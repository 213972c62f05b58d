using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Exchanged microphones: the one named outside behaves as if under the device, or the two ears changed places between runs.</summary>
/// <remarks>Outside: in a covered take the ear loses less than 3 dB at 500 Hz to 4 kHz against open takes, and the outside microphone more than
/// 8 dB. Ears: the difference left − right of open takes, band by band from 100 Hz to 8 kHz, is above 1.5 dB and turns its sign from one recording to another
/// (correlation below −0.7). Common practice, no source; set on synthetic takes.</remarks>
internal static class SwapCheck
{
    private const double MostAtEar = 3;
    private const double LeastOutside = 8;
    private const double LeastEarDifference = 1.5;
    private const double TurnedCorrelation = -0.7;
    private static readonly IReadOnlyList<Band> _bands = BandRange.Between(500, 4000);
    private static readonly IReadOnlyList<Band> _wide = BandRange.Between(100, 8000);

    public static IEnumerable<Finding> Check(ComparedTakes trial) => [.. Outside(trial), .. Ears(trial)];

    private static IEnumerable<Finding> Outside(ComparedTakes trial)
    {
        foreach (var run in trial.Takes.GroupBy(t => (t.Entry.Run, t.Entry.Wearer)))
        {
            var open = run.Where(t => t.Entry.Condition == TrialDocument.OpenEar && t.Entry.Excluded is null && t.Outside is not null).ToList();
            if (open.Count == 0) continue;
            foreach (var take in run.Where(t => t.Entry.Condition != TrialDocument.OpenEar && t.Outside is not null))
                for (var ear = 0; ear < trial.Ears; ear++)
                {
                    var atEar = Robust.Median(open.Select(o => Mean(o.Ears[ear]))) - Mean(take.Ears[ear]);
                    var outside = Robust.Median(open.Select(o => Mean(o.Outside!))) - Mean(take.Outside!);
                    if (!(atEar < MostAtEar && outside > LeastOutside)) continue;
                    yield return trial.Finding(take, ear, "TAK-032", Severity.Warning, Invariant($"the device takes {atEar:0.0;−0.0} dB off at the ear and {outside:0.0;−0.0} dB at the microphone outside"),
                        "a loss at the ear, none outside", "Ear and outside are exchanged. Correct the numbers in 'channels', or the plugs of this recording.", outside - atEar);
                }
        }
    }

    private static IEnumerable<Finding> Ears(ComparedTakes trial)
    {
        if (trial.Ears < 2) yield break;
        var signatures = trial.Takes.Where(t => t.Entry.Condition == TrialDocument.OpenEar && t.Entry.Excluded is null && _wide.All(b => t.Ears[0].Bands.ContainsKey(b) && t.Ears[1].Bands.ContainsKey(b)))
            .GroupBy(t => (t.Entry.Recording, t.Entry.Wearer)).Select(g => (g.Key.Recording, g.Key.Wearer, Takes: g.ToList(), Difference: _wide.Select(b => g.Average(t => t.Ears[0].Bands[b] - t.Ears[1].Bands[b])).ToArray())).ToList();
        foreach (var wearer in signatures.Where(s => Size(s.Difference) > LeastEarDifference).GroupBy(s => s.Wearer))
        {
            var clear = wearer.ToList();
            bool Turned(int i, int j) => Correlation(clear[i].Difference, clear[j].Difference) < TurnedCorrelation;
            // The fewer are named; of two alike in number those unlike the first, which may as well be the exchanged one.
            var unlike = Enumerable.Range(0, clear.Count).ToLookup(i => Turned(0, i));
            var (named, others) = unlike[true].Count() <= unlike[false].Count() ? (unlike[true], unlike[false]) : (unlike[false], unlike[true]);
            foreach (var i in named.Where(i => 2 * others.Count(j => Turned(i, j)) > others.Count()))
                yield return new(new("TAK-038", Severity.Warning, Invariant($"recording {clear[i].Recording}, open-ear takes"), Invariant($"left minus right is the opposite of that in other recordings ({Size(clear[i].Difference):0.0} dB)"),
                    "the same ears on the same channels", "The two ear microphones changed places. The mean of both ears stands; say which is which before single ears are read.", 0), [.. clear[i].Takes.Select(t => t.Entry.Id)]);
        }
    }

    private static double Mean(ChannelLevels levels)
    {
        var each = _bands.Where(levels.Bands.ContainsKey).Select(b => levels.Bands[b]).ToList();
        return each.Count == 0 ? 0 : each.Average();
    }

    private static double Size(double[] difference) => Math.Sqrt(difference.Average(d => d * d));

    // About zero, not about the mean: an even difference between the ears turns its sign as well.
    private static double Correlation(double[] a, double[] b) => a.Zip(b, (x, y) => x * y).Sum() / Math.Max(1e-12, Math.Sqrt(a.Sum(x => x * x) * b.Sum(y => y * y)));
}
