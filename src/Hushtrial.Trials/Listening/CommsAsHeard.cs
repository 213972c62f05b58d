using System.Globalization;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;
using static System.FormattableString;

namespace Hushtrial.Trials.Listening;

/// <summary>What radio and intercom add: the level as heard beside that of the noise alone.</summary>
/// <remarks>Inside a take with radio on, half seconds more than 3 dB over the level that four fifths of them exceed count as talk (common practice, no source); the others are the noise
/// of that very moment, so the cabin's own change cancels. Where that noise does not agree with the level known from the takes without radio, talk had no pause, and the known level stands in.</remarks>
internal static class CommsAsHeard
{
    private const double TalkOverNoise = 3;
    private const double Agreement = 3;

    /// <summary>The answer; null when nothing is known of it.</summary>
    public static CommsAnswer? Of(TrialDocument document, IReadOnlyList<TakeLevels> takes, HeardNoise noise, IReadOnlyList<ConditionResult> conditions)
    {
        var rules = Rules(document);
        var rows = new List<ConditionComms>();
        foreach (var condition in conditions.Where(c => !c.Predicted))
        {
            var own = takes.Where(t => t.Entry.CommsOn && t.Entry.Excluded is null && t.Entry.Condition == condition.Condition.Id && t.Ears.Count > 0).ToList();
            if (own.Count > 0 && Measured(condition, own, noise, rules) is { } row) rows.Add(row);
            else if (own.Count == 0 && Reckoned(document, condition, noise, rules) is { } reckoned) rows.Add(reckoned);
        }
        return rows.Count == 0 ? null : new(rows, rules.Name, Sentence(rows));
    }

    private static ConditionComms? Measured(ConditionResult condition, List<TakeLevels> takes, HeardNoise noise, ExposureRules rules)
    {
        var known = noise.A(condition.Condition.Id);
        double heard = 0, quiet = 0, talk = 0, seconds = 0;
        var replaced = false;
        foreach (var take in takes)
        {
            var series = take.Ears.Select(e => e.HalfSeconds?.A).ToList();
            (double Heard, double Noise, double Talk)? gated = series.All(s => s is { Count: > 4 }) ? Gate(Mean(series!)) : null;
            var total = gated?.Heard ?? take.Ears.Average(e => e.A) ?? double.NaN;
            if (double.IsNaN(total)) continue;
            double? alone = gated?.Noise;
            if (known is not null && (alone is null || Math.Abs(alone.Value - known.Value) > Agreement)) (alone, replaced) = (known.Value, true);
            if (alone is null) continue;
            var length = take.Seconds ?? 1;
            heard += length * Math.Pow(10, total / 10);
            quiet += length * Math.Pow(10, Math.Min(alone.Value, total) / 10);
            talk += length * (gated?.Talk ?? 1);
            seconds += length;
        }
        if (seconds <= 0) return null;
        return Row(condition, false, takes.Count, talk / seconds, 10 * Math.Log10(heard / quiet), noise.Absolute ? known : null, 0, rules,
            replaced ? "Talk left no pause that agrees with the takes without radio; the level of those stands for the noise." : null);
    }

    private static ConditionComms? Reckoned(TrialDocument document, ConditionResult condition, HeardNoise noise, ExposureRules rules)
    {
        if (!noise.Absolute || document.Listening?.Speech is not { Way: SoundWay.Headset, LevelA: { } level, Rule: ListeningRule.FixedVolume } speech) return null;
        var stated = document.Comms.FirstOrDefault(c => c.Key == "talk_share_percent").Value;
        if (!double.TryParse(stated, NumberStyles.Float, CultureInfo.InvariantCulture, out var percent) || noise.A(condition.Condition.Id) is not { } alone) return null;
        double Added(double speechLevel) => 10 * Math.Log10(1 + (percent / 100 * Math.Pow(10, (speechLevel - alone.Value) / 10)));
        var high = Added(level + (Limits.TwoSided * speech.Uncertainty)) - Added(level);
        return Row(condition, true, 0, percent / 100, Added(level), alone, high, rules, null);
    }

    private static ConditionComms Row(ConditionResult condition, bool reckoned, int takes, double talk, double added, Interval? alone, double more, ExposureRules rules, string? remark)
    {
        var heard = alone is null ? null : Limits.Around(alone.Value + added, (alone.Low + added, alone.High + added), (alone.Value + added - more, alone.Value + added + more));
        double? Hours(double? level) => level is { } l ? rules.AllowedTime(Level.FromDecibels(l))?.TotalHours : null;
        return new(condition.Condition.Id, condition.Name, reckoned, takes, talk, added, 1 - Math.Pow(10, -added / 10), alone, heard, Hours(alone?.Value), Hours(heard?.Value), remark);
    }

    /// <summary>Level of everything, level of the half seconds without talk, and the share with talk.</summary>
    internal static (double Heard, double Noise, double Talk) Gate(IReadOnlyList<double> halfSeconds)
    {
        var rising = halfSeconds.Order().ToList();
        var limit = rising[(int)(0.2 * (rising.Count - 1))] + TalkOverNoise;
        var pauses = halfSeconds.Where(l => l <= limit).ToList();
        return (Energy(halfSeconds), Energy(pauses), 1 - ((double)pauses.Count / halfSeconds.Count));
    }

    private static double Energy(IReadOnlyCollection<double> levels) => 10 * Math.Log10(levels.Average(l => Math.Pow(10, l / 10)));

    private static List<double> Mean(List<IReadOnlyList<double>?> ears) => [.. Enumerable.Range(0, ears.Min(e => e!.Count)).Select(i => ears.Average(e => e![i]))];

    private static ExposureRules Rules(TrialDocument document) => (document.Exposure.FirstOrDefault(e => e.Key == "rules").Value ?? "")
        .Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries).Select(RuleSets.Find).OfType<ExposureRules>().FirstOrDefault() ?? RuleSets.Niosh;

    private static string Sentence(List<ConditionComms> rows) => string.Join(" ", rows.Select(r => Invariant($"{r.Name}: with radio and intercom {(r.Reckoned ? "reckoned" : "left")} in, the level at the ear rises by {r.Added:0.0} dB")
        + (r.NoiseOnly is { } n && r.AsHeard is { } h ? Invariant($", from {n.Value:0.0} dB(A) noise only to {h.Value:0.0} dB(A) as heard") : "")
        + Invariant($"; {100 * r.EnergyShare:0} % of the sound energy is communication, {100 * r.TalkShare:0} % of the time.")));
}
