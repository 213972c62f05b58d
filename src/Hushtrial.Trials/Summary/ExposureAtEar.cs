using System.Globalization;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;
using static System.FormattableString;

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
        var day = DayExposure.Of([new() { Name = name, Duration = length, AtEar = worn, Outside = id == TrialDocument.OpenEar ? worn : outside, ShareOff = share }]);
        var rules = wish.Rules.Select(day.Under).Select(r => new RuleExposure(r.Rules, r.AllowedTime, r.DosePercent, r.TimeWeightedAverage, r.Thresholds)).ToList();
        var normalised = day.NormalisedLevel(_eightHours);
        double? off = share > 0 ? share * outside!.Best.MeanSquareRatio / ((share * outside.Best.MeanSquareRatio) + ((1 - share) * worn.Best.MeanSquareRatio)) : null;
        return new(id, name, predicted, level, normalised, off, protection, rules, OfDay(name, id == TrialDocument.OpenEar, normalised, rules));
    }

    private static Bounded<TimeSpan>? Times(ExposureRules rules, EarLevel level) =>
        rules.AllowedTime(level.Best) is { } best && rules.AllowedTime(level.Low) is { } low && rules.AllowedTime(level.High) is { } high && rules.AllowedTime(level.Upper) is { } upper
            ? new(best, low, high, upper) : null;

    private static string Throughout(string name, List<RuleExposure> rules, EarLevel level) => Invariant($"{name}: {level.Best.Decibels:0.0} dB(A) at the ear (95 %: {level.Low.Decibels:0.0} to {level.High.Decibels:0.0}); ")
        + string.Join("; ", rules.Select(r => r.AllowedTime is { } t
            ? Invariant($"{r.Rules.Name}, {r.Rules.Criterion.Decibels:0.#} dB(A): reached after {Time(t.Best)} ({Range(t.High, t.Low)}); count on no more than {Time(t.Upper)}")
            : $"{r.Rules.Name}: a level that this rule set does not count")) + ".";

    // Without a device the level is no level under one.
    private static string OfDay(string name, bool open, Bounded<Level> day, List<RuleExposure> rules) =>
        Invariant($"{name}: LEX,8h {day.Best.Decibels:0.0} dB(A){(open ? "" : " at the ear")} (95 %: {day.Low.Decibels:0.0} to {day.High.Decibels:0.0}); ") + ExposureSentence.Against(rules) + ".";

    private static string Sentence(List<ConditionExposure> rows, Wish wish)
    {
        if (wish.Day is not { } length)
            return Invariant($"How long a day in this noise lasts is not stated. For orientation: worn throughout, how long until {string.Join(" or ", wish.Rules.Select(r => Invariant($"{r.Criterion.Decibels:0.#} dB(A) over {r.CriterionTime.TotalHours:0} h ({r.Name})")))} is reached at the ear.");
        var head = Invariant($"With {length.TotalHours:0.##} h a day in this noise") + (wish.OffMinutes > 0 ? Invariant($", {wish.OffMinutes:0.#} min of them with the device off") : "") + ": ";
        var devices = rows.Where(r => r.Condition != TrialDocument.OpenEar && !r.Predicted && r.OffShare is not null).ToList();
        return ExposureSentence.OfDay(rows, head) + (devices.MaxBy(d => d.OffShare) is { OffShare: > 0.5 } most
            ? Invariant($" Under {most.Name} the {wish.OffMinutes:0.#} min off carry {Share(most.OffShare.Value)} of the day’s sound energy: wearing it without a break does more than a better device.") : "");
    }

    private static IEnumerable<string> Cautions(TrialDocument document, Wish wish, LevelReference? related)
    {
        yield return ExposureRules.Deference;
        if (related is not null) yield return $"The levels are {related.Words}: limits are stated for the sound field without the head. How far this one ear differs from the transfer used is in the intervals.";
        else yield return "The levels are those at the ear microphone. Limits are stated for the sound field without the head; nothing was converted, because "
            + (FieldTransfer.PlaceInWords(document) ? "the document gives the microphone’s place in words only and not as ‘microphone_at’." : document.MicrophoneAt is null ? "the document does not say where the microphone sat." : "no transfer for the microphone’s place was at hand.")
            + " The ear’s own gain near 3 kHz makes such levels read high rather than low.";
        yield return "Radio, intercom and music in the device are not included unless they were on during the takes: they can be louder than the noise that is left.";
        yield return "The levels are those of this trial’s noise; louder phases, and the rest of the day, come on top.";
        if (wish.Day is null) yield return "Hours of a day are not stated, so no dose is given.";
        if (!wish.RulesStated) yield return "No rule set is named in the trial document; the NIOSH recommendation stands here for orientation.";
        if (document.Channels.Count == 0 && document.Logs.Count == 0) yield return "The readings were noted by hand at the meter’s place.";
    }

    private static string Range(TimeSpan shortest, TimeSpan longest) => shortest.TotalHours >= 24 ? "95 %: more than 24 h" : $"95 %: {Time(shortest)} to {Time(longest)}";

    private static string Time(TimeSpan t) => t.TotalHours >= 24 ? "more than 24 h" : t.TotalHours >= 1 ? Invariant($"{t.TotalHours:0.#} h") : t.TotalMinutes >= 1 ? Invariant($"{t.TotalMinutes:0} min") : Invariant($"{t.TotalSeconds:0} s");

    private static string Share(double share) => share > 0.995 ? "more than 99 %" : Invariant($"{100 * share:0} %");

    private static Level Db(double value) => Level.FromDecibels(value);
}
