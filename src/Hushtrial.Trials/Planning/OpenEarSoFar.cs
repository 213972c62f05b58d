using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Planning;

/// <summary>What the bare ear has had in a session, against the share that is allowed.</summary>
/// <param name="Rules">The rule set.</param>
/// <param name="Level">A-weighted level at the open ear, measured or stated; null when it is neither, and nothing can be said.</param>
/// <param name="Bare">Time without protection: open takes and changes of device.</param>
/// <param name="AllowedPercent">Highest share of the day's dose that is accepted, %.</param>
public sealed record OpenEarSoFar(ExposureRules Rules, Level? Level, TimeSpan Bare, double AllowedPercent)
{
    /// <summary>Share of the day's dose that was used up, %; null while the level is not known.</summary>
    public double? Percent => Level is { } level ? Rules.DosePercent(level, Bare) : null;

    /// <summary>Whether the open ear is not to be read any more.</summary>
    public bool Ended => Left is { } left && left <= TimeSpan.Zero;

    /// <summary>Whether the open ear may be bare for another stretch of time.</summary>
    public bool Allows(TimeSpan more) => Left is not { } left || left >= more;

    /// <summary>Time that is left; null while the level is not known, or does not count under the rule set.</summary>
    public TimeSpan? Left
    {
        get
        {
            if (Level is not { } level) return null;
            if (Rules.Ceiling is { } ceiling && level.CompareTo(ceiling) > 0) return TimeSpan.Zero;
            // Percent grows with time at one rate.
            var perHour = Rules.DosePercent(level, TimeSpan.FromHours(1));
            return perHour <= 0 ? null : TimeSpan.FromHours(Math.Min(AllowedPercent / perHour, ExposureRules.LongestTime.TotalHours)) - Bare;
        }
    }
}
