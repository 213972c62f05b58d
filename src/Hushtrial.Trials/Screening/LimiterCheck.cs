using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>A limiter that holds the peaks at one height: far more moments touch the largest peak than noise would let them.</summary>
/// <remarks>Share of 10 ms blocks whose largest sample lies within 0.5 % of the largest of the take: noise has one or two, a limiter many.
/// A pure tone has them too, so the peak factor of the whole must be that of noise (above 6 dB), or more samples must stand at that height than a tone has there, and not nine tenths of the energy may stand in steady lines. Threshold 1 %, and six blocks.
/// Six blocks are enough, and steadier sound than that is judged, where they stand out from those just below: more than four times as many as in a window of the same width in the 4.5 % under it.
/// Heights of noise grow fewer towards the largest, and a hundredth of the energy as noise blurs those of steady lines over more than such a window. Limits: common practice, no source;
/// set on synthetic takes.</remarks>
internal static class LimiterCheck
{
    private const double MostShare = 0.01;
    private const int Fewest = 6;
    private const double Within = 0.995;
    private const double LeastPeakFactor = 6;
    private const double MostTonal = 0.9;
    private const double MostTonalOfSpike = 0.99;
    private const double SpikeFrom = 0.95;
    private const double LeastSpike = 4;
    private const double LineOverNoise = 20;

    public static IEnumerable<Problem> Check(ChannelTake take)
    {
        var shape = take.Signal.Shape;
        if (shape.BlockPeaks.Count < 100 || shape.Peak <= 0) yield break;
        var touching = shape.BlockPeaks.Count(p => p >= Within * shape.Peak);
        var share = touching / (double)shape.BlockPeaks.Count;
        var factor = 20 * Math.Log10(shape.Peak) - Robust.Decibels(shape.BlockMeanSquares.Average());
        var below = shape.BlockPeaks.Count(p => p >= SpikeFrom * shape.Peak && p < Within * shape.Peak) * (1 - Within) / (Within - SpikeFrom);
        var spike = touching > LeastSpike * below;
        var tone = factor < LeastPeakFactor && !ClippingCheck.IsDeeplyCut(shape, take.Seconds * take.Signal.SampleRate);
        if (touching < Fewest || tone || (share <= MostShare && !spike) || TonalShare(take.Signal) > (spike ? MostTonalOfSpike : MostTonal)) yield break;
        yield return take.Finding("TAK-037", take.Take.Excluded is null ? Severity.Error : Severity.Note, Invariant($"peaks that end at one height, {(20 * Math.Log10(shape.Peak)) + take.Signal.FullScale:0.0} dB, in {100 * share:0.#} % of the moments"),
            "peaks of many heights, as noise has", "A limiter was at work, and loud takes read too low. While the take is used no insertion loss of this trial may be published: leave it out, switch the limiter off, and record with less gain.", null);
    }

    /// <summary>Share of the energy below 1.5 kHz that stands in lines, 0…1: a few steady tones alone come back to one height by themselves.</summary>
    private static double TonalShare(ChannelSignal signal)
    {
        if (signal.LowDensity is not { Count: > 60 } density) return 0;
        double lines = 0, all = 0;
        for (var i = 0; i < density.Count; i++)
        {
            all += density[i];
            var around = Enumerable.Range(Math.Max(0, i - 25), Math.Min(density.Count, i + 26) - Math.Max(0, i - 25)).Select(k => density[k]);
            if (density[i] > LineOverNoise * Robust.Median(around)) lines += density[i];
        }
        return all > 0 ? lines / all : 0;
    }
}
