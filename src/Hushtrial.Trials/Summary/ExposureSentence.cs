using Hushtrial.Hearing.Exposure;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using static System.FormattableString;
using ExposureStanding = Hushtrial.Hearing.Exposure.Standing;

namespace Hushtrial.Trials.Summary;

/// <summary>The sentence that leads a day's exposure. What counts under the device and what counts outside it are two things, and it says which is meant.</summary>
internal static class ExposureSentence
{
    /// <summary>What a day of stated length comes to at the ear, and which levels that are judged outside the device are exceeded.</summary>
    /// <param name="rows">The conditions, the open ear first where it is known.</param>
    /// <param name="head">How long the day is, with a colon and a space.</param>
    public static string OfDay(IReadOnlyList<ConditionExposure> rows, string head)
    {
        var devices = rows.Where(r => r.Condition != TrialDocument.OpenEar && !r.Predicted).ToList();
        List<string> parts = [.. AtEar(devices), .. Outside(rows)];
        return head + (devices.Count == 0 ? string.Join("; ", parts.Prepend("no device was measured")) : string.Join("; ", parts)) + ".";
    }

    /// <summary>One condition against the level of every rule set that leads: at the ear, or outside where the rule set does not count the protector.</summary>
    public static string Against(IEnumerable<RuleExposure> rules) => string.Join("; ", rules.Select(r => (r.Rules, Leading: Leading(r.Thresholds)))
        .Select(r => Invariant($"{Place(r.Leading.Threshold)} {Words(r.Leading.Standing)} the {r.Leading.Threshold.Name} of {r.Leading.Threshold.Level.Decibels:0.#} dB(A) ({r.Rules.Name})")));

    /// <summary>The level that counts at the ear; for rule sets that never count the protector, the lowest one outside.</summary>
    public static ThresholdResult Leading(IReadOnlyList<ThresholdResult> thresholds) => thresholds.FirstOrDefault(t => t.Threshold.ProtectorCounted) ?? thresholds[0];

    private static IEnumerable<string> AtEar(List<ConditionExposure> devices)
    {
        static IEnumerable<ThresholdResult> Counted(ConditionExposure d) => d.Rules.SelectMany(r => r.Thresholds).Where(t => t.Threshold.ProtectorCounted);
        if (devices.Count == 0 || !Counted(devices[0]).Any()) yield break;
        List<string> Names(Func<ConditionExposure, bool> which) => [.. devices.Where(which).Select(d => d.Name)];
        static bool All(ConditionExposure d, ExposureStanding s) => Counted(d).All(t => t.Standing == s);
        static bool Differs(ConditionExposure d) => Counted(d).Select(t => t.Standing).Distinct().Count() > 1;
        List<string> below = Names(d => All(d, ExposureStanding.Below)), above = Names(d => All(d, ExposureStanding.Above)), differ = Names(Differs), open = Names(d => !Differs(d) && !All(d, ExposureStanding.Below) && !All(d, ExposureStanding.Above));
        var parts = new List<string>();
        if (below.Count > 0) parts.Add($"{(below.Count == devices.Count && below.Count > 1 ? "every measured condition stays" : List(below) + (below.Count > 1 ? " stay" : " stays"))} below, also at the one-sided 95 % upper level");
        if (open.Count > 0) parts.Add($"for {List(open)} it cannot be told");
        if (differ.Count > 0) parts.Add($"for {List(differ)} it differs from rule to rule");
        if (above.Count > 0) parts.Add($"{List(above)} {(above.Count > 1 ? "lie" : "lies")} above");
        var against = string.Join(" and ", Counted(devices[0]).Select(t => Invariant($"{t.Threshold.Level.Decibels:0.#} dB(A)")).Distinct(StringComparer.Ordinal));
        yield return $"at the ear, against {against}, {parts[0]}";
        foreach (var part in parts.Skip(1)) yield return part;
    }

    // The noise outside is the same under every device, so the first row that was held against a level speaks for all.
    private static IEnumerable<string> Outside(IReadOnlyList<ConditionExposure> rows)
    {
        var judged = rows[0].Rules.SelectMany(r => r.Thresholds).Where(t => !t.Threshold.ProtectorCounted).ToList();
        List<string> Of(ExposureStanding standing) => [.. judged.Where(t => t.Standing == standing).Select(t => Invariant($"the {t.Threshold.Name} of {t.Threshold.Level.Decibels:0.#} dB(A)")).Distinct(StringComparer.Ordinal)];
        List<string> above = Of(ExposureStanding.Above), open = Of(ExposureStanding.Unresolved), below = Of(ExposureStanding.Below), unknown = Of(ExposureStanding.NotKnown);
        if (above.Count > 0) yield return $"outside the device, where no protector counts, {List(above)} {(above.Count > 1 ? "are" : "is")} reached or exceeded";
        if (open.Count > 0) yield return $"whether the noise outside the device reaches {List(open)} cannot be told";
        if (below.Count > 0 && below.Count == judged.Select(t => (t.Threshold.Name, t.Threshold.Level)).Distinct().Count()) yield return $"the noise outside the device stays below {List(below)}";
        if (unknown.Count > 0) yield return "what is judged by the noise outside the device is not known, because its level is not";
    }

    private static string Place(ExposureThreshold threshold) => threshold.ProtectorCounted ? "at the ear" : "outside the device";

    private static string Words(ExposureStanding standing) => standing switch
    {
        ExposureStanding.Below => "below",
        ExposureStanding.Above => "at or above",
        ExposureStanding.Unresolved => "cannot be told against",
        _ => "not known against",
    };

    private static string List(List<string> names) => names.Count == 1 ? names[0] : string.Join(", ", names.Take(names.Count - 1)) + " and " + names[^1];
}
