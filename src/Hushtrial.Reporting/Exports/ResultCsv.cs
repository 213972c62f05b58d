using Hushtrial.Reporting.Figures;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>All numbers of the results as CSV files, quantity and unit in the header.</summary>
/// <remarks>In relative mode the level columns are named 'db_re_highest': the highest A-weighted level of the trial is 0.</remarks>
public static class ResultCsv
{
    private static readonly EstimateScope[] _scopes = [EstimateScope.General, EstimateScope.AsWorn];

    /// <summary>The overall quantity: one record per condition, weighting and scope. The columns bear the quantity's name, so that files of different trials cannot be stacked by mistake.</summary>
    public static string Conditions(TrialResults results)
    {
        var q = Names.Quantity(results.Document.Quantity);
        var csv = new Csv(["condition", "name", "device", "mode", "worn_with", "predicted", "fits", "takes", "weighting", "scope", .. Columns(q), .. Columns(q + "_field_related"), "reason"]);
        foreach (var c in results.Conditions.Where(c => !c.IsReference))
            foreach (var (weighting, effect, field) in new[] { ("A", c.Loss.A, c.FieldLoss?.A), ("C", c.Loss.C, c.FieldLoss?.C) })
                foreach (var scope in _scopes)
                    if (effect is not null)
                        csv.Row([c.Condition.Id, c.Name, c.Device.Id, c.Condition.Mode, string.Join("; ", c.Condition.WornWith), c.Predicted, c.Fits, c.Takes, weighting, Names.Scope(scope),
                            .. Numbers(effect.In(scope)), .. Numbers(field?.In(scope)), effect.Reason]);
        return csv.ToString();
    }

    /// <summary>The quantity per band: one record per condition, band and scope.</summary>
    public static string Bands(TrialResults results)
    {
        var csv = new Csv(["condition", "midband_hz", "bands_per_octave", "scope", .. Columns(Names.Quantity(results.Document.Quantity)), "valid", "lower_bound_only", "reason"]);
        foreach (var c in results.Conditions)
            foreach (var b in c.Loss.Bands.OrderBy(b => b.Band))
                foreach (var scope in _scopes)
                    csv.Row([c.Condition.Id, b.Band.NominalHertz, (int)b.Band.Fraction, Names.Scope(scope), .. Numbers(b.Effect.In(scope)), b.Valid, b.LowerBoundOnly, b.Reason ?? b.Effect.Reason]);
        return csv.ToString();
    }

    /// <summary>Levels at the ear, overall ('A', 'C') and per band: as read in one set of columns, referred to the field in another; the open ear is condition 'open'. Absolute mode only.</summary>
    public static string Levels(TrialResults results)
    {
        var csv = new Csv(["condition", "band", "bands_per_octave", "scope", .. Columns("level_as_read", "db_re_20_upa"), .. Columns("level_field_related", "db_re_20_upa"), "valid", "reason"]);
        void Add(string id, SpectrumEffect? read, SpectrumEffect? field)
        {
            if (read is null && field is null) return;
            foreach (var scope in _scopes)
            {
                foreach (var (weighting, r, f) in new[] { ("A", read?.A, field?.A), ("C", read?.C, field?.C) })
                    if (r is not null || f is not null) csv.Row([id, weighting, null, Names.Scope(scope), .. Numbers(r?.In(scope)), .. Numbers(f?.In(scope)), true, (r ?? f)!.Reason]);
                foreach (var b in (read ?? field)!.Bands.OrderBy(b => b.Band))
                    csv.Row([id, b.Band.NominalHertz, (int)b.Band.Fraction, Names.Scope(scope), .. Numbers(read is null ? null : b.Effect.In(scope)),
                        .. Numbers(field?.Bands.FirstOrDefault(x => x.Band == b.Band)?.Effect.In(scope)), b.Valid, b.Reason ?? b.Effect.Reason]);
            }
        }
        Add(TrialDocument.OpenEar, results.OpenEarLevel, results.OpenFieldLevel);
        foreach (var c in results.Conditions) Add(c.Condition.Id, c.EarLevel, c.FieldLevel);
        return csv.ToString();
    }

