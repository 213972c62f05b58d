using System.Text.Encodings.Web;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>The results as one JSON object, for other programs.</summary>
/// <remarks>Numbers are dB, Hz or s, rounded to 1e-6 so that the same results give the same bytes. An estimate that cannot be said has null
/// numbers and a reason. In relative mode <c>ear_level</c> is null for every condition: no level of any kind is written.</remarks>
public static class ResultJson
{
    private static readonly JsonWriterOptions _options = new() { Indented = true, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>Writes the object as UTF-8.</summary>
    public static void Write(TrialResults results, Stream stream)
    {
        using var json = new Utf8JsonWriter(stream, _options);
        Write(results, json);
    }

    /// <summary>Writes the object where the writer stands.</summary>
    public static void Write(TrialResults results, Utf8JsonWriter json)
    {
        var document = results.Document;
        json.WriteStartObject();
        json.WriteStartObject("hushtrial");
        json.WriteString("version", results.Version);
        json.WriteNumber("schema", 1);
        json.WriteEndObject();
        json.Array("problems", Tables.EvidenceTables.Problems(results), Problem);
        json.WriteString("trial", document.Identity.Title);
        json.WriteString("headline", results.Headline);
        json.WriteStartObject("publication");
        json.WriteBoolean("blocked", results.NotToPublish.Count > 0);
        json.Array("reasons", results.NotToPublish, (w, r) => w.WriteStringValue(r));
        json.WriteEndObject();
        json.WriteString("quantity", Names.Quantity(document.Quantity));
        json.WriteString("mode", results.Mode == TrialMode.Absolute ? "absolute" : "relative");
        json.Text("relative_reason", results.RelativeReason);
        json.WriteString("reference_condition", Names.Reference(document.Quantity));
        json.WriteStartObject("level_reference");
        json.WriteString("kind", Names.Level(results.Reference.Kind));
        json.WriteString("words", results.Reference.Words);
        json.WriteEndObject();
        Outside(json, results);
        json.Array("conditions", results.Conditions, (w, c) => Condition(w, results, c));
        json.Array("active_parts", results.Document.Quantity == MeasuredQuantity.ActivePart ? [] : results.ActiveParts, (w, p) =>
        {
            w.WriteStartObject();
            w.WriteString("condition", p.Condition);
            w.WriteString("name", p.Name);
            w.WriteString("off", p.Off);
            w.WriteNumber("fits", p.Fits);
            Spectrum(w, "active_part", p.Part, document.Scope, "quantity", Names.Quantity(MeasuredQuantity.ActivePart));
            w.Text("sentence", p.Sentence);
            w.WriteEndObject();
        });
        json.Array("pairs", results.Pairs, (w, p) => Pair(w, document, p));
        json.Robustness(results.Robustness);
        json.Takes(results);
        json.Meaning(results);
        json.Listening(results);
        json.Comfort(results);
        json.Cabins(results);
        json.Week(results);
        Method(json, results);
        json.Array("inputs", results.Inputs, (w, i) =>
        {
            w.WriteStartObject();
            w.WriteString("file", i.File);
            w.WriteString("sha256", i.Sha256);
            w.WriteNumber("bytes", i.Bytes);
            w.WriteEndObject();
        });
        json.WriteEndObject();
    }

    private static void Problem(Utf8JsonWriter json, Problem problem)
    {
        json.WriteStartObject();
        json.WriteString("code", problem.Code);
        json.WriteString("severity", problem.Severity switch { Severity.Error => "error", Severity.Warning => "warning", _ => "note" });
        json.WriteString("where", problem.Where);
        json.WriteString("found", problem.Found);
        json.WriteString("expected", problem.Expected);
        json.WriteString("remedy", problem.Remedy);
        json.Number("effect_db", problem.EffectDecibels);
        json.WriteEndObject();
    }

    private static void Condition(Utf8JsonWriter json, TrialResults results, ConditionResult condition)
    {
        var scope = results.Document.Scope;
        json.WriteStartObject();
        json.WriteString("id", condition.Condition.Id);
        json.WriteString("name", condition.Name);
        json.WriteString("device", condition.Device.Id);
        json.WriteString("mode", condition.Condition.Mode);
        json.Array("worn_with", condition.Condition.WornWith, (w, s) => w.WriteStringValue(s));
        json.WriteBoolean("predicted", condition.Predicted);
        json.WriteNumber("fits", condition.Fits);
        json.WriteNumber("takes", condition.Takes);
        // 'loss' holds the trial's one quantity and says which; a condition that is only the other side of an active part has none.
        var quantity = Names.Quantity(results.Document.Quantity);
        Spectrum(json, "loss", condition.IsReference ? null : condition.Loss, scope, "quantity", quantity);
        Spectrum(json, "loss_field_related", condition.FieldLoss, scope, "quantity", quantity);
        Spectrum(json, "ear_level", results.Mode == TrialMode.Absolute ? condition.EarLevel : null, scope, "level", Names.Level(LevelKind.AsRead));
        Spectrum(json, "ear_level_field_related", results.Mode == TrialMode.Absolute ? condition.FieldLevel : null, scope, "level", Names.Level(LevelKind.FieldRelated));
        json.WritePropertyName("reference_spectrum_loss_a");
        if (condition.ReferenceSpectrumLossA is { } reference)
        {
            json.WriteStartObject();
            json.Estimate(reference);
            json.WriteEndObject();
        }
        else json.WriteNullValue();
        json.Array("fits_detail", condition.FitsDetail, (w, f) =>
        {
            w.WriteStartObject();
            w.WriteString("fit", f.Fit);
            w.WriteString("quantity", quantity);
            w.WriteString("run", f.Run);
            w.Text("wearer", f.Wearer);
            w.WriteNumber("takes", f.Takes);
            w.Number("loss_a", f.LossA);
            w.Number("loss_c", f.LossC);
            w.Array("bands", f.Bands.OrderBy(b => b.Key), (x, b) =>
            {
                x.WriteStartObject();
                x.WriteNumber("midband_hz", b.Key.NominalHertz);
                x.Number("loss", b.Value);
                x.WriteEndObject();
            });
            w.WriteEndObject();
        });
        json.WriteEndObject();
    }

    private static void Spectrum(Utf8JsonWriter json, string name, SpectrumEffect? spectrum, EstimateScope scope, string labelled, string label)
    {
        json.WritePropertyName(name);
        if (spectrum is null)
        {
            json.WriteNullValue();
            return;
        }
        json.WriteStartObject();
        json.WriteString(labelled, label);
        json.Effect("a", spectrum.A, scope);
        json.Effect("c", spectrum.C, scope);
        json.Array("bands", spectrum.Bands.OrderBy(b => b.Band), (w, b) =>
        {
            w.WriteStartObject();
            w.WriteNumber("midband_hz", b.Band.NominalHertz);
            w.WriteBoolean("octave", b.Band.Fraction == BandFraction.Octave);
            w.Scopes(b.Effect, scope);
            w.WriteBoolean("valid", b.Valid);
            w.WriteBoolean("lower_bound_only", b.LowerBoundOnly);
            w.Text("reason", b.Reason ?? b.Effect.Reason);
            w.WriteEndObject();
        });
        json.WriteEndObject();
    }

    private static void Outside(Utf8JsonWriter json, TrialResults results)
    {
        // Only a trial of the level difference has them.
        if (results.Outside is { } outside)
        {
            json.WriteStartObject("outside_level");
            json.Number("a", outside.A);
            json.Number("c", outside.C);
            json.Number("calibration_uncertainty", outside.StandardUncertainty);
            json.Array("bands", outside.Bands.OrderBy(b => b.Key), (w, b) =>
            {
                w.WriteStartObject();
                w.WriteNumber("midband_hz", b.Key.NominalHertz);
                w.Number("leq", b.Value);
                w.WriteEndObject();
            });
            json.WriteEndObject();
        }
        if (results.OpenTransfer is { } open) Spectrum(json, "open_ear_minus_outside", open, results.Document.Scope, "quantity", "open_ear_minus_outside");
    }

    private static void Pair(Utf8JsonWriter json, TrialDocument document, PairResult pair)
    {
        var other = Names.Other(document.Scope);
        json.WriteStartObject();
        json.WriteString("first", pair.First);
        json.WriteString("second", pair.Second);
        json.WriteString("quantity", Names.Quantity(document.Quantity));
        json.Effect("difference", new(pair.AsWorn?.Difference, pair.General?.Difference, null), document.Scope);
        Verdict(json, pair.In(document.Scope));
        json.WriteNumber("margin_db", document.Margin.Decibels);
        if (pair.MoreFitsNeeded is { } n) json.WriteNumber("more_fits_needed", n);
        else json.WriteNull("more_fits_needed");
        json.WriteStartObject("other_scope");
        json.WriteString("scope", Names.Scope(other));
        Verdict(json, pair.In(other));
        json.WriteEndObject();
        json.PairBands(pair, document.Scope);
        json.WriteEndObject();
    }

    private static void Verdict(Utf8JsonWriter json, PairVerdict? verdict)
    {
        json.WriteStartObject("simultaneous");
        json.Number("low95", verdict?.SimultaneousLow95);
        json.Number("high95", verdict?.SimultaneousHigh95);
        json.Number("low90", verdict?.SimultaneousLow90);
        json.Number("high90", verdict?.SimultaneousHigh90);
        json.WriteEndObject();
        json.WriteString("verdict", Names.Verdict(verdict?.Verdict ?? VerdictKind.Unresolved));
        json.Number("p_greater_0", verdict?.ProbabilityPositive);
        json.Number("p_within_margin", verdict?.ProbabilityWithinMargin);
        json.WriteBoolean("depends_on_prior", verdict?.DependsOnPrior ?? false);
        json.Text("sentence", verdict?.Sentence);
    }

    private static void Method(Utf8JsonWriter json, TrialResults results)
    {
        json.WriteStartObject("method");
        json.WriteString("estimator", results.Method.Estimator);
        json.WriteString("scope", Names.Scope(results.Document.Scope));
        json.Array("priors", results.Method.Priors, (w, p) => w.WriteStringValue(p));
        // A list, not an object: settings keep their order, and a name may come twice.
        json.Array("settings", results.Method.Settings, (w, s) =>
        {
            w.WriteStartObject();
            w.WriteString("name", s.Key);
            w.WriteString("value", s.Value);
            w.WriteEndObject();
        });
        json.Array("components_general", results.Method.ComponentsGeneral, (w, c) =>
        {
            w.WriteStartObject();
            w.WriteString("between", c.Key);
            w.Number("standard_deviation", c.Value);
            w.WriteEndObject();
        });
        PriorFree(json, results.PriorFree);
        json.WriteEndObject();
    }

    private static void PriorFree(Utf8JsonWriter json, PriorFreeResult? check)
    {
        if (check is null)
        {
            json.WriteNull("reml");
            return;
        }
        json.WriteStartObject("reml");
        json.WriteStartObject("sd");
        foreach (var (name, sd) in check.Scatters) json.Number(name, sd);
        json.WriteEndObject();
        json.Array("contrasts", [.. check.Losses, .. check.Pairs], (w, row) =>
        {
            w.WriteStartObject();
            w.WriteString("first", row.First);
            w.WriteString("second", row.Second);
            w.Number("estimate", row.Value);
            w.Number("se", row.StandardError);
            w.Number("df", row.DegreesOfFreedom);
            w.Number("low95", row.Low);
            w.Number("high95", row.High);
            w.WriteEndObject();
        });
        json.WriteEndObject();
    }
}
