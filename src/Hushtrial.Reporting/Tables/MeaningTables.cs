using System.Globalization;
using Hushtrial.Hearing.Claims;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Figures;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>What the numbers mean: published figures, a day's exposure, loudness.</summary>
public static class MeaningTables
{
    /// <summary>Every published figure with its outcome; null when nothing is published of a measured device.</summary>
    public static ReportTable? Claims(TrialResults results) => results.Claims.Count == 0 ? null : new("table-claims", "Published figures and what was found",
        [new("Condition"), new("Published", Wide: true), new("Outcome", Wide: true), new("Probability", "that it is reached", true)],
        [.. results.Claims.Select(c => new Row([c.Name, new Cell(c.Words, c.Device.Published?.Source), new Cell(Capital(ClaimFigure.Verdict(c)), Words.Sentence(string.Join(' ', c.Remarks.Prepend(WithoutVerdict(c.Sentence))))),
            c.Probability is { } p ? new Cell(Probability(p)) : Cell.Nothing]))],
        [ClaimOutcome.Fairness, .. results.Claims.SelectMany(c => c.Comparability).Select(d => d.Text).Distinct(StringComparer.Ordinal).Select(Words.Sentence)]);

    /// <summary>What figures at one frequency can mean for the whole noise; null without any.</summary>
    public static ReportTable? Translations(TrialResults results)
    {
        var rows = results.Claims.Where(c => c.Translation.Count > 0).Select(c => new Row([c.Name, new Cell(c.Words),
            .. new[] { FrequencyWeighting.A, FrequencyWeighting.C }.Select(w => c.Translation.FirstOrDefault(t => t.Weighting == w) is { } t
                ? new Cell($"{Words.Number(t.Floor.Decibels)} to {Words.Number(t.Ceiling.Decibels)}", $"{Words.Number(100 * t.ShareOfBand)}\u00A0% of the energy is in that band") : Cell.Nothing)])).ToList();
        return rows.Count == 0 ? null : new("table-translations", "What a figure at one frequency can mean for the whole of this noise",
            [new("Condition"), new("Published", Wide: true), new("A-weighted, at least to at most", "dB", true), new("C-weighted, at least to at most", "dB", true)], rows,
            ["At least: nothing but that band is reduced. At most: no band does better; for electronics, every band up to 1\u00A0kHz gains as much and none above."]);
    }

    /// <summary>Levels of a day: while worn, LEX,8h, and what the time off carries; nothing in relative mode.</summary>
    public static ReportTable? Exposure(TrialResults results)
    {
        if (results.Mode == TrialMode.Relative || results.Exposure is not { } exposure) return null;
        return new ReportTable("table-exposure", exposure.HoursPerDay is { } h ? $"A day of {Hours(h)} in this noise" + (exposure.OffMinutes is { } off ? $", {Words.Number(off, 0)}\u00A0min of them with the device off" : "") : "Worn throughout",
            [new("Condition"), new("While worn", $"dB(A) {Words.Level(exposure.Reference.Kind)}, 95\u00A0%", true), new("LEX,8h", $"dB(A) {Words.Level(exposure.Reference.Kind)}, 95\u00A0%", true), new("Energy in the time off", "of the day’s", true), new("While worn it is", Wide: true)],
            [.. exposure.Conditions.Select(c => new Row([Named(c), Level(c.Worn), c.Day is { } d ? Level(d) : Cell.Nothing, c.OffShare is { } share ? new Cell(Probability(share)) : Cell.Nothing, ProtectionBands.Describe(c.Protection)]))],
            []).WithoutEmptyColumns();
    }

    /// <summary>Doses and times, a table for each rule set; none in relative mode.</summary>
    public static IEnumerable<ReportTable> Rules(TrialResults results)
    {
        if (results.Mode == TrialMode.Relative || results.Exposure is not { } exposure) yield break;
        for (var i = 0; i < exposure.Conditions[0].Rules.Count; i++)
        {
            var rules = exposure.Conditions[0].Rules[i].Rules;
            var levels = exposure.Conditions[0].Rules[i].Thresholds.Select(t => t.Threshold).ToList();
            yield return new ReportTable($"table-rules-{rules.Id}", $"{rules.Name}: informed by it, no finding under it",
                [new("Condition"), new("Dose", "%, at the ear", true), new("Time allowed", $"until {Words.Number(rules.Criterion.Decibels, 0)} dB(A) over {Words.Number(rules.CriterionTime.TotalHours, 0)} h", true),
                    .. levels.Select(t => new Column(Capital(t.Name), $"{Words.Number(t.Level.Decibels, 0)} dB(A), {(t.ProtectorCounted ? "at the ear" : "outside")}"))],
                [.. exposure.Conditions.Select(c => new Row([Named(c), c.Rules[i].DosePercent is { } dose ? new Cell(Dose(dose.Best), $"{Dose(dose.Low)} to {Dose(dose.High)}") : Cell.Nothing, Allowed(c.Rules[i].AllowedTime),
                    .. c.Rules[i].Thresholds.Select(t => (Cell)Stands(t.Standing))]))],
                ["Time allowed: of the same pattern of wearing, with its 95\u00A0% interval; ‘count on’ rests on the one-sided 95\u00A0% upper level.",
                    .. levels.Any(t => !t.ProtectorCounted) ? new[] { results.Document.Quantity == MeasuredQuantity.LevelDifference ? "‘Outside’ is judged by the level at the outside microphone." : results.Reference.Kind == LevelKind.FieldRelated
                        ? "‘Outside’ is judged by the level at the open ear, referred to the field without the head." : "‘Outside’ is judged by the level at the open ear, which stands in for the field without the head." } : [], .. rules.Cautions.Select(Words.Sentence), $"Source: {rules.Source}."]).WithoutEmptyColumns();
        }
    }

