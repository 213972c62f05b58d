using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Summary;

/// <summary>Whether a trial's losses may be published: not while a take is used in which automatic gain or a limiter was found.</summary>
/// <remarks>Automatic gain of ratio c divides every loss by c; nothing in the readings can undo it (method, section 6).</remarks>
internal static class Publication
{
    /// <summary>Why not, in sentences; empty when nothing stands against it.</summary>
    public static IReadOnlyList<string> Obstacles(MeasuredTrial measured)
    {
        var used = measured.Takes.Where(t => t.Used).SelectMany(t => t.Findings).ToHashSet();
        var elsewhere = measured.Takes.SelectMany(t => t.Findings).ToHashSet();
        return [.. measured.Problems.Where(p => SignalChecks.Blocking.Contains(p.Code) && (used.Contains(p) || !elsewhere.Contains(p)))
            .Select(p => $"{p.Where}: {p.Found}").Distinct(StringComparer.Ordinal)];
    }
}
