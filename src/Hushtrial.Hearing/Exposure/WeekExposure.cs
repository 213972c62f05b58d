using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>The level of a week.</summary>
public static class WeekExposure
{
    /// <summary>Days that normalise a week.</summary>
    public const int NominalDays = 5;

    /// <summary>The weekly level LEX,40h: 10 lg (1/5 Σ 10^(0.1 LEX,8h)) over the days worked, at most seven.</summary>
    /// <remarks>Source: ISO 1999:2013 and directive 2003/10/EC, article 3(3); the normalisation to five days is from memory.</remarks>
    /// <exception cref="ArgumentException">No day or more than seven.</exception>
    public static Level Level40Hours(IReadOnlyCollection<Level> dailyLevels8Hours) => dailyLevels8Hours.Count is >= 1 and <= 7
        ? Level.FromDecibels(10 * Math.Log10(dailyLevels8Hours.Sum(l => l.MeanSquareRatio) / NominalDays))
        : throw new ArgumentException($"A week has 1 to 7 days, not {dailyLevels8Hours.Count}.", nameof(dailyLevels8Hours));

    /// <summary>The weekly level with the limits of the days taken together.</summary>
    /// <inheritdoc cref="Level40Hours(IReadOnlyCollection{Level})" path="/exception"/>
    public static Bounded<Level> Level40Hours(IReadOnlyCollection<DayExposure> days)
    {
        var levels = days.Select(d => d.NormalisedLevel(TimeSpan.FromHours(8))).ToArray();
        return new(Level40Hours([.. levels.Select(l => l.Best)]), Level40Hours([.. levels.Select(l => l.Low)]),
            Level40Hours([.. levels.Select(l => l.High)]), Level40Hours([.. levels.Select(l => l.Upper)]));
    }
}
