using System.Globalization;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using static System.FormattableString;
using ExposureStanding = Hushtrial.Hearing.Exposure.Standing;

namespace Hushtrial.Trials.Summary;

/// <summary>What the levels at the ear mean for a day, under the rule sets that the trial document names. Absolute trials only.</summary>
internal static class ExposureAtEar
{
    private const double TwoSided = 1.96;
    private static readonly TimeSpan _eightHours = TimeSpan.FromHours(8);

    private sealed record Wish(IReadOnlyList<ExposureRules> Rules, bool RulesStated, TimeSpan? Day, double OffMinutes)
    {
        public double ShareOff => Day is { } day ? Math.Min(1, OffMinutes / day.TotalMinutes) : 0;
    }

    /// <summary>The exposure; null when no level at the ear is known.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="conditions">What was found of every condition.</param>
    /// <param name="open">The level without a device: of the open ear, in a level difference of the outside microphone.</param>
    /// <param name="calibration">How the levels are calibrated, in words.</param>
    /// <param name="reference">What the levels refer to; as read when not given.</param>
    public static TrialExposure? Of(TrialDocument document, IReadOnlyList<ConditionResult> conditions, SpectrumEffect? open, string calibration, LevelReference? reference = null)
    {
        var related = reference is { Kind: LevelKind.FieldRelated };
        var wish = Wishes(document.Exposure);
        var statement = CalibrationStatement.Of(calibration);
        var outside = open?.A?.In(document.Scope) is { } o ? AtEar(o, statement) : null;
        var rows = new List<ConditionExposure>();
        if (outside is not null) rows.Add(Row(TrialDocument.OpenEar, document.Quantity == MeasuredQuantity.LevelDifference ? "Outside microphone" : "Open ear", predicted: false, outside, null, wish));
        foreach (var c in conditions)
            if ((related ? c.FieldLevel : c.EarLevel)?.A?.In(document.Scope) is { } level) rows.Add(Row(c.Condition.Id, c.Name, c.Predicted, AtEar(level, statement), outside, wish));
        if (rows.Count == 0) return null;
        return new(document.Scope, wish.Day?.TotalHours, wish.Day is null || wish.OffMinutes <= 0 ? null : wish.OffMinutes, wish.RulesStated, rows, Sentence(rows, wish), [.. Cautions(document, wish, related ? reference : null)]) { Reference = reference ?? LevelReference.AsRead };
    }

    /// <summary>The rule sets that the document names; the recommendation that stands for orientation where it names none.</summary>
    internal static IReadOnlyList<ExposureRules> RulesOf(TrialDocument document) => Wishes(document.Exposure).Rules;

