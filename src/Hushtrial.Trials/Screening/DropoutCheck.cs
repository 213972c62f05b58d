using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Holes: exact zeros, one value repeated, or 10 ms that fall far below their surroundings; and a channel without any sound.</summary>
/// <remarks>Method: zeros of at least 2 ms, or 10 ms below the median by 30 dB. Repeated values count only in a signal whose own steps are finer
/// than what repeats by chance: its median 10 ms must lie 20 dB above one step of 16 bits.</remarks>
internal static class DropoutCheck
{
    private const double LeastSeconds = 0.002;
    private const double HoleDecibels = 30;
    private const double StepOfSixteenBits = 1 / 32768.0;

    public static IEnumerable<Problem> Check(ChannelTake take)
    {
        if (take.Levels.A is null)
        {
            yield return take.Finding("TAK-013", Severity.Error, "digital silence", "sound", "Name the channel that carries the microphone.");
            yield break;
        }
        var (shape, rate) = (take.Signal.Shape, take.Signal.SampleRate);
        var total = take.Seconds;
        var median = shape.BlockMeanSquares.Count > 0 ? Robust.Median(shape.BlockMeanSquares.Select(b => (double)b)) : 0;
        var zeros = (double)shape.LongestZeros / rate;
        if (zeros >= LeastSeconds)
            yield return take.Finding("TAK-011", Severity.Warning, Invariant($"{1000 * zeros:0} ms of exact zeros"), "sound without holes",
                "The recorder lost samples here. Move the take's span past the hole or leave it out.", Lost(zeros / total), (double)shape.ZerosAt / rate);
        else
        {
            var holes = shape.BlockMeanSquares.Index().Where(b => b.Item < median * Math.Pow(10, -HoleDecibels / 10)).ToList();
            if (holes.Count > 0)
                yield return take.Finding("TAK-011", Severity.Warning, Invariant($"{10 * holes.Count} ms more than 30 dB below the rest"), "sound without holes",
                    "A contact opened or the recorder muted. Move the take's span past the hole or leave it out.", Lost(holes.Count * shape.BlockSeconds / total),
                    ((double)take.FirstFrame / rate) + (holes[0].Index * shape.BlockSeconds));
        }
        var constant = (double)shape.LongestConstant / rate;
        if (constant >= LeastSeconds && shape.LongestAtPeak < shape.LongestConstant && median > 100 * StepOfSixteenBits * StepOfSixteenBits)
            yield return take.Finding("TAK-016", Severity.Warning, Invariant($"one value repeated for {1000 * constant:0} ms"), "sound that moves",
                "The recorder or its interface stuck here. Move the take's span past it or leave it out.", Lost(constant / total), (double)shape.ConstantAt / rate);
    }

    private static double Lost(double share) => 10 * Math.Log10(1 - Math.Min(share, 0.9));
}
