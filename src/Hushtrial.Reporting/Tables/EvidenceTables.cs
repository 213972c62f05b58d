using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>The tables behind the results: uncertainty, calibration, published figures, files, settings.</summary>
public static class EvidenceTables
{
    /// <summary>Short names of variance components and what a reader should see.</summary>
    private static readonly Dictionary<string, string> _components = new(StringComparer.OrdinalIgnoreCase)
    {
        ["fit"] = "Donnings of one device", ["donning"] = "Donnings of one device", ["occ"] = "Occasions of one device", ["occasion"] = "Occasions of one device",
        ["fit of the active part"] = "Active parts of one device", ["flight"] = "Flights, all conditions alike", ["switch"] = "Changes inside a donning", ["wander"] = "The noise over minutes", ["epi"] = "Placements of the microphone", ["episode"] = "Placements of the microphone", ["take"] = "Takes of one donning", ["wearer"] = "Wearers",
    };

    /// <summary>The uncertainty budget of the A-weighted loss by source: the leading scope, the other one small below it. What follows from
    /// published data has a table of its own.</summary>
    public static IEnumerable<ReportTable> Budgets(TrialResults results)
    {
        var known = results.Conditions.Where(c => c.Loss.A is { } a && (a.AsWorn ?? a.General) is not null);
        var parts = ConditionColumns.Share(known);
        return parts.Select((part, i) => Budget(results, part, i, parts.Count));
    }

    private static ReportTable Budget(TrialResults results, IReadOnlyList<ConditionResult> conditions, int index, int count)
    {
        var (leading, other) = (results.Document.Scope, results.Document.Scope == EstimateScope.General ? EstimateScope.AsWorn : EstimateScope.General);
        var sources = conditions.SelectMany(c => new[] { c.Loss.A!.In(leading), c.Loss.A.In(other) }).OfType<Estimate>().SelectMany(e => e.Budget.Select(b => b.Source)).Distinct(StringComparer.Ordinal);
        Cell Value(ConditionResult c, Func<Estimate, double?> find)
        {
            double? first = c.Loss.A!.In(leading) is { } l ? find(l) : null, second = c.Loss.A.In(other) is { } o ? find(o) : null;
            return new(first is { } f ? Words.Number(f, 2) : Cell.Nothing.Main, second is { } s ? $"{Words.Scope(other)} {Words.Number(s, 2)}" : null);
        }
        return new(string.Create(CultureInfo.InvariantCulture, $"table-budget-{index + 1}"), $"Standard uncertainty of the A-weighted {Words.QuantityLower(results.Document.Quantity)} by source, {Words.Scope(leading)}" + Words.PartOf(index, count),
            [new("Source"), .. conditions.Select(c => new Column(c.Predicted ? c.Name + " (published, not measured)" : c.Name, "dB", true))],
            [.. sources.Select(s => new Row([Capital(s), .. conditions.Select(c => Value(c, e => e.Budget.FirstOrDefault(b => b.Source == s)?.StandardUncertainty))])),
                new(["Combined", .. conditions.Select(c => Value(c, e => e.StandardUncertainty))])],
            index > 0 ? [] : ["Standard uncertainties, one standard deviation. The intervals in this report hold 95\u00A0% of the posterior distribution and are not a fixed multiple of these."]);
    }

    /// <summary>The standard deviations the model found in the data.</summary>
    public static ReportTable? Components(TrialResults results) => results.Method.ComponentsGeneral.Count == 0 ? null
        : new("table-components", "Scatter found in the readings, A-weighted", [new("Of"), new("Standard deviation", "dB", true)],
            [.. results.Method.ComponentsGeneral.Select(c => new Row([_components.GetValueOrDefault(c.Key, Capital(c.Key)), Cell2(c.Value)]))], []);

    /// <summary>The prior-free answers beside the primary ones, in general.</summary>
    public static ReportTable? PriorFree(TrialResults results)
    {
        if (results.PriorFree is not { } check) return null;
        string Name(string id) => results.Conditions.FirstOrDefault(c => c.Condition.Id == id)?.Name ?? id;
        Row Of(PriorFreeRow row, Estimate? primary) => new([row.Second is null ? Name(row.First) : $"{Name(row.First)} minus {Name(row.Second)}",
            $"{Words.Number(row.Value)} ({Words.Number(row.Low)} to {Words.Number(row.High)})", Words.Number(row.DegreesOfFreedom),
            primary is null ? Words.NotStated : $"{Words.Number(primary.Value)} ({Words.Number(primary.Low)} to {Words.Number(primary.High)})"]);
        return new("table-prior-free", "The same without any assumed scatter, A-weighted", [new($"{Words.Quantity(results.Document.Quantity)} or difference"), new("Without assumptions", "dB, 95 %", true), new("Degrees of freedom", Numeric: true), new("Primary, in general", "dB, 95 %", true)],
            [.. check.Losses.Select(l => Of(l, results.Conditions.FirstOrDefault(c => c.Condition.Id == l.First)?.Loss.A?.General)),
             .. check.Pairs.Select(p => Of(p, results.Pairs.FirstOrDefault(r => r.First == p.First && r.Second == p.Second)?.General?.Difference))],
            ["Restricted likelihood with Kenward-Roger degrees of freedom, episodes as random effects. It knows no scatter from elsewhere and cannot see what the design does not repeat, so its intervals may be too short; it is a check."]);
    }

    /// <summary>Calibration of each channel.</summary>
    public static ReportTable? Calibration(TrialResults results) => results.Calibrations.Count == 0 ? null
        : new("table-calibration", "Calibration of each channel", results.Mode == TrialMode.Absolute
            ? [new("Channel"), new("How", Wide: true), new("Level of full scale", "dB re 20 µPa", true), new("Standard uncertainty", "dB", true), new("After minus before", "dB", true)]
            : [new("Channel"), new("How", Wide: true), new("After minus before", "dB", true)],
            [.. results.Calibrations.Select(c => results.Mode == TrialMode.Absolute
                ? new Row([c.Channel, Words.Sentence(c.Words), c.FullScaleDecibels is { } f ? Cell2(f) : new Cell("not calibrated", Muted: true), c.StandardUncertainty is { } u ? Cell2(u) : Cell.Nothing, Drift(c)])
                : new Row([c.Channel, Words.Sentence(c.Words), Drift(c)]))],
            results.Mode == TrialMode.Absolute ? [results.Document.Quantity == MeasuredQuantity.LevelDifference ? "Two microphones are compared: neither calibration cancels in a level difference; both cancel in a difference between conditions."
                : "A calibration common to both readings cancels in the loss; it matters for levels at the ear alone."] : []);

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
            new(["Assumed beforehand", results.Method.Priors.Count == 0 ? Words.NotStated : string.Join("; ", results.Method.Priors.Select(p => p.TrimEnd('.')))]), .. results.Method.Settings.Select(s => new Row([s.Key, s.Value]))], []);

    /// <summary>All problems and findings, each once: the document's and recordings' first, then those of takes.</summary>
    public static IReadOnlyList<Problem> Problems(TrialResults results) => [.. results.Problems.Concat(results.Takes.SelectMany(t => t.Findings)).Distinct()];

    private static Cell Drift(ChannelCalibration c) => c.DriftDecibels is { } d ? new(Words.Number(d, 2)) : new("not checked", Muted: true);

    private static Cell Cell2(double value) => new(Words.Number(value, 2));

    private static string Capital(string text) => text.Length == 0 ? text : char.ToUpperInvariant(text[0]) + text[1..];

    private static string Join(IEnumerable<string> parts) => string.Join("; ", parts) is { Length: > 0 } joined ? joined : "–";
}
