using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Finds speech and squelch bursts at the ear and works out the levels without them.</summary>
/// <remarks>125 ms A-levels more than max(4 dB, 4 standard deviations) above the quiet part of the take. The quiet part is judged by the lower
/// quantiles (25 and 5 %), which speech for up to half of the time hardly moves. Together at least 250 ms; pauses of up to 0.75 s between
/// and 125 ms at each end belong to it. A stretch that reaches an end of the take and fills more than 40 % of it is a change of level, not a burst.
/// Common practice, no source; set on synthetic takes.</remarks>
internal static class Gating
{
    private const double LeastAbove = 4;
    private const double Deviations = 4;
    private const int LongestPause = 6;
    private const int LeastSteps = 2;
    private const double MostShare = 0.7;
    private const double MostAtEnd = 0.4;
    // Standard normal quantiles at 25 and 5 %.
    private const double Quarter = 0.674;
    private const double Twentieth = 1.645;

    /// <summary>The steps that are speech or bursts on one channel; null when there are none.</summary>
    public static bool[]? Find(ChannelTake take)
    {
        var levels = take.Signal.History.MeanSquareA.Select(m => Robust.Decibels(m)).ToArray();
        var n = levels.Length;
        if (n < 16) return null;
        var (quarter, twentieth) = (Robust.Quantile(levels, 0.25), Robust.Quantile(levels, 0.05));
        var sd = (quarter - twentieth) / (Twentieth - Quarter);
        var threshold = quarter + (Quarter * sd) + Math.Max(LeastAbove, Deviations * sd);
        var gated = new bool[n];
        var any = false;
        for (var i = 0; i < n; i++)
        {
            if (levels[i] <= threshold) continue;
            // One burst: steps above with pauses between.
            var (last, above) = (i, 0);
            for (var j = i; j < n && j - last <= LongestPause; j++)
                if (levels[j] > threshold) (last, above) = (j, above + 1);
            var (from, to) = (Math.Max(0, i - 1), Math.Min(n - 1, last + 1));
            var atEnd = (from == 0 || to == n - 1) && to - from + 1 > MostAtEnd * n;
            if (above >= LeastSteps && !atEnd)
            {
                for (var j = from; j <= to; j++) gated[j] = true;
                any = true;
            }
            i = last;
        }
        return any && gated.Count(g => g) <= MostShare * n ? gated : null;
    }

    /// <summary>Levels of one channel in the steps that are not gated.</summary>
    public static ChannelLevels Without(ChannelLevels levels, bool[] gated)
    {
        var signal = levels.Signal!;
        var history = signal.History;
        double? Rest(IReadOnlyList<float> meanSquares)
        {
            var (sum, seconds) = (0.0, 0.0);
            for (var i = 0; i < meanSquares.Count; i++)
            {
                // The other recorder's steps may be one more.
                if (i >= gated.Length || gated[i]) continue;
                var length = i == meanSquares.Count - 1 ? history.LastStepSeconds : history.StepSeconds;
                (sum, seconds) = (sum + (meanSquares[i] * length), seconds + length);
            }
            return sum > 0 ? Robust.Decibels(sum / seconds) + signal.FullScale : null;
        }
        var bands = new Dictionary<Band, double>();
        foreach (var (index, band) in history.Bands.Index())
            if (levels.Bands.ContainsKey(band) && Rest(history.Third(index)) is { } level) bands[band] = level;
        return new(levels.Channel, Rest(history.MeanSquareA), Rest(history.MeanSquareC), bands);
    }

    /// <summary>The stretches in seconds of the recording.</summary>
    public static IReadOnlyList<GatedSpan> Spans(ChannelTake take, bool[] gated)
    {
        var spans = new List<GatedSpan>();
        for (var i = 0; i < gated.Length; i++)
        {
            if (!gated[i]) continue;
            var end = i;
            while (end + 1 < gated.Length && gated[end + 1]) end++;
            spans.Add(new(take.SecondOf(i), Math.Min(take.SecondOf(end + 1), take.SecondOf(0) + take.Seconds)));
            i = end;
        }
        return spans;
    }

    /// <summary>The finding for one ear.</summary>
    public static Problem Finding(ChannelTake take, IReadOnlyList<GatedSpan> spans, ChannelLevels without)
    {
        var effect = take.Levels.A - without.A;
        return take.Finding("TAK-019", Severity.Warning,
            Invariant($"speech or bursts in {spans.Sum(s => s.To - s.From):0.0} s of {take.Seconds:0.0} s; as heard the take is {effect:0.0} dB(A) above its noise only"),
            "the cabin's noise alone", take.Take.LeftOut is null
                ? "Both are reported. The estimate uses what was heard unless the take is shortened or left out; the results show the answer with noise only."
                : "Both are reported. The take is left out: the result contains neither.", effect, spans[0].From);
    }
}
