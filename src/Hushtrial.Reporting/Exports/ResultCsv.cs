using Hushtrial.Reporting.Figures;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>All numbers of the results as CSV files, units in the header.</summary>
/// <remarks>In relative mode the level columns are named 'db_re_highest': the highest A-weighted level of the trial is 0.</remarks>
public static class ResultCsv
{
    private static readonly EstimateScope[] _scopes = [EstimateScope.General, EstimateScope.AsWorn];

    /// <summary>Overall losses and levels: one record per condition, quantity, weighting and scope.</summary>
    public static string Conditions(TrialResults results)
    {
        var csv = new Csv("condition", "name", "device", "mode", "worn_with", "predicted", "fits", "takes", "value_of", "weighting", "scope", "estimate_db", "low95_db", "high95_db", "standard_uncertainty_db", "reason");
        foreach (var c in results.Conditions)
            foreach (var (of, spectrum) in Spectra(results, c))
                foreach (var (weighting, effect) in new[] { ("A", spectrum.A), ("C", spectrum.C) })
                    foreach (var scope in _scopes)
                        if (effect is not null)
                        {
                            var e = effect.In(scope);
                            csv.Row(c.Condition.Id, c.Name, c.Device.Id, c.Condition.Mode, string.Join("; ", c.Condition.WornWith), c.Predicted, c.Fits, c.Takes, of, weighting, Names.Scope(scope),
                                e?.Value, e?.Low, e?.High, e?.StandardUncertainty, effect.Reason);
                        }
        return csv.ToString();
    }

    /// <summary>Losses and levels per band: one record per condition, quantity, band and scope; the open ear's levels are condition 'open'.</summary>
    public static string Bands(TrialResults results)
    {
        var csv = new Csv("condition", "value_of", "midband_hz", "bands_per_octave", "scope", "estimate_db", "low95_db", "high95_db", "standard_uncertainty_db", "valid", "lower_bound_of_loss_only", "reason");
        void Add(string id, string of, SpectrumEffect spectrum)
        {
            foreach (var b in spectrum.Bands.OrderBy(b => b.Band))
                foreach (var scope in _scopes)
                {
                    var e = b.Effect.In(scope);
                    csv.Row(id, of, b.Band.NominalHertz, (int)b.Band.Fraction, Names.Scope(scope), e?.Value, e?.Low, e?.High, e?.StandardUncertainty, b.Valid, b.LowerBoundOnly, b.Reason ?? b.Effect.Reason);
                }
        }
        if (results is { Mode: TrialMode.Absolute, OpenEarLevel: { } open }) Add(TrialDocument.OpenEar, "level_re_20_upa", open);
        foreach (var c in results.Conditions)
            foreach (var (of, spectrum) in Spectra(results, c)) Add(c.Condition.Id, of, spectrum);
        return csv.ToString();
    }

    /// <summary>Each donning's own loss: one record per donning, condition and band, with the overall values as bands 'A' and 'C'.</summary>
    public static string Fits(TrialResults results)
    {
        var csv = new Csv("condition", "fit", "run", "wearer", "takes", "band", "loss_db");
        foreach (var c in results.Conditions)
            foreach (var f in c.FitsDetail)
            {
                if (f.LossA is not null) csv.Row(c.Condition.Id, f.Fit, f.Run, f.Wearer, f.Takes, "A", f.LossA);
                if (f.LossC is not null) csv.Row(c.Condition.Id, f.Fit, f.Run, f.Wearer, f.Takes, "C", f.LossC);
                foreach (var b in f.Bands.OrderBy(b => b.Key)) csv.Row(c.Condition.Id, f.Fit, f.Run, f.Wearer, f.Takes, b.Key.NominalHertz, b.Value);
            }
        return csv.ToString();
    }

    /// <summary>Every comparison: one record per pair and scope.</summary>
    public static string Pairs(TrialResults results)
    {
        var csv = new Csv("first", "second", "scope", "difference_db", "low95_db", "high95_db", "simultaneous_low95_db", "simultaneous_high95_db", "simultaneous_low90_db", "simultaneous_high90_db",
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
        var csv = new Csv("take", "run", "wearer", "condition", "fit", "recording", "from_s", "to_s", "clock_s", "seconds", "used", "left_out_because", $"level_a_{unit}", $"level_c_{unit}", "findings", "remarks");
        foreach (var t in results.Takes)
            csv.Row(t.Entry.Id, t.Entry.Run, t.Entry.Wearer, t.Entry.Condition, t.Entry.Fit, t.Entry.Recording, t.Entry.From, t.Entry.To, t.Clock, t.Seconds, t.Used, t.Entry.Excluded,
                t.LevelA - offset, t.LevelC - offset, string.Join("; ", t.Findings.Select(f => $"{f.Code} {f.Found}")), t.Entry.Remarks);
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

    private static IEnumerable<(string Of, SpectrumEffect Spectrum)> Spectra(TrialResults results, ConditionResult condition)
    {
        yield return ("loss", condition.Loss);
        if (results.Mode == TrialMode.Absolute && condition.EarLevel is { } level) yield return ("level_re_20_upa", level);
    }
}
