using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Statistics.Distributions;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Flat tops at full scale, or below it where something before the recorder clipped, and how much room was left above the take.</summary>
/// <remarks>Method: samples within 0.05 % of the largest: at least 12, and two in a row or more than 20 in a million. Below full scale the rule asks for
/// four separate moments and the peak factor of noise (above 6 dB), because a single slow peak is flat and a pure tone always meets one height; and for a
/// signal of at least 100 steps of 16 bits, so that coarse steps are not taken for flat tops. A deep cut takes the peak factor down as well: below 6 dB more than 4 % of the
/// samples and three in a row tell it. A sine has 2 arccos(0.9995)/π = 2.0 % of them there, and where it has more, for a few samples make up its period, no three in a row.</remarks>
public static class ClippingCheck
{
    private const int Fewest = 12;
    private const double Share = 2e-5;
    private const double LeastPeak = 100 / 32768.0;
    private const int LeastMoments = 4;
    private const double LeastPeakFactor = 6;
    private const double MoreThanATone = 0.04;
    private const int MostInARowOfATone = 2;
    private const double LittleHeadroom = Planning.BeforeFlight.RoomAboveRead;

    /// <summary>What counts as full scale, full scale = 1: within 0.05 % of it.</summary>
    public const double FullScale = 0.9995;

    /// <summary>Of the finding of flat tops.</summary>
    public const string Code = "TAK-010";

    internal static IEnumerable<Problem> Check(ChannelTake take)
    {
        var shape = take.Signal.Shape;
        var most = take.Signal.FullScale;
        var (peak, unit) = (Peak(shape, most), Unit(most));
        if (FlatTops(shape, take.Seconds * take.Signal.SampleRate, most, take.Where()) is { } clipped) yield return clipped;
        else if (most - peak < LittleHeadroom && shape.Peak < FullScale)
            yield return take.Finding("TAK-015", Severity.Note, Invariant($"a peak of {peak:0.0;−0.0} {unit}, {most - peak:0.0} dB below the most that can be recorded ({most:0.0;−0.0} {unit})"),
                "at least 3 dB of room above the loudest peak", "Nothing is lost in this take; record with some dB less gain next time.");
    }

    /// <summary>The finding of flat tops; null when there are none.</summary>
    /// <param name="shape">The shape of the samples.</param>
    /// <param name="count">Their number.</param>
    /// <param name="fullScale">Level of 0 dB re full scale, dB; 0 where nothing was calibrated.</param>
    /// <param name="where">The place for the message.</param>
    public static Problem? FlatTops(SampleShape shape, double count, double fullScale, string where)
    {
        ArgumentNullException.ThrowIfNull(shape);
        if (!IsClipped(shape, count)) return null;
        return new(Code, Severity.Warning, where,
            Invariant($"{shape.AtPeak} samples at {(shape.Peak >= FullScale ? "full scale" : Invariant($"{100 * shape.Peak:0.#} % of full scale, a flat top below it"))}, up to {shape.LongestAtPeak} in a row; peaks end at {Math.Round(Peak(shape, fullScale), 1) + 0.0:0.0;−0.0} {Unit(fullScale)}"),
            "no flat tops", "The take reads too low, and clipping adds sound in weak high bands. Record with less gain; leave the take out if the level matters.", Lost(shape.AtPeak / count));
    }

    /// <summary>Whether samples have flat tops.</summary>
    /// <param name="shape">Their shape.</param>
    /// <param name="count">Their number.</param>
    public static bool IsClipped(SampleShape shape, double count)
    {
        ArgumentNullException.ThrowIfNull(shape);
        return shape.Peak >= FullScale ? IsAtFullScale(shape.AtPeak, shape.LongestAtPeak, count)
            : shape.AtPeak >= Fewest && shape.Peak > LeastPeak && shape.LongestAtPeak >= 2 && shape.PeakRuns >= LeastMoments && (PeakFactor(shape) > LeastPeakFactor || IsDeeplyCut(shape, count));
    }

    /// <summary>Whether more samples stand at the largest height, and more in a row, than those of a tone.</summary>
    /// <param name="shape">The shape of the samples.</param>
    /// <param name="count">Their number.</param>
    internal static bool IsDeeplyCut(SampleShape shape, double count) => shape.AtPeak > MoreThanATone * count && shape.LongestAtPeak > MostInARowOfATone && shape.PeakRuns >= LeastMoments;

    /// <summary>Whether so many samples at full scale are flat tops.</summary>
    /// <param name="atPeak">Their number.</param>
    /// <param name="longest">Most of them in a row.</param>
    /// <param name="count">Number of all samples.</param>
    public static bool IsAtFullScale(long atPeak, int longest, double count) => atPeak >= Fewest && (longest >= 2 || atPeak > Share * count);

    private static double PeakFactor(SampleShape shape) => shape.BlockMeanSquares is { Count: > 0 } blocks
        ? (20 * Math.Log10(shape.Peak)) - Robust.Decibels(blocks.Average(b => (double)b)) : 0;

    private static double Peak(SampleShape shape, double fullScale) => (20 * Math.Log10(Math.Max(shape.Peak, 1e-10))) + fullScale;

    private static string Unit(double fullScale) => fullScale == 0 ? "dB re full scale" : "dB";

    /// <summary>What a Gaussian noise loses when this share of its samples is cut off at the same height, dB, negative.</summary>
    private static double Lost(double share)
    {
        if (share >= 0.9) return -10;
        // E[min(x², c²)] = 1 − 2[cφ(c) + Q(c)] + 2c²Q(c), with 2Q(c) the share.
        var c = -Gaussian.Quantile(share / 2);
        var density = Math.Exp(-c * c / 2) / Math.Sqrt(2 * Math.PI);
        return 10 * Math.Log10(1 - (2 * c * density) - share + (c * c * share));
    }
}