    private static Wish Wishes(IReadOnlyList<KeyValuePair<string, string>> stated)
    {
        string? Text(string key) => stated.Where(s => s.Key == key).Select(s => s.Value).FirstOrDefault();
        double? Number(string key) => double.TryParse(Text(key), NumberStyles.Float, CultureInfo.InvariantCulture, out var n) && n > 0 ? n : null;
        var rules = (Text("rules") ?? "").Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries).Select(RuleSets.Find).OfType<ExposureRules>().ToList();
        return new(rules.Count > 0 ? rules : [RuleSets.Niosh], rules.Count > 0, Number("hours_per_day") is { } h ? TimeSpan.FromHours(Math.Min(24, h)) : null, Number("off_minutes") ?? 0);
    }

    // The one-sided limit by the ratio of the normal quantiles: with heavier tails than the normal it lies on the safe side.
    internal static EarLevel AtEar(Estimate level, CalibrationStatement calibration) => EarLevel.Between(Db(level.Low), Db(level.Value),
        Db(level.Value + ((level.High - level.Value) * Iso9612.CoverageFactor / TwoSided)), Db(level.High), calibration);

    private static ConditionExposure Row(string id, string name, bool predicted, EarLevel worn, EarLevel? outside, Wish wish)
    {
        var level = new Bounded<Level>(worn.Best, worn.Low, worn.High, worn.Upper);
        var protection = ProtectionBands.At(worn.Best, ProtectionBands.UsualActionLevel);
        if (wish.Day is not { } length)
        {
            var free = wish.Rules.Select(r => new RuleExposure(r, Times(r, worn), null, null, [])).ToList();
            return new(id, name, predicted, level, null, null, protection, free, Throughout(name, free, worn));
        }

        // Without an open-ear level time off cannot be reckoned; the open ear itself is off all the time.
        var share = outside is null ? 0 : wish.ShareOff;
        var day = DayExposure.Of([new() { Name = name, Duration = length, AtEar = worn, Outside = outside ?? worn, ShareOff = share }]);
        var rules = wish.Rules.Select(day.Under).Select(r => new RuleExposure(r.Rules, r.AllowedTime, r.DosePercent, r.TimeWeightedAverage, r.Thresholds)).ToList();
        var normalised = day.NormalisedLevel(_eightHours);
        double? off = share > 0 ? share * outside!.Best.MeanSquareRatio / ((share * outside.Best.MeanSquareRatio) + ((1 - share) * worn.Best.MeanSquareRatio)) : null;
        return new(id, name, predicted, level, normalised, off, protection, rules, OfDay(name, normalised, rules));
    }

    private static Bounded<TimeSpan>? Times(ExposureRules rules, EarLevel level) =>
        rules.AllowedTime(level.Best) is { } best && rules.AllowedTime(level.Low) is { } low && rules.AllowedTime(level.High) is { } high && rules.AllowedTime(level.Upper) is { } upper
            ? new(best, low, high, upper) : null;

    private static string Throughout(string name, List<RuleExposure> rules, EarLevel level) => Invariant($"{name}: {level.Best.Decibels:0.0} dB(A) at the ear (95 %: {level.Low.Decibels:0.0} to {level.High.Decibels:0.0}); ")
        + string.Join("; ", rules.Select(r => r.AllowedTime is { } t
            ? Invariant($"{r.Rules.Name}, {r.Rules.Criterion.Decibels:0.#} dB(A): reached after {Time(t.Best)} ({Range(t.High, t.Low)}); count on no more than {Time(t.Upper)}")
            : $"{r.Rules.Name}: a level that this rule set does not count")) + ".";

    private static string OfDay(string name, Bounded<Level> day, List<RuleExposure> rules) =>
        Invariant($"{name}: LEX,8h {day.Best.Decibels:0.0} dB(A) (95 %: {day.Low.Decibels:0.0} to {day.High.Decibels:0.0}); ")
        + string.Join("; ", rules.Select(r => (r.Rules, Leading: Leading(r))).Select(r => Invariant($"{Words(r.Leading.Standing)} the {r.Leading.Threshold.Name} of {r.Leading.Threshold.Level.Decibels:0.#} dB(A) ({r.Rules.Name})"))) + ".";

    /// <summary>The level that counts at the ear; for rule sets that never count the protector, the lowest one outside.</summary>
    private static ThresholdResult Leading(RuleExposure rules) => rules.Thresholds.FirstOrDefault(t => t.Threshold.ProtectorCounted) ?? rules.Thresholds[0];

    private static string Sentence(List<ConditionExposure> rows, Wish wish)
    {
        var devices = rows.Where(r => r.Condition != TrialDocument.OpenEar && !r.Predicted).ToList();
        if (wish.Day is not { } length)
            return Invariant($"How long a day in this noise lasts is not stated. For orientation: worn throughout, how long until {string.Join(" or ", wish.Rules.Select(r => Invariant($"{r.Criterion.Decibels:0.#} dB(A) over {r.CriterionTime.TotalHours:0} h ({r.Name})")))} is reached.");
        var head = Invariant($"With {length.TotalHours:0.##} h a day in this noise") + (wish.OffMinutes > 0 ? Invariant($", {wish.OffMinutes:0.#} min of them with the device off") : "") + ": ";
        List<string> Names(Func<ConditionExposure, bool> which) => [.. devices.Where(which).Select(d => d.Name)];
        bool Is(ConditionExposure d, ExposureStanding s) => d.Rules.Select(Leading).All(t => t.Standing == s);
        List<string> below = Names(d => Is(d, ExposureStanding.Below)), above = Names(d => Is(d, ExposureStanding.Above)), open = Names(d => !Is(d, ExposureStanding.Below) && !Is(d, ExposureStanding.Above));
        var parts = new List<string>();
        if (below.Count > 0) parts.Add($"{(below.Count == devices.Count && below.Count > 1 ? "every measured condition" : List(below))} stays below, also at the one-sided 95 % upper level");
        if (open.Count > 0) parts.Add($"{List(open)} cannot be told or stands differently under different rules");
        if (above.Count > 0) parts.Add($"{List(above)} lies above");
        var against = string.Join(" and ", wish.Rules.Select(r => r.Thresholds.FirstOrDefault(t => t.ProtectorCounted) ?? r.Thresholds[0]).Select(t => Invariant($"{t.Level.Decibels:0.#} dB(A)")).Distinct(StringComparer.Ordinal));
        var off = devices.Select(d => d.OffShare).OfType<double>().ToList();
        return (parts.Count == 0 ? head + "no device was measured" : $"{head}against {against}, {string.Join("; ", parts)}") + "."
            + (off.Count > 0 && off.Max() > 0.5 ? Invariant($" Under {devices.MaxBy(d => d.OffShare)!.Name} the {wish.OffMinutes:0.#} min off carry {Share(off.Max())} of the day’s sound energy: wearing it without a break does more than a better device.") : "");
    }

    private static IEnumerable<string> Cautions(TrialDocument document, Wish wish, LevelReference? related)
    {
        yield return ExposureRules.Deference;
        if (related is not null) yield return $"The levels are {related.Words}: limits are stated for the sound field without the head. How far this one ear differs from the transfer used is in the intervals.";
        else yield return "The levels are those at the ear microphone. Limits are stated for the sound field without the head; nothing was converted, because the document does not say where the microphone sat or no transfer for its place was at hand."
            + " The ear’s own gain near 3 kHz makes such levels read high rather than low.";
        yield return "Radio, intercom and music in the device are not included unless they were on during the takes: they can be louder than the noise that is left.";
        yield return "The levels are those of this trial’s noise; louder phases, and the rest of the day, come on top.";
        if (wish.Day is null) yield return "Hours of a day are not stated, so no dose is given.";
        if (!wish.RulesStated) yield return "No rule set is named in the trial document; the NIOSH recommendation stands here for orientation.";
        if (document.Channels.Count == 0 && document.Logs.Count == 0) yield return "The readings were noted by hand at the meter’s place.";
    }

    private static string Words(ExposureStanding standing) => standing switch
    {
        ExposureStanding.Below => "below",
        ExposureStanding.Above => "above",
        ExposureStanding.Unresolved => "cannot be told against",
        _ => "not known against",
    };

    private static string Range(TimeSpan shortest, TimeSpan longest) => shortest.TotalHours >= 24 ? "95 %: more than 24 h" : $"95 %: {Time(shortest)} to {Time(longest)}";

    private static string Time(TimeSpan t) => t.TotalHours >= 24 ? "more than 24 h" : t.TotalHours >= 1 ? Invariant($"{t.TotalHours:0.#} h") : t.TotalMinutes >= 1 ? Invariant($"{t.TotalMinutes:0} min") : Invariant($"{t.TotalSeconds:0} s");

    private static string Share(double share) => share > 0.995 ? "more than 99 %" : Invariant($"{100 * share:0} %");

    private static string List(List<string> names) => names.Count == 1 ? names[0] : string.Join(", ", names.Take(names.Count - 1)) + " and " + names[^1];

    private static Level Db(double value) => Level.FromDecibels(value);
}
