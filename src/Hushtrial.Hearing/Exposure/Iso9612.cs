using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>A task of a day with its samples.</summary>
/// <param name="Name">The task.</param>
/// <param name="Samples">Equivalent levels LAeq of the samples, at least one; the standard asks for three.</param>
/// <param name="Duration">Mean duration on the day.</param>
/// <param name="HalfRange">Half of the longest minus the shortest duration; zero when the duration is certain.</param>
public sealed record TaskSamples(string Name, IReadOnlyList<Level> Samples, TimeSpan Duration, TimeSpan HalfRange);

/// <summary>A task's part in a task-based result.</summary>
/// <param name="Name">The task.</param>
/// <param name="EquivalentLevel">Energy mean of the samples.</param>
/// <param name="Contribution">Contribution to the daily level, LEX,8h,m.</param>
/// <param name="SamplingUncertainty">u1a, dB.</param>
/// <param name="LevelSensitivity">c1a, a pure number.</param>
/// <param name="DurationUncertainty">u1b.</param>
/// <param name="DurationSensitivity">c1b, dB per hour.</param>
public sealed record TaskPart(string Name, Level EquivalentLevel, Level Contribution, LevelDifference SamplingUncertainty, double LevelSensitivity,
    TimeSpan DurationUncertainty, double DurationSensitivity);

/// <summary>A daily level with its uncertainty.</summary>
/// <param name="Level8Hours">LEX,8h.</param>
/// <param name="StandardUncertainty">u, dB.</param>
/// <param name="Expanded">U = 1.65 u: one-sided 95 %.</param>
/// <param name="Tasks">Each task; empty for job-based and full-day measurements.</param>
/// <param name="Problems">What the standard would have you do better.</param>
public sealed record DailyLevel(Level Level8Hours, LevelDifference StandardUncertainty, LevelDifference Expanded, IReadOnlyList<TaskPart> Tasks, IReadOnlyList<Problem> Problems)
{
    /// <summary>The level that is not exceeded with 95 % confidence.</summary>
    public Level Upper => Level8Hours + Expanded;
}

/// <summary>Standard uncertainties of the instrument (u2) and of the microphone's position (u3).</summary>
/// <param name="Instrument">u2: 0.7 dB for a class 1 meter, 1.5 dB for a class 2 meter or a personal sound exposure meter (Table C.5).</param>
/// <param name="Position">u3: 1.0 dB (C.6).</param>
public sealed record MeasurementUncertainty(LevelDifference Instrument, LevelDifference Position)
{
    /// <summary>A personal sound exposure meter: 1.5 and 1.0 dB.</summary>
    public static MeasurementUncertainty PersonalMeter { get; } = new(LevelDifference.FromDecibels(1.5), LevelDifference.FromDecibels(1));

    /// <summary>A class 1 meter: 0.7 and 1.0 dB. The 0.7 is from memory.</summary>
    public static MeasurementUncertainty Class1Meter { get; } = new(LevelDifference.FromDecibels(0.7), LevelDifference.FromDecibels(1));
}

/// <summary>Daily level and expanded uncertainty by the three strategies of ISO 9612:2009.</summary>
/// <remarks>The standard is for the noise outside the protector; the ear under a protector is not in its scope.</remarks>
public static class Iso9612
{
    /// <summary>Coverage factor of the one-sided 95 % interval (C.2).</summary>
    public const double CoverageFactor = 1.65;

    private const double ReferenceHours = 8;

    /// <summary>Task-based measurement (clause 9, C.3): LEX,8h = 10 lg Σ (Tm/T0) 10^(0.1 LpAeqT,m).</summary>
    /// <param name="tasks">The tasks of the day.</param>
    /// <param name="measurement">u2 and u3.</param>
    /// <exception cref="ArgumentException">No task, a task without samples or with a duration that is not above 0.</exception>
    public static DailyLevel TaskBased(IReadOnlyList<TaskSamples> tasks, MeasurementUncertainty measurement)
    {
        if (tasks.Count == 0) throw new ArgumentException("A day needs at least one task.", nameof(tasks));
        foreach (var task in tasks)
            if (task.Samples.Count == 0 || task.Duration <= TimeSpan.Zero)
                throw new ArgumentException($"Task '{task.Name}' needs samples and a duration.", nameof(tasks));
        var contributions = tasks.Select(t => Contribution(Level.EnergyMean(t.Samples), t.Duration)).ToArray();
        var daily = Level.EnergySum(contributions);
        var parts = tasks.Select((t, i) =>
        {
            var c1a = Math.Pow(10, (contributions[i] - daily).Decibels / 10);
            return new TaskPart(t.Name, Level.EnergyMean(t.Samples), contributions[i], SamplingUncertainty(t.Samples), c1a, t.HalfRange, 4.34 * c1a / t.Duration.TotalHours);
        }).ToArray();
        var variance = parts.Sum(p => Square(p.LevelSensitivity) * (Square(p.SamplingUncertainty.Decibels) + Square(measurement.Instrument.Decibels) + Square(measurement.Position.Decibels))
            + Square(p.DurationSensitivity * p.DurationUncertainty.TotalHours));
        return Result(daily, variance, parts, [.. tasks.SelectMany(TaskProblems)]);
    }

