using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Planning;

/// <summary>What reading the open ear costs the ear: computed before anything is measured.</summary>
/// <param name="Rules">The rule set.</param>
/// <param name="Level">A-weighted level of the noise at the open ear.</param>
/// <param name="TimePerFlight">Time without any protection in one flight: open takes and changes.</param>
/// <param name="DosePercent">Share of the day's dose that one flight uses up, %.</param>
/// <param name="AllowedPercent">Highest share that is accepted, %.</param>
/// <param name="LongestTime">Time the noise itself would be allowed by the rule set; null when it does not count it.</param>
public sealed record OpenEarDose(ExposureRules Rules, Level Level, TimeSpan TimePerFlight, double DosePercent, double AllowedPercent, TimeSpan? LongestTime)
{
    /// <summary>A quarter of a day's dose. Common practice, no source: the rest of the day is noisy too.</summary>
    public const double UsualAllowedPercent = 25;

    /// <summary>Ears are bare this long at every change of device. Common practice, no source.</summary>
    public static TimeSpan ChangeTime { get; } = TimeSpan.FromSeconds(15);

    /// <summary>Whether the open-ear part must not be made as planned.</summary>
    public bool Refused => DosePercent > AllowedPercent || (Rules.Ceiling is { } ceiling && Level.CompareTo(ceiling) > 0);

    /// <summary>What to do instead of reading the open ear in the full noise.</summary>
    public static IReadOnlyList<string> Alternatives { get; } =
    [
        "Read the noise by a microphone in the cabin and add the ear's own gain, measured once on the ground in a moderate noise.",
        "Make the open-ear part in a ground run at low power, and state that the spectrum is another one.",
        "Let a volunteer who does not fly read the open ear, briefly, and state that the ears are not the same.",
        "Leave the open ear out: compare the devices with each other, against one reference headset. Differences stay right; insertion losses cannot be said.",
    ];

    /// <summary>Computes the dose of one flight of an order.</summary>
    /// <param name="order">The order; its flight with the most bare time counts.</param>
    /// <param name="level">A-weighted level at the open ear.</param>
    /// <param name="takeTime">Length of a take.</param>
    /// <param name="rules">The rule set.</param>
    /// <param name="allowedPercent">Highest share of the day's dose that is accepted, %.</param>
    public static OpenEarDose Of(MeasuringOrder order, Level level, TimeSpan takeTime, ExposureRules rules, double allowedPercent = UsualAllowedPercent)
    {
        var bare = order.Steps.GroupBy(s => s.Flight).Max(flight =>
            flight.Where(s => s.Device is null).Sum(s => s.Takes.Count) * takeTime + flight.Count(s => s.Device is not null) * ChangeTime);
        return new(rules, level, bare, rules.DosePercent(level, bare), allowedPercent, rules.AllowedTime(level));
    }
}
