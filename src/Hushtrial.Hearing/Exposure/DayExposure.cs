using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>How a value stands to a level that must not be reached.</summary>
public enum Standing
{
    /// <summary>The one-sided 95 % upper limit lies below: the only case that may be called below.</summary>
    Below,

    /// <summary>The one-sided 95 % lower limit lies at or above.</summary>
    Above,

    /// <summary>The interval holds the level.</summary>
    Unresolved,

    /// <summary>What it is judged by is not known (for example the noise outside).</summary>
    NotKnown,
}

/// <summary>One segment's part in the day.</summary>
/// <param name="Name">The segment.</param>
/// <param name="WorseEar">Level at the worse ear, off-time and communication included.</param>
/// <param name="CoveredEar">Level at the covered ear.</param>
/// <param name="ShareOfDay">Share of the day's sound energy at the worse ear, 0…1.</param>
/// <param name="CommunicationShare">Share of the segment's energy at the covered ear that is communication, 0…1.</param>
public sealed record SegmentResult(string Name, Level WorseEar, Level CoveredEar, double ShareOfDay, double CommunicationShare);

/// <summary>The day held against one level of a rule set.</summary>
/// <param name="Threshold">The level and what counts for it.</param>
/// <param name="Standing">Where the day stands.</param>
/// <param name="AllowedTime">Time of the same pattern until it is reached, as best estimate, at the lower and upper level (so <c>Low</c> is the longest); null when unknown or not counted.</param>
public sealed record ThresholdResult(ExposureThreshold Threshold, Standing Standing, Bounded<TimeSpan>? AllowedTime);

/// <summary>A day under one rule set, at the worse ear.</summary>
/// <param name="Rules">The rule set.</param>
/// <param name="DosePercent">Dose at the ear, percent.</param>
/// <param name="TimeWeightedAverage">TWA at the ear, or null for a dose of 0.</param>
/// <param name="AllowedTime">Time of the same pattern until the dose is 100 %; <c>Low</c> belongs to the lower level, so it is the longest. Null when nothing counts.</param>
/// <param name="Thresholds">Each level of the rule set.</param>
/// <param name="OverCeiling">Names of the segments above the ceiling at the ear.</param>
public sealed record RuleResult(ExposureRules Rules, Bounded<double> DosePercent, Level? TimeWeightedAverage, Bounded<TimeSpan>? AllowedTime,
    IReadOnlyList<ThresholdResult> Thresholds, IReadOnlyList<string> OverCeiling);

/// <summary>The exposure of one day, built from segments.</summary>
/// <remarks>Source: ISO 9612:2009, 9.4 (task-based sum of energies). Limits of the interval move all segments together, as one meter and one way of
/// wearing do: the widest the day's interval can be. Task-based uncertainty with independent tasks: <see cref="Iso9612"/>.</remarks>
public sealed class DayExposure
{
    private readonly DaySegment[] _segments;

    private DayExposure(DaySegment[] segments) => _segments = segments;

    /// <summary>The segments.</summary>
    public IReadOnlyList<DaySegment> Segments => _segments;

    /// <summary>Sum of their durations.</summary>
    public TimeSpan Duration => TimeSpan.FromHours(_segments.Sum(s => s.Duration.TotalHours));

    /// <summary>A day.</summary>
    /// <exception cref="ArgumentException">No segment, a segment with a fault, or more than 24 h.</exception>
    public static DayExposure Of(IEnumerable<DaySegment> segments)
    {
        var day = new DayExposure([.. segments]);
        if (day._segments.Length == 0) throw new ArgumentException("A day needs at least one segment.", nameof(segments));
        foreach (var segment in day._segments)
            if (segment.Fault() is { } fault) throw new ArgumentException($"Segment '{segment.Name}': {fault}.", nameof(segments));
        return day.Duration.TotalHours <= 24 + 1e-9 ? day
            : throw new ArgumentException($"The segments add up to {day.Duration.TotalHours} h.", nameof(segments));
    }

    /// <summary>Energy-equivalent level at the worse ear over the segments' time.</summary>
    public Bounded<Level> EquivalentLevel => Bounded<Level>.From(kind => Normalised(kind, s => s.WorseEnergy(kind), Duration));

    /// <summary>Level at the worse ear normalised to a time: LEX,8h, or LEX,24h on ships.</summary>
    public Bounded<Level> NormalisedLevel(TimeSpan reference) => Bounded<Level>.From(kind => Normalised(kind, s => s.WorseEnergy(kind), reference));

    /// <summary>Level outside the device normalised to a time; null when a segment's outside level is not known.</summary>
    public Bounded<Level>? NormalisedLevelOutside(TimeSpan reference) => _segments.All(s => s.Outside is not null)
        ? Bounded<Level>.From(kind => Normalised(kind, s => Math.Pow(10, s.Outside!.At(kind) / 10), reference)) : null;

    /// <summary>Energy-equivalent level of the noise under a device over the time it is worn: what the device itself is judged by. Time off, an uncovered ear
    /// and communication are left out.</summary>
    /// <returns>null when no device is worn.</returns>
    public Level? LevelWhileWorn
    {
        get
        {
            var worn = _segments.Where(s => s.AtEar is not null && s.ShareOff < 1).Select(s => (Hours: s.Duration.TotalHours * (1 - s.ShareOff), Level: s.AtEar!.Best.Decibels)).ToList();
            return worn.Count == 0 ? null : ToLevel(worn.Sum(w => w.Hours * Math.Pow(10, w.Level / 10)) / worn.Sum(w => w.Hours));
        }
    }

