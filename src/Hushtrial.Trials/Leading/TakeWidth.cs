using Hushtrial.Quantities;
using Hushtrial.Statistics.Uncertainty;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Leading;

/// <summary>How well the energy mean of a take is known while it is still being made, and whether it is long enough.</summary>
/// <param name="HalfWidth">Half width of the 95 % interval of its A-weighted level, dB; null while nothing can be said.</param>
/// <param name="SecondsForBeats">Length that holds ten swings of a level that beats, s; null without a beat.</param>
/// <remarks>Method: the wander inside a reading from its half-second levels (1.4), and the statistical floor 4.34/√(B T) of the lowest band that bears a tenth
/// of the A-weighted energy (1.3); the larger of the two counts, because the wander holds the floor of the whole.</remarks>
public sealed record TakeWidth(double? HalfWidth, double? SecondsForBeats)
{
    /// <summary>Nothing is told of a shorter take, s: eight half seconds.</summary>
    public const double LeastSeconds = 4;

    private const double Coverage = 1.96;
    private const double Share = 0.1;
    private const int StepsInHalf = 4;

    /// <summary>Longest stretch that is looked at, in half seconds: the fit grows with its square.</summary>
    private const int MostHalves = 240;

    /// <summary>Nothing is known yet.</summary>
    public static TakeWidth Unknown { get; } = new(null, null);

    /// <summary>Reckons it.</summary>
    /// <param name="meanSquares">A-weighted mean squares of steps of 125 ms, full scale², none left out.</param>
    /// <param name="bands">Mean square of one-third octaves over the take, full scale².</param>
    public static TakeWidth Of(IReadOnlyList<double> meanSquares, IReadOnlyDictionary<Band, double> bands)
    {
        ArgumentNullException.ThrowIfNull(meanSquares);
        ArgumentNullException.ThrowIfNull(bands);
        var seconds = meanSquares.Count * 0.125;
        if (seconds < LeastSeconds || meanSquares.Any(m => !(m > 0))) return Unknown;
        var halves = meanSquares.Chunk(StepsInHalf).Where(c => c.Length == StepsInHalf).Select(c => Robust.Decibels(c.Average())).ToList();
        var wander = ShortTermWander.Estimate([halves.Count > MostHalves ? halves[^MostHalves..] : halves], ShortTermLevels.Seconds)?.SdOfMean(seconds) ?? 0;
        var beats = BeatCheck.SecondsNeeded([.. meanSquares.TakeLast(2 * MostHalves).Select(Robust.Decibels)], 0.125);
        return new(Coverage * Math.Max(wander, Floor(bands, seconds)), beats);
    }

    /// <summary>Whether a take of this length is known well enough.</summary>
    /// <param name="seconds">Its length, s.</param>
    /// <param name="planned">Half width that was planned, dB.</param>
    public bool Enough(double seconds, double planned) => HalfWidth <= planned && !(SecondsForBeats > seconds);

    private static double Floor(IReadOnlyDictionary<Band, double> bands, double seconds)
    {
        double Weighted(Band band) => bands[band] * Math.Pow(10, Weightings.At(FrequencyWeighting.A, band.ExactMidband).Decibels / 10);
        var all = bands.Keys.Sum(Weighted);
        var lowest = bands.Keys.Where(b => Weighted(b) >= Share * all).Order().Cast<Band?>().FirstOrDefault();
        return lowest is not { } band ? 0 : 10 / Math.Log(10) / Math.Sqrt((band.UpperEdge.Hertz - band.LowerEdge.Hertz) * seconds);
    }
}
