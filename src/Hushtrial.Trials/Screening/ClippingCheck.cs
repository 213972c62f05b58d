using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Statistics.Distributions;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Flat tops at full scale, or below it where something before the recorder clipped, and how much room was left above the take.</summary>
/// <remarks>Method: samples within 0.05 % of the largest: at least 12, and two in a row or more than 20 in a million. Below full scale the rule asks for
/// four separate moments and the peak factor of noise (above 6 dB), because a single slow peak is flat and a pure tone always meets one height; and for a
/// signal of at least 100 steps of 16 bits, so that coarse steps are not taken for flat tops.</remarks>
internal static class ClippingCheck
{
    private const int Fewest = 12;
    private const double Share = 2e-5;
    private const double LeastPeak = 100 / 32768.0;
    private const int LeastMoments = 4;
    private const double LeastPeakFactor = 6;
    private const double LittleHeadroom = Planning.BeforeFlight.RoomAboveRead;

    /// <summary>What counts as full scale, full scale = 1: within 0.05 % of it.</summary>
    public const double FullScale = 0.9995;

    /// <summary>Of the finding of flat tops.</summary>
    public const string Code = "TAK-010";

    public static IEnumerable<Problem> Check(ChannelTake take)
    {
        var shape = take.Signal.Shape;
        var count = take.Seconds * take.Signal.SampleRate;
        var atFullScale = shape.Peak >= FullScale;
        var peak = (20 * Math.Log10(Math.Max(shape.Peak, 1e-10))) + take.Signal.FullScale;
        var most = take.Signal.FullScale;
        var unit = take.Signal.FullScale == 0 ? "dB re full scale" : "dB";
        if (IsClipped(shape, count))
        {
            var lost = Lost(shape.AtPeak / count);
            yield return take.Finding(Code, Severity.Warning,
                Invariant($"{shape.AtPeak} samples at {(atFullScale ? "full scale" : Invariant($"{100 * shape.Peak:0.#} % of full scale, a flat top below it"))}, up to {shape.LongestAtPeak} in a row; peaks end at {peak:0.0;−0.0} {unit}"),
                "no flat tops", "The take reads too low, and clipping adds sound in weak high bands. Record with less gain; leave the take out if the level matters.", lost);
        }
        else if (most - peak < LittleHeadroom && shape.Peak < FullScale)
            yield return take.Finding("TAK-015", Severity.Note, Invariant($"a peak of {peak:0.0;−0.0} {unit}, {most - peak:0.0} dB below the most that can be recorded ({most:0.0;−0.0} {unit})"),
                "at least 3 dB of room above the loudest peak", "Nothing is lost in this take; record with some dB less gain next time.");
    }

    /// <summary>Whether samples have flat tops.</summary>
    /// <param name="shape">Their shape.</param>
    /// <param name="count">Their number.</param>
    public static bool IsClipped(SampleShape shape, double count) => shape.Peak >= FullScale ? IsAtFullScale(shape.AtPeak, shape.LongestAtPeak, count)
        : shape.AtPeak >= Fewest && shape.Peak > LeastPeak && shape.LongestAtPeak >= 2 && shape.PeakRuns >= LeastMoments && PeakFactor(shape) > LeastPeakFactor;

    /// <summary>Whether so many samples at full scale are flat tops.</summary>
    /// <param name="atPeak">Their number.</param>
    /// <param name="longest">Most of them in a row.</param>
    /// <param name="count">Number of all samples.</param>
    public static bool IsAtFullScale(long atPeak, int longest, double count) => atPeak >= Fewest && (longest >= 2 || atPeak > Share * count);

    private static double PeakFactor(SampleShape shape) => shape.BlockMeanSquares is { Count: > 0 } blocks
        ? (20 * Math.Log10(shape.Peak)) - Robust.Decibels(blocks.Average(b => (double)b)) : 0;

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