    private static string Named(ConditionExposure c) => c.Predicted ? c.Name + " (published, not measured)" : c.Name;

    private static Cell Allowed(Bounded<TimeSpan>? allowed) => allowed is not { } t ? new("not counted", Muted: true)
        : new(Time(t.Best), t.Upper.TotalHours >= 24 ? null : $"{Time(t.High)} to {Time(t.Low)}; count on {Time(t.Upper)}");

    private static string Stands(Standing standing) => standing switch
    {
        Standing.Below => "below", Standing.Above => "above", Standing.Unresolved => "cannot be told", _ => "not known",
    };

    /// <summary>Loudness and energy beside the open ear; null in relative mode or when none can be calculated.</summary>
    public static ReportTable? Loudness(TrialResults results) => results.Mode == TrialMode.Relative || results.Loudness.All(l => l.Comparison is null) ? null
        : new("table-loudness", "How loud it is under each device, beside the open ear",
            [new("Condition"), new("Loudness", "sone"), new("Loudness, covered over open", "95\u00A0%", true), new("Sound energy, covered over open", "95\u00A0%, A-weighted", true)],
            [.. results.Loudness.Where(l => l.Comparison is not null).Select(l => new Row([l.Name, $"{Words.Number(l.Comparison!.Covered.Total.Value)} instead of {Words.Number(l.Comparison.Open.Total.Value)}",
                new(Words.Number(l.Comparison.LoudnessRatio.Value, 2), $"{Words.Number(l.Comparison.LoudnessRatio.Low, 2)} to {Words.Number(l.Comparison.LoudnessRatio.High, 2)}"),
                new(Energy(l.Comparison.EnergyRatio.Value), $"{Energy(l.Comparison.EnergyRatio.Low)} to {Energy(l.Comparison.EnergyRatio.High)}")]))],
            [results.Reference.Kind == LevelKind.FieldRelated
                ? $"Informed by ISO 532-1:2017, stationary sounds, diffuse field, from the one-third-octave levels 25\u00A0Hz to 12.5\u00A0kHz {results.Reference.Words}."
                : "Informed by ISO 532-1:2017, stationary sounds, diffuse field, from the one-third-octave levels 25\u00A0Hz to 12.5\u00A0kHz as read at the ear microphone. The standard asks for levels of the field without the head; what the ear adds is in both and largely cancels in the ratio.",
                "Intervals move all bands together, as a seal does: the widest they can be."]);

    private static Cell Level(Bounded<Level> level) => new(Words.Number(level.Best.Decibels), Words.Range(level.Low.Decibels, level.High.Decibels));

    private static string Hours(double hours) => hours.ToString("0.##", CultureInfo.InvariantCulture) + "\u00A0h";

    private static string Time(TimeSpan t) => t.TotalHours >= 24 ? "more than 24\u00A0h" : t.TotalHours >= 1 ? $"{t.TotalHours.ToString("0.#", CultureInfo.InvariantCulture)}\u00A0h"
        : t.TotalMinutes >= 1 ? $"{Words.Number(t.TotalMinutes, 0)}\u00A0min" : $"{Words.Number(t.TotalSeconds, 0)}\u00A0s";

    private static string Dose(double dose) => dose < 0.1 ? "< 0.1" : Words.Number(dose, dose < 10 ? 1 : 0);

    private static string Energy(double ratio) => ratio >= 0.01 ? Words.Number(ratio, 3) : Words.Number(ratio, 4);

    private static string Probability(double p) => (p > 0.995 ? "> 99" : p < 0.005 ? "< 1" : Words.Number(100 * p, 0)) + "\u00A0%";

    // The verdict stands above the sentence already.
    private static string WithoutVerdict(string sentence)
    {
        foreach (var head in new[] { "Supported: ", "Not resolved: ", "Not tested: " })
            if (sentence.StartsWith(head, StringComparison.Ordinal)) return Capital(sentence[head.Length..]);
        return sentence;
    }

    private static string Capital(string text) => char.ToUpperInvariant(text[0]) + text[1..];
}
