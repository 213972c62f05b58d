using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Knocks on the microphone and rubbing of its cable: single moments whose peak stands far above the others'.</summary>
/// <remarks>C-weighted peaks of 125 ms steps more than 9 dB above their median, in runs of at most three steps (longer ones are speech or a
/// change of level). Gaussian noise stays within 5 dB. Five or more count as rubbing. Common practice, no source; set on synthetic takes.</remarks>
internal static class KnockCheck
{
    private const double Above = 9;
    private const int LongestRun = 3;
    private const int Rubbing = 5;

    public static IEnumerable<Problem> Check(ChannelTake take)
    {
        var history = take.Signal.History;
        var peaks = history.PeakC.Select(p => 20 * Math.Log10(Math.Max(p, 1e-10))).ToArray();
        if (peaks.Length < 8) yield break;
        var median = Robust.Median(peaks);
        var knocks = new List<int>();
        for (var i = 0; i < peaks.Length; i++)
        {
            if (peaks[i] <= median + Above) continue;
            var end = i;
            while (end + 1 < peaks.Length && peaks[end + 1] > median + Above) end++;
            if (end - i < LongestRun) knocks.AddRange(Enumerable.Range(i, end - i + 1));
            i = end;
        }
        if (knocks.Count == 0) yield break;
        var without = Enumerable.Range(0, history.Count - 1).Except(knocks).Select(i => (double)history.MeanSquareA[i]).ToList();
        var all = history.MeanSquareA.Take(history.Count - 1).Average();
        var effect = without.Count > 0 && all > 0 ? Robust.Decibels(all) - Robust.Decibels(without.Average()) : (double?)null;
        yield return take.Finding("TAK-018", Severity.Warning, Invariant($"{knocks.Count} short {(knocks.Count == 1 ? "peak" : "peaks")} up to {knocks.Max(k => peaks[k]) - median:0} dB above the others, the first here"),
            "no peak more than 9 dB above the usual one", knocks.Count >= Rubbing ? "The cable rubs or the microphone is touched. Fix the cable; leave the take out if the effect named matters."
                : "Something knocked on the microphone or its cable. Shorten the take or leave it out if the effect named matters.", effect, take.SecondOf(knocks[0]));
    }
}
