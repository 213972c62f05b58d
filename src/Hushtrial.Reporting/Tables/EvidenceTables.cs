using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>The tables behind the results: uncertainty, calibration, published figures, files, settings.</summary>
public static class EvidenceTables
{
    /// <summary>The uncertainty budget of the A-weighted loss by source, in both scopes; what follows from published data has a table of its own.</summary>
    public static IEnumerable<ReportTable> Budgets(TrialResults results) => new[] { Budget(results, predicted: false), Budget(results, predicted: true) }.OfType<ReportTable>();

    private static ReportTable? Budget(TrialResults results, bool predicted)
    {
        var lines = results.Conditions.Where(c => c.Predicted == predicted).SelectMany(c => new[] { (Condition: c, Scope: EstimateScope.General), (Condition: c, Scope: EstimateScope.AsWorn) })
            .Select(l => (l.Condition, l.Scope, Estimate: l.Condition.Loss.A?.In(l.Scope))).Where(l => l.Estimate is not null).ToList();
        if (lines.Count == 0) return null;
        var sources = lines.SelectMany(l => l.Estimate!.Budget.Select(b => b.Source)).Distinct(StringComparer.Ordinal).ToList();
        return new(predicted ? "table-budget-published" : "table-budget", "Standard uncertainty of the A-weighted loss by source" + (predicted ? ", published and not measured" : ""),
            [new("Condition"), new("Scope"), .. sources.Select(s => new Column(Capital(s), "dB", true)), new("Combined", "dB", true)],
            [.. lines.Select(l => new Row([l.Condition.Name, Words.Scope(l.Scope),
                .. sources.Select(s => l.Estimate!.Budget.FirstOrDefault(b => b.Source == s) is { } b ? Cell2(b.StandardUncertainty) : Cell.Nothing), Cell2(l.Estimate!.StandardUncertainty)]))],
            predicted ? [] : ["Standard uncertainties, one standard deviation. The intervals in this report hold 95\u00A0% of the posterior distribution and are not a fixed multiple of these."]);
    }

    /// <summary>The standard deviations the model found in the data.</summary>
    public static ReportTable? Components(TrialResults results) => results.Method.ComponentsGeneral.Count == 0 ? null
        : new("table-components", "Scatter found in the readings, A-weighted", [new("Between"), new("Standard deviation", "dB", true)],
            [.. results.Method.ComponentsGeneral.Select(c => new Row([Capital(c.Key), Cell2(c.Value)]))], []);

    /// <summary>Calibration of each channel.</summary>
    public static ReportTable? Calibration(TrialResults results) => results.Calibrations.Count == 0 ? null
        : new("table-calibration", "Calibration of each channel", results.Mode == TrialMode.Absolute
            ? [new("Channel"), new("How", Wide: true), new("Level of full scale", "dB re 20 µPa", true), new("Standard uncertainty", "dB", true), new("After minus before", "dB", true)]
            : [new("Channel"), new("How", Wide: true), new("After minus before", "dB", true)],
            [.. results.Calibrations.Select(c => results.Mode == TrialMode.Absolute
                ? new Row([c.Channel, c.Words, c.FullScaleDecibels is { } f ? Cell2(f) : new Cell("not calibrated", Muted: true), c.StandardUncertainty is { } u ? Cell2(u) : Cell.Nothing, Drift(c)])
                : new Row([c.Channel, c.Words, Drift(c)]))],
            results.Mode == TrialMode.Absolute ? ["A calibration common to both readings cancels in the loss; it matters for levels at the ear alone."] : []);

    /// <summary>What makers publish, as written.</summary>
    public static ReportTable? Published(TrialResults results)
    {
        var rows = results.Document.Devices.Where(d => d.Published is not null).Select(d => new Row([d.Name,
            Join(d.Published!.Bands.Select(b => $"{b.Band}: {Words.Number(b.Mean)}" + (b.StandardDeviation is { } s ? $" (SD {Words.Number(s)})" : ""))),
            Join(d.Published.Ratings.Select(r => $"{r.Key.ToUpperInvariant()} {Words.Number(r.Value)}")),
            Join(d.Published.Claims.Select(c => c.Words ?? $"{c.Kind} {Words.Decibels(c.Value)}")), d.Published.Source ?? Words.NotStated])).ToList();
        return rows.Count == 0 ? null : new("table-published", "What is published about the devices, as written: not measured here",
            [new("Device"), new("Attenuation by band", "dB", Wide: true), new("Single numbers", "dB"), new("Claims", Wide: true), new("Where")], rows, []);
    }

    /// <summary>The input files with their hashes.</summary>
    public static ReportTable Inputs(TrialResults results) => new("table-inputs", "Input files", [new("File"), new("Bytes", null, true), new("SHA-256", Wide: true)],
        [.. results.Inputs.Select(i => new Row([i.File, i.Bytes.ToString("#,0", CultureInfo.InvariantCulture).Replace(',', '\u202F'), i.Sha256]))], []);

    /// <summary>Method and settings.</summary>
    public static ReportTable Settings(TrialResults results) => new("table-settings", "Method and settings", [new("Setting"), new("Value", Wide: true)],
        [new(["Version", "Hushtrial " + results.Version]), new(["Estimator", results.Method.Estimator]), new(["Leading scope", Words.Scope(results.Document.Scope)]),
            new(["Margin for equivalence", $"{Words.Decibels(results.Document.Margin.Decibels)}, set: {results.Document.MarginSet ?? Words.NotStated}"]),
            new(["Pairs compared", results.Document.Family.Count == 0 ? "all pairs" : Words.Count(results.Document.Family.Count, "declared pair")]),
            new(["Assumed beforehand", results.Method.Priors.Count == 0 ? Words.NotStated : string.Join("; ", results.Method.Priors)]), .. results.Method.Settings.Select(s => new Row([s.Key, s.Value]))], []);

    /// <summary>All problems and findings, each once: the document's and recordings' first, then those of takes.</summary>
    public static IReadOnlyList<Problem> Problems(TrialResults results) => [.. results.Problems.Concat(results.Takes.SelectMany(t => t.Findings)).Distinct()];

    private static Cell Drift(ChannelCalibration c) => c.DriftDecibels is { } d ? new(Words.Number(d, 2)) : new("not checked", Muted: true);

    private static Cell Cell2(double value) => new(Words.Number(value, 2));

    private static string Capital(string text) => text.Length == 0 ? text : char.ToUpperInvariant(text[0]) + text[1..];

    private static string Join(IEnumerable<string> parts) => string.Join("; ", parts) is { Length: > 0 } joined ? joined : "–";
}