    /// <summary>Share of the day's energy at the covered ear that is communication, 0…1.</summary>
    public double CommunicationShare
    {
        get
        {
            var all = _segments.Sum(s => s.CoveredEnergy(LimitKind.Best) * s.Duration.TotalHours);
            return all > 0 ? _segments.Sum(s => s.CommunicationEnergy(LimitKind.Best) * s.Duration.TotalHours) / all : 0;
        }
    }

    /// <summary>Each segment's part.</summary>
    public IReadOnlyList<SegmentResult> Parts()
    {
        var all = _segments.Sum(s => s.WorseEnergy(LimitKind.Best) * s.Duration.TotalHours);
        return [.. _segments.Select(s =>
        {
            var (worse, covered) = (s.WorseEnergy(LimitKind.Best), s.CoveredEnergy(LimitKind.Best));
            return new SegmentResult(s.Name, ToLevel(worse), ToLevel(covered), worse * s.Duration.TotalHours / all, s.CommunicationEnergy(LimitKind.Best) / covered);
        })];
    }

    /// <summary>The day under one rule set.</summary>
    public RuleResult Under(ExposureRules rules)
    {
        var dose = Bounded<double>.From(kind => Dose(rules, kind, s => s.WorseEnergy(kind)));
        return new(rules, dose, rules.TimeWeightedAverage(dose.Best), AllowedTime(dose, rules, rules.Criterion),
            [.. rules.Thresholds.Select(t => Against(rules, t, dose))],
            rules.Ceiling is { } ceiling ? [.. _segments.Where(s => ToLevel(s.WorseEnergy(LimitKind.Best)).CompareTo(ceiling) > 0).Select(s => s.Name)] : []);
    }

    private ThresholdResult Against(ExposureRules rules, ExposureThreshold threshold, Bounded<double> doseAtEar)
    {
        var dose = threshold.ProtectorCounted ? doseAtEar : _segments.All(s => s.Outside is not null)
            ? Bounded<double>.From(kind => Dose(rules, kind, s => Math.Pow(10, s.Outside!.At(kind) / 10)))
            : (Bounded<double>?)null;
        if (dose is not { } d) return new(threshold, Standing.NotKnown, null);

        // The one-sided lower limit mirrors the upper one about the best estimate in dB.
        var target = threshold.Level.Decibels;
        var (best, upper) = (Twa(d.Best), Twa(d.Upper));
        var standing = upper < target ? Standing.Below : (2 * best) - upper >= target ? Standing.Above : Standing.Unresolved;
        return new(threshold, standing, AllowedTime(d, rules, threshold.Level));

        double Twa(double percent) => rules.TimeWeightedAverage(percent)?.Decibels ?? double.NegativeInfinity;
    }

    // The same pattern of segments, made longer or shorter until the exposure reaches the target.
    private Bounded<TimeSpan>? AllowedTime(Bounded<double> dose, ExposureRules rules, Level target)
    {
        if (dose.Best <= 0) return null;
        var atTarget = 100 * Math.Pow(10, (target - rules.Criterion).Decibels / rules.TwaFactor);
        return new(At(dose.Best), At(dose.Low), At(dose.High), At(dose.Upper));

        TimeSpan At(double percent)
        {
            var hours = percent > 0 ? Duration.TotalHours * atTarget / percent : double.PositiveInfinity;
            return hours >= ExposureRules.LongestTime.TotalHours ? ExposureRules.LongestTime : TimeSpan.FromHours(hours);
        }
    }

    private double Dose(ExposureRules rules, LimitKind kind, Func<DaySegment, double> energy) =>
        _segments.Sum(s => States(s, kind, energy(s)).Sum(p => rules.DosePercent(ToLevel(p.Energy), s.Duration * p.Share)));

    // Under an exchange rate other than equal energy, time off and time worn count one by one, each at its own level.
    private static IEnumerable<(double Energy, double Share)> States(DaySegment s, LimitKind kind, double energy)
    {
        var covered = s.CoveredEnergy(kind);
        if (s.AtEar is null || Math.Abs(energy - covered) > 1e-12 * covered || (s.ShareOff == 0 && s.CommunicationShare is 0 or 1))
            return [(energy, 1)];
        var (worn, talking) = (Math.Pow(10, s.AtEar.At(kind) / 10), s.Communication is { } c ? Math.Pow(10, c.At(kind) / 10) : 0);
        var on = 1 - s.ShareOff;
        return new (double Energy, double Share)[]
        {
            (worn, on * (1 - s.CommunicationShare)), (worn + talking, on * s.CommunicationShare),
            (s.Outside is { } outside ? Math.Pow(10, outside.At(kind) / 10) : 1, s.ShareOff),
        }.Where(p => p.Share > 0);
    }

    private Level Normalised(LimitKind kind, Func<DaySegment, double> energy, TimeSpan reference) =>
        ToLevel(_segments.Sum(s => energy(s) * s.Duration.TotalHours) / reference.TotalHours);

    private static Level ToLevel(double meanSquareRatio) => Level.FromDecibels(10 * Math.Log10(Math.Max(meanSquareRatio, 1e-20)));
}
