using System.Text.Json;
using Hushtrial.Hearing.Claims;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>What the numbers mean: claims, exposure, loudness. Exposure and loudness are empty in relative mode, whatever the results carry.</summary>
internal static class JsonMeaning
{
    /// <summary>The lists 'claims', 'exposure' and 'loudness'.</summary>
    public static void Meaning(this Utf8JsonWriter json, TrialResults results)
    {
        var scope = results.Document.Scope;
        json.Array("claims", results.Claims, (w, c) => Claim(w, c, scope));
        var exposure = results.Mode == TrialMode.Absolute ? results.Exposure : null;
        json.Array("exposure", exposure?.Conditions ?? [], (w, c) => Exposure(w, exposure!, c));
        json.Array("exposure_cautions", exposure?.Cautions ?? [], (w, c) => w.WriteStringValue(c));
        json.Array("loudness", results.Mode == TrialMode.Absolute ? results.Loudness : [], Loudness);
    }

    private static void Claim(Utf8JsonWriter json, ClaimResult claim, EstimateScope scope)
    {
        json.WriteStartObject();
        json.WriteString("device", claim.Device.Id);
        json.WriteString("condition", claim.Condition);
        json.WriteString("claim", claim.Words);
        json.WriteString("kind", claim.Kind switch
        {
            PublishedFigureKind.AtLeast => "at_least", PublishedFigureKind.UpTo => "up_to", PublishedFigureKind.Mean => "mean", PublishedFigureKind.Octaves => "octaves", _ => "rating",
        });
        json.WriteString("part", claim.ActivePart ? "active" : "total");
        json.Number("claimed_db", claim.Claimed);
        json.Number("allowance_db", claim.Allowance);
        json.Number("midband_hz", claim.Band?.NominalHertz);
        json.Effect("measured", claim.Measured, scope);
        json.WritePropertyName("predicted");
        if (claim.Predicted is { } predicted)
        {
            json.WriteStartObject();
            json.Estimate(predicted);
            json.WriteString("scope", Names.Scope(EstimateScope.General));
            json.WriteEndObject();
        }
        else json.WriteNullValue();
        json.WriteString("verdict", claim.Verdict switch { ClaimVerdict.Supported => "supported", ClaimVerdict.Contradicted => "contradicted", _ => "unresolved" });
        json.Number("probability", claim.Probability);
        json.Text("standing", claim.Standing switch { PublishedStanding.Consistent => "consistent", PublishedStanding.Below => "below", PublishedStanding.Above => "above", _ => null });
        json.Number("reached_at_hz", claim.ReachedAt?.NominalHertz);
        json.Text("measured_by", claim.Point switch { PointSource.Band => "band", PointSource.BandAtTone => "tone", PointSource.NarrowBand => "narrow_band", PointSource.NotMeasured => "not_measured", _ => null });
        json.Number("measured_at_hz", claim.AtHertz);
        json.WriteString("sentence", claim.Sentence);
        json.Array("remarks", claim.Remarks, (w, r) => w.WriteStringValue(r));
        json.Array("translation", claim.Translation, (w, t) =>
        {
            w.WriteStartObject();
            w.WriteString("weighting", t.Weighting.ToString());
            w.Number("at_least_db", t.Floor.Decibels);
            w.Number("at_most_db", t.Ceiling.Decibels);
            w.Number("share_of_band", t.ShareOfBand);
            w.WriteEndObject();
        });
        json.Array("usual_disagreements", claim.Comparability, (w, d) =>
        {
            w.WriteStartObject();
            w.WriteString("text", d.Text);
            w.Number("usual_low_db", d.UsualLow);
            w.Number("usual_high_db", d.UsualHigh);
            w.WriteString("source", d.Source);
            w.WriteEndObject();
        });
        json.WriteEndObject();
    }

    private static void Exposure(Utf8JsonWriter json, TrialExposure all, ConditionExposure condition)
    {
        json.WriteStartObject();
        json.WriteString("condition", condition.Condition);
        json.WriteString("name", condition.Name);
        json.WriteBoolean("predicted", condition.Predicted);
        json.WriteString("scope", Names.Scope(all.Scope));
        json.WriteString("level", Names.Level(all.Reference.Kind));
        Limits<Level>(json, "level_a", condition.Worn, l => l.Decibels);
        json.Number("hours_per_day", all.HoursPerDay);
        json.Number("off_minutes", all.OffMinutes);
        Limits<Level>(json, "lex8h", condition.Day, l => l.Decibels);
        json.Number("off_share", condition.OffShare);
        json.WriteString("protection", condition.Protection switch
        {
            ProtectionBand.Insufficient => "insufficient", ProtectionBand.AcceptableLow => "acceptable_low", ProtectionBand.Good => "good", ProtectionBand.AcceptableHigh => "acceptable_high", _ => "too_quiet",
        });
        json.Array("rules", condition.Rules, (w, r) =>
        {
            w.WriteStartObject();
            w.WriteString("rules", r.Rules.Id);
            w.WriteString("name", r.Rules.Name);
            Limits<double>(w, "dose_percent", r.DosePercent, d => d);
            w.Number("twa", r.TimeWeightedAverage?.Decibels);
            // The upper level allows the shortest time; 10 000 h stand for no limit.
            Limits<TimeSpan>(w, "allowed_hours", r.AllowedTime is { } t ? t with { Low = t.High, High = t.Low } : null, h => h.TotalHours);
            w.Array("levels", r.Thresholds, (x, t) =>
            {
                x.WriteStartObject();
                x.WriteString("name", t.Threshold.Name);
                x.Number("level_a", t.Threshold.Level.Decibels);
                x.WriteBoolean("protector_counted", t.Threshold.ProtectorCounted);
                x.WriteString("standing", t.Standing switch { Standing.Below => "below", Standing.Above => "above", Standing.Unresolved => "unresolved", _ => "not_known" });
                x.WriteEndObject();
            });
            w.WriteEndObject();
        });
        json.WriteString("sentence", condition.Sentence);
        json.WriteEndObject();
    }

    private static void Loudness(Utf8JsonWriter json, ConditionLoudness loudness)
    {
        json.WriteStartObject();
        json.WriteString("condition", loudness.Condition);
        json.Number("open_sone", loudness.Comparison?.Open.Total.Value);
        json.Number("covered_sone", loudness.Comparison?.Covered.Total.Value);
        Ratio(json, "loudness_ratio", loudness.Comparison?.LoudnessRatio);
        Ratio(json, "energy_ratio", loudness.Comparison?.EnergyRatio);
        json.Text("why_not", loudness.WhyNot);
        json.WriteEndObject();
    }

    private static void Ratio(Utf8JsonWriter json, string name, RatioInterval? ratio)
    {
        json.WriteStartObject(name);
        json.Number("estimate", ratio?.Value);
        json.Number("low", ratio?.Low);
        json.Number("high", ratio?.High);
        json.WriteEndObject();
    }

    /// <summary>A value with its 95 % interval; 'safe' is what belongs to the one-sided 95 % upper level.</summary>
    private static void Limits<T>(Utf8JsonWriter json, string name, Bounded<T>? bounded, Func<T, double> number)
    {
        json.WritePropertyName(name);
        if (bounded is not { } b)
        {
            json.WriteNullValue();
            return;
        }
        json.WriteStartObject();
        json.Number("estimate", number(b.Best));
        json.Number("low", number(b.Low));
        json.Number("high", number(b.High));
        json.Number("safe", number(b.Upper));
        json.WriteEndObject();
    }
}
