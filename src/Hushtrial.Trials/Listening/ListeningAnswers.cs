using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;
using static System.FormattableString;

namespace Hushtrial.Trials.Listening;

/// <summary>Whether radio and warnings are heard, condition by condition, and what the device itself adds.</summary>
internal static class ListeningAnswers
{
    /// <summary>The answers; null when the document asks nothing and no take has radio on.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="measured">Its takes, warning sounds and quiet spans.</param>
    /// <param name="effects">The fits.</param>
    /// <param name="conditions">The conditions, those from published data among them.</param>
    /// <param name="ambient">What to add to a fitted level to make it a level at the ear, by quantity.</param>
    /// <param name="trust">Whether a level can be trusted in a band.</param>
    public static TrialListening? Of(TrialDocument document, MeasuredTrial measured, TrialEffects effects, IReadOnlyList<ConditionResult> conditions, IReadOnlyDictionary<string, double> ambient, LevelTrust trust)
    {
        var plan = document.Listening ?? new(null, [], [], null);
        var noise = new HeardNoise(document, effects, ambient, trust, measured.Absolute);
        var comms = CommsAsHeard.Of(document, measured.Takes, noise, conditions);
        if (document.Listening is null && comms is null) return null;
        var judge = new WarningsUnderDevices(noise, conditions);
        var warnings = plan.Warnings.Select(w => judge.Of(w, measured.Listening.Warnings.GetValueOrDefault(w.Id), c => measured.Listening.Under.GetValueOrDefault((w.Id, c)))).ToList();
        var hiss = measured.Listening.Quiet.Select(q => QuietHiss.Of(q, conditions.FirstOrDefault(c => c.Condition.Id == q.Condition)?.Name ?? q.Condition, measured.OwnNoise, measured.Absolute)).ToList();
        return new(plan.Speech is { } speech ? SpeechUnderDevices.Of(speech, noise, conditions) : null, warnings, hiss, comms,
            plan.OneEarOffPercent is { } percent ? OneEarOff(percent, noise, conditions) : null, [.. Cautions(warnings, noise, conditions)]);
    }

    private static OneEarOffAnswer? OneEarOff(double percent, HeardNoise noise, IReadOnlyList<ConditionResult> conditions)
    {
        if (!noise.Absolute || noise.A(TrialDocument.OpenEar) is not { } open) return null;
        var share = percent / 100;
        double Mixed(double off, double on) => 10 * Math.Log10((share * Math.Pow(10, off / 10)) + ((1 - share) * Math.Pow(10, on / 10)));
        var rows = conditions.Where(c => !c.Predicted).Select(c => (c.Condition.Id, c.Name, On: noise.A(c.Condition.Id))).Where(c => c.On is not null)
            .Select(c => (c.Id, c.Name, new Interval(Mixed(open.Value, c.On!.Value), Mixed(open.Low, c.On.Low), Mixed(open.High, c.On.High)))).ToList();
        if (rows.Count == 0) return null;
        return new(percent, rows, Invariant($"With one ear uncovered for {percent:0.#} % of the time that ear gets {Range(rows.Select(r => r.Item3.Value))} dB(A) over the whole time under the devices tried, against {open.Value:0.0} dB(A) with the open ear; the worse ear decides. ")
            + "While it is uncovered it hears warnings as the open ear does, and the radio reaches the other ear alone.");
    }

    private static string List(List<string> names) => names.Count == 1 ? names[0] : $"{string.Join(", ", names.Take(names.Count - 1))} and {names[^1]}";

    private static string Range(IEnumerable<double> levels)
    {
        var all = levels.ToList();
        return all.Max() - all.Min() < 0.1 ? Invariant($"{all.Max():0.0}") : Invariant($"{all.Min():0.0} to {all.Max():0.0}");
    }

    private static IEnumerable<string> Cautions(List<WarningAnswer> warnings, HeardNoise noise, IReadOnlyList<ConditionResult> conditions)
    {
        foreach (var warning in warnings)
        {
            foreach (var row in warning.Conditions.Where(c => c.HeardOnGround is GroundHearing.Faintly or GroundHearing.Not))
                yield return $"{warning.Warning.Name} was {(row.HeardOnGround == GroundHearing.Not ? "not heard" : "heard only faintly")} by ear on the ground under {row.Name}, where it is quiet: find another way, or do not use it.";
            var open = warning.Conditions.FirstOrDefault(c => c.Condition == TrialDocument.OpenEar)?.Verdict;
            foreach (var rows in warning.Conditions.Where(c => c.Condition != TrialDocument.OpenEar && c.Verdict is AudibilityVerdict.Doubtful or AudibilityVerdict.Inaudible).GroupBy(c => c.Verdict))
                yield return $"{warning.Warning.Name} {(rows.Key == AudibilityVerdict.Inaudible ? "is not heard" : "may be missed")} under {List([.. rows.Select(r => r.Name)])}"
                    + (open == AudibilityVerdict.Audible ? ", and is clearly heard with the open ear." : open is null ? "." : "; with the open ear it is not clear either.") + $" {WarningsUnderDevices.ByEar}";
        }
        if (noise.Absolute)
            foreach (var condition in conditions.Where(c => !c.Predicted))
                if (noise.A(condition.Condition.Id) is { } level && ProtectionBands.At(Level.FromDecibels(level.Value), ProtectionBands.UsualActionLevel) == ProtectionBand.TooQuiet)
                    yield return Invariant($"{condition.Name}: {level.Value:0.0} dB(A), {ProtectionBands.Describe(ProtectionBand.TooQuiet)}. Some wearers want that quiet; the range is guidance (EN 458, from memory), no limit.");
        yield return AudibilityRule.Caution;
    }
}
