using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>A level of a rule set and what it means.</summary>
/// <param name="Name">For example 'upper action value'.</param>
/// <param name="Level">Level of the day's normalised exposure, dB(A).</param>
/// <param name="ProtectorCounted">True when the level at the ear under the protector counts, false when the noise outside does.</param>
public sealed record ExposureThreshold(string Name, Level Level, bool ProtectorCounted);

/// <summary>A peak level of a rule set, C-weighted unless the rule says otherwise.</summary>
/// <param name="Name">For example 'limit value'.</param>
/// <param name="Level">Peak level, dB re 20 µPa.</param>
/// <param name="ProtectorCounted">True when the peak at the ear under the protector counts.</param>
public sealed record PeakThreshold(string Name, Level Level, bool ProtectorCounted);

/// <summary>A rule set for noise exposure, as data.</summary>
public sealed record ExposureRules
{
    /// <summary>Short stable name, for example 'eu'.</summary>
    public required string Id { get; init; }

    /// <summary>Name for readers.</summary>
    public required string Name { get; init; }

    /// <summary>Name where there is little room, as beside a line of a figure.</summary>
    public required string ShortName { get; init; }

    /// <summary>The source, and what of it is from memory.</summary>
    public required string Source { get; init; }

    /// <summary>Level allowed for the whole of <see cref="CriterionTime"/>: dose 100 %.</summary>
    public required Level Criterion { get; init; }

    /// <summary>Time the criterion stands for: 8 h, on ships 24 h.</summary>
    public required TimeSpan CriterionTime { get; init; }

    /// <summary>Rise of level that halves the allowed time; null where the rule is written as equal energy (10 lg of time).</summary>
    public LevelDifference? ExchangeRate { get; init; }

    /// <summary>The rule's printed factor q in TWA = criterion + q lg(dose/100): 10 for equal energy and 3 dB, 16.61 for 5 dB.</summary>
    public double TwaFactor { get; init; } = 10;

    /// <summary>Levels below do not count; null when all do.</summary>
    public Level? CountedFrom { get; init; }

    /// <summary>The levels the day's result is held against.</summary>
    public required IReadOnlyList<ExposureThreshold> Thresholds { get; init; }

    /// <summary>The peak levels.</summary>
    public IReadOnlyList<PeakThreshold> Peaks { get; init; } = [];

    /// <summary>Level above which no exposure is allowed, whatever the time; null without such a rule.</summary>
    public Level? Ceiling { get; init; }

    /// <summary>Normalised level outside from which two protectors are asked for; null without such a rule.</summary>
    public Level? DoubleProtectionFrom { get; init; }

    /// <summary>Whether days may be averaged over a week.</summary>
    public bool WeeklyAveraging { get; init; }

    /// <summary>Points that trip people, as plain sentences.</summary>
    public IReadOnlyList<string> Cautions { get; init; } = [];

    /// <summary>What is printed under every exposure result.</summary>
    public const string Deference = "Informed by the rule set named; no finding under it. Local law, the employer's duties and licensed "
        + "practice come first; a competent person decides about protection and hearing tests.";

    /// <summary>The time allowed at a steady level before the dose reaches 100 %; at most <see cref="LongestTime"/>.</summary>
    /// <returns>null when the level does not count under this rule set; zero above its ceiling.</returns>
    public TimeSpan? AllowedTime(Level level) => AllowedTime(level, Criterion);

    /// <summary>The time at a steady level until the normalised exposure reaches another level than the criterion.</summary>
    /// <inheritdoc cref="AllowedTime(Level)"/>
    public TimeSpan? AllowedTime(Level level, Level target)
    {
        if (level.CompareTo(CountedFrom ?? level) < 0) return null;
        if (Ceiling is { } ceiling && level.CompareTo(ceiling) > 0) return TimeSpan.Zero;
        var hours = CriterionTime.TotalHours / RateOfDose(level - target);
        return hours >= LongestTime.TotalHours ? LongestTime : TimeSpan.FromHours(hours);
    }

    /// <summary>Longest time that is stated: 10 000 h stand for 'no limit'.</summary>
    public static TimeSpan LongestTime { get; } = TimeSpan.FromHours(10_000);

    /// <summary>The dose of a stretch of time at a steady level, percent; 0 when the level does not count.</summary>
    public double DosePercent(Level level, TimeSpan duration) => level.CompareTo(CountedFrom ?? level) < 0 ? 0
        : 100 * RateOfDose(level - Criterion) * duration.TotalHours / CriterionTime.TotalHours;

    /// <summary>The time-weighted average that goes with a dose: criterion + q lg(dose/100).</summary>
    /// <returns>null for a dose of 0.</returns>
    /// <exception cref="ArgumentOutOfRangeException">The dose is negative.</exception>
    public Level? TimeWeightedAverage(double dosePercent)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(dosePercent);
        return dosePercent == 0 ? null : Criterion + LevelDifference.FromDecibels(Math.Max(-300, TwaFactor * Math.Log10(dosePercent / 100)));
    }

    // How many times faster than at the criterion the dose grows.
    private double RateOfDose(LevelDifference above) => ExchangeRate is { } q
        ? Math.Pow(2, above.Decibels / q.Decibels)
        : Math.Pow(10, above.Decibels / 10);
}