    /// <summary>What the electronics add in the same donning, overall and per band, where it is not the trial's own quantity.</summary>
    public static string ActiveParts(TrialResults results)
    {
        var csv = new Csv(["condition", "off", "fits", "band", "bands_per_octave", "scope", .. Columns(Names.Quantity(MeasuredQuantity.ActivePart)), "valid", "lower_bound_only", "reason"]);
        foreach (var p in results.ActiveParts)
            foreach (var scope in _scopes)
            {
                foreach (var (weighting, effect) in new[] { ("A", p.Part.A), ("C", p.Part.C) })
                    if (effect is not null) csv.Row([p.Condition, p.Off, p.Fits, weighting, null, Names.Scope(scope), .. Numbers(effect.In(scope)), true, false, effect.Reason]);
                foreach (var b in p.Part.Bands.OrderBy(b => b.Band))
                    csv.Row([p.Condition, p.Off, p.Fits, b.Band.NominalHertz, (int)b.Band.Fraction, Names.Scope(scope), .. Numbers(b.Effect.In(scope)), b.Valid, b.LowerBoundOnly, b.Reason ?? b.Effect.Reason]);
            }
        return csv.ToString();
    }

    /// <summary>The quantity of each donning: one record per donning, condition and band, with the overall values as bands 'A' and 'C'.</summary>
    public static string Fits(TrialResults results)
    {
        var csv = new Csv("condition", "fit", "run", "wearer", "takes", "band", $"{Names.Quantity(results.Document.Quantity)}_db");
        foreach (var c in results.Conditions)
            foreach (var f in c.FitsDetail)
            {
                if (f.LossA is not null) csv.Row(c.Condition.Id, f.Fit, f.Run, f.Wearer, f.Takes, "A", f.LossA);
                if (f.LossC is not null) csv.Row(c.Condition.Id, f.Fit, f.Run, f.Wearer, f.Takes, "C", f.LossC);
                foreach (var b in f.Bands.OrderBy(b => b.Key)) csv.Row(c.Condition.Id, f.Fit, f.Run, f.Wearer, f.Takes, b.Key.NominalHertz, b.Value);
            }
        return csv.ToString();
    }

    /// <summary>Losses and levels carried to other cabins: one record per cabin, condition, quantity, weighting and scope.</summary>
    public static string Cabins(TrialResults results)
    {
        var csv = new Csv(["cabin", "cabin_name", "condition", "name", "predicted", "weighting", "scope", .. Columns(Names.Quantity(results.Document.Quantity)),
            "level_at_ear_db_re_20_upa", "level_at_ear_low95_db_re_20_upa", "level_at_ear_high95_db_re_20_upa", "at_least", "why_not"]);
        foreach (var cabin in results.Cabins)
            foreach (var c in cabin.Conditions)
                foreach (var (weighting, loss, level) in new[] { ("A", c.LossA, c.EarLevelA), ("C", c.LossC, c.EarLevelC) })
                    foreach (var scope in _scopes)
                        if (loss?.In(scope) is { } e)
                            csv.Row([cabin.Cabin.Id, cabin.Cabin.Name, c.Condition, c.Name, c.Predicted, weighting, Names.Scope(scope), .. Numbers(e), level?.In(scope)?.Value, level?.In(scope)?.Low, level?.In(scope)?.High, c.AtLeast, c.WhyNot]);
                        else if (loss is null && c.WhyNot is not null && scope == results.Document.Scope)
                            csv.Row([cabin.Cabin.Id, cabin.Cabin.Name, c.Condition, c.Name, c.Predicted, weighting, Names.Scope(scope), .. Numbers(null), null, null, null, c.AtLeast, c.WhyNot]);
        return csv.ToString();
    }