    /// <summary>Job-based measurement (clause 10, C.4), at least five samples.</summary>
    /// <param name="samples">Equivalent levels of the samples.</param>
    /// <param name="effectiveDuration">Effective duration of the working day, Te.</param>
    /// <param name="measurement">u2 and u3.</param>
    /// <exception cref="ArgumentException">Fewer than five samples, or a scatter beyond the standard's table (6 dB).</exception>
    public static DailyLevel JobBased(IReadOnlyList<Level> samples, TimeSpan effectiveDuration, MeasurementUncertainty measurement) => samples.Count >= 5
        ? FromSamples(samples, effectiveDuration, measurement, [])
        : throw new ArgumentException($"A job-based measurement needs at least 5 samples, not {samples.Count}.", nameof(samples));

    /// <summary>Full-day measurement (clause 11, C.4), at least three days.</summary>
    /// <inheritdoc cref="JobBased"/>
    /// <exception cref="ArgumentException">Fewer than three days, or a scatter beyond the standard's table (6 dB).</exception>
    public static DailyLevel FullDay(IReadOnlyList<Level> samples, TimeSpan effectiveDuration, MeasurementUncertainty measurement)
    {
        if (samples.Count < 3) throw new ArgumentException($"A full-day measurement needs at least 3 days, not {samples.Count}.", nameof(samples));
        var spread = samples.Max() - samples.Min();
        return FromSamples(samples, effectiveDuration, measurement, samples.Count == 3 && spread.Decibels >= 3
            ? [Spread("full-day results", spread, "two more days (11.3)")] : []);
    }

    private static DailyLevel FromSamples(IReadOnlyList<Level> samples, TimeSpan effectiveDuration, MeasurementUncertainty measurement, IReadOnlyList<Problem> problems)
    {
        var u1 = Math.Sqrt(samples.Sum(s => Square(s.Decibels - samples.Average(x => x.Decibels))) / (samples.Count - 1));
        var contribution = SamplingContribution(samples.Count, LevelDifference.FromDecibels(u1)).Decibels;
        if (contribution > 3.5)
            problems = [.. problems, new("EXP-012", Severity.Warning, "samples", FormattableString.Invariant($"sampling adds {contribution:0.0} dB of standard uncertainty"),
                "at most 3.5 dB", "Split the group or measure more (ISO 9612:2009, 10.4).", contribution)];
        return Result(Contribution(Level.EnergyMean(samples), effectiveDuration), Square(contribution) + Square(measurement.Instrument.Decibels) + Square(measurement.Position.Decibels), [], problems);
    }

    /// <summary>The contribution c1·u1 of sampling for job-based and full-day measurements: Table C.4, interpolated linearly between its cells.</summary>
    /// <param name="samples">Number of samples, 3 or more; above 30 the row of 30 is used.</param>
    /// <param name="scatter">Standard deviation of the samples, u1; below 0.5 dB in proportion to the first column.</param>
    /// <exception cref="ArgumentException">Fewer than 3 samples or a scatter above 6 dB.</exception>
    public static LevelDifference SamplingContribution(int samples, LevelDifference scatter) => Iso9612TableC4.At(samples, scatter.Decibels);

    private static DailyLevel Result(Level daily, double variance, IReadOnlyList<TaskPart> parts, IReadOnlyList<Problem> problems)
    {
        var u = Math.Sqrt(variance);
        return new(daily, LevelDifference.FromDecibels(u), LevelDifference.FromDecibels(CoverageFactor * u), parts, problems);
    }

    private static Level Contribution(Level equivalent, TimeSpan duration) =>
        equivalent + LevelDifference.FromDecibels(10 * Math.Log10(duration.TotalHours / ReferenceHours));

    // C.6: standard deviation of the arithmetic mean.
    private static LevelDifference SamplingUncertainty(IReadOnlyList<Level> samples) => samples.Count == 1 ? LevelDifference.Zero
        : LevelDifference.FromDecibels(Math.Sqrt(samples.Sum(s => Square(s.Decibels - samples.Average(x => x.Decibels))) / (samples.Count * (samples.Count - 1.0))));

    private static IEnumerable<Problem> TaskProblems(TaskSamples task)
    {
        if (task.Samples.Count < 3)
            yield return new("EXP-010", Severity.Warning, $"task '{task.Name}'", $"{task.Samples.Count} sample(s)", "at least 3 samples", "Measure more often (ISO 9612:2009, 9.3); the sampling uncertainty is not known.");
        var spread = task.Samples.Max() - task.Samples.Min();
        if (task.Samples.Count < 6 && spread.Decibels >= 3) yield return Spread($"task '{task.Name}'", spread, "three more samples, or split the task (9.3)");
    }

    private static Problem Spread(string where, LevelDifference spread, string remedy) => new("EXP-011", Severity.Warning, where,
        FormattableString.Invariant($"results differ by {spread.Decibels:0.0} dB"), "less than 3 dB", $"The standard asks for {remedy}.", spread.Decibels);

    private static double Square(double x) => x * x;
}