    /// <summary>Share of the A-weighted energy by band: one record per condition and band, the open ear as 'open'.</summary>
    public static string EnergyShares(TrialResults results)
    {
        var csv = new Csv("condition", "name", "midband_hz", "bands_per_octave", "share_of_a_weighted_energy");
        foreach (var s in results.Shares)
            foreach (var (band, share) in s.ByBand.OrderBy(b => b.Key)) csv.Row(s.Condition, s.Name, band.NominalHertz, (int)band.Fraction, share);
        return csv.ToString();
    }

    /// <summary>Every comparison: one record per pair and scope.</summary>
    public static string Pairs(TrialResults results)
    {
        var csv = new Csv("first", "second", "scope", $"{Names.Quantity(results.Document.Quantity)}_difference_db", "low95_db", "high95_db", "simultaneous_low95_db", "simultaneous_high95_db", "simultaneous_low90_db", "simultaneous_high90_db",
            "verdict", "margin_db", "p_greater_0", "p_within_margin", "depends_on_prior", "more_fits_needed", "sentence");
        foreach (var p in results.Pairs)
            foreach (var scope in _scopes)
                if (p.In(scope) is { } v)
                    csv.Row(p.First, p.Second, Names.Scope(scope), v.Difference.Value, v.Difference.Low, v.Difference.High, v.SimultaneousLow95, v.SimultaneousHigh95, v.SimultaneousLow90, v.SimultaneousHigh90,
                        Names.Verdict(v.Verdict), results.Document.Margin.Decibels, v.ProbabilityPositive, v.ProbabilityWithinMargin, v.DependsOnPrior, p.MoreFitsNeeded, v.Sentence);
        return csv.ToString();
    }

    /// <summary>Every take, also those left out.</summary>
    public static string Takes(TrialResults results)
    {
        var (unit, offset) = Reference(results);
        var csv = new Csv("take", "run", "wearer", "condition", "fit", "recording", "from_s", "to_s", "clock_s", "seconds", "used", "left_out_because", $"level_a_{unit}", $"level_c_{unit}", "findings", "remarks", $"level_a_noise_only_{unit}");
        foreach (var t in results.Takes)
            csv.Row(t.Entry.Id, t.Entry.Run, t.Entry.Wearer, t.Entry.Condition, t.Entry.Fit, t.Entry.Recording ?? t.Entry.Log, t.Entry.From, t.Entry.To, t.Clock, t.Seconds, t.Used, t.Entry.LeftOut ?? t.Refused,
                t.LevelA - offset, t.LevelC - offset, string.Join("; ", t.Findings.Select(f => $"{f.Code} {f.Found}")), t.Entry.Remarks, t.NoiseOnly?.LevelA - offset);
        return csv.ToString();
    }

    /// <summary>The level histories: one record per interval; an interval of digital silence has no level.</summary>
    public static string History(TrialResults results)
    {
        var (unit, offset) = Reference(results);
        var csv = new Csv("run", "recording", "clock_s", "step_s", $"level_a_{unit}");
        foreach (var h in results.Histories)
            for (var i = 0; i < h.LevelA.Count; i++) csv.Row(h.Run, h.Recording, h.StartClock + (i * h.StepSeconds), h.StepSeconds, h.LevelA[i] - offset);
        return csv.ToString();
    }

    private static (string Unit, double Offset) Reference(TrialResults results) =>
        results.Mode == TrialMode.Absolute ? ("db_re_20_upa", 0) : ("db_re_highest", HistoryFigure.RelativeReference(results));

    private static string[] Columns(string name, string unit = "db") => [$"{name}_{unit}", $"{name}_low95_{unit}", $"{name}_high95_{unit}", $"{name}_standard_uncertainty_db"];

    private static object?[] Numbers(Estimate? e) => [e?.Value, e?.Low, e?.High, e?.StandardUncertainty];
}
