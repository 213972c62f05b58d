using System.Text.Json;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>A week, peaks, and measured beside predicted. Week and peaks are null in relative mode, whatever the results carry.</summary>
internal static class JsonWeek
{
    /// <summary>The members 'week', 'peaks' and 'measured_beside_predicted'.</summary>
    public static void Week(this Utf8JsonWriter json, TrialResults results)
    {
        json.WritePropertyName("week");
        if (results.Mode == TrialMode.Absolute && results.Week is { } week) Week(json, week);
        else json.WriteNullValue();
        json.WritePropertyName("peaks");
        if (results.Mode == TrialMode.Absolute && results.Peaks is { } peaks) Peaks(json, peaks);
        else json.WriteNullValue();
        json.Array("measured_beside_predicted", results.PredictedPairs, (w, p) =>
        {
            w.WriteStartObject();
            w.WriteString("measured", p.Measured);
            w.WriteString("predicted", p.Predicted);
            w.WriteStartObject("difference");
            w.Estimate(p.Difference);
            w.WriteEndObject();
            w.Number("probability_measured_more", p.ProbabilityMore);
            w.WriteString("sentence", p.Sentence);
            w.WriteEndObject();
        });
    }

    private static void Week(Utf8JsonWriter json, TrialWeek week)
    {
        json.WriteStartObject();
        json.WriteString("scope", Names.Scope(week.Scope));
        Level(json, "lex40h", week.Level);
        json.Array("days", week.Days, (w, d) =>
        {
            w.WriteStartObject();
            w.WriteString("day", d.Day.Day);
            w.Number("times", d.Day.Times);
            Level(w, "lex8h", d.Level);
            w.Array("segments", d.Parts, (x, p) =>
            {
                x.WriteStartObject();
                x.WriteString("name", p.Name);
                x.Number("level_worse_ear", p.WorseEar.Decibels);
                x.Number("level_covered_ear", p.CoveredEar.Decibels);
                x.Number("share_of_day", p.ShareOfDay);
                x.Number("comms_share", p.CommunicationShare);
                x.WriteEndObject();
            });
            w.Array("rules", d.Rules, (x, r) =>
            {
                x.WriteStartObject();
                x.WriteString("rules", r.Rules.Id);
                x.Number("dose_percent", r.DosePercent.Best);
                x.Array("levels", r.Thresholds, (y, t) => Standing(y, t.Threshold.Name, t.Threshold.Level, t.Threshold.ProtectorCounted, t.Standing));
                x.WriteEndObject();
            });
            w.WriteEndObject();
        });
        json.Array("levels", week.Standings, (w, s) => Standing(w, s.Threshold.Name, s.Threshold.Level, s.Threshold.ProtectorCounted, s.Standing, s.Rules.Id));
        json.Text("why_not", week.WhyNot);
        json.WriteString("sentence", week.Sentence);
        json.Array("cautions", week.Cautions, (w, c) => w.WriteStringValue(c));
        json.WriteEndObject();
    }

    private static void Peaks(Utf8JsonWriter json, TrialPeaks peaks)
    {
        json.WriteStartObject();
        json.Number("capacity_c", peaks.Capacity); // The old name; what it says is unweighted.
        json.Number("full_scale_peak_z", peaks.Capacity);
        json.Array("conditions", peaks.Conditions, (w, p) =>
        {
            w.WriteStartObject();
            w.WriteString("condition", p.Condition);
            w.WriteString("name", p.Name);
            w.Number("peak_c", p.Highest);
            w.WriteBoolean("at_least", p.AtLeast);
            w.Array("takes", p.Takes, (x, t) => x.WriteNumberValue(Math.Round(t, 6)));
            w.Array("levels", p.Rules.SelectMany(r => r.Levels.Select(l => (r.Rules, Level: l))), (x, r) => Standing(x, r.Level.Threshold.Name, r.Level.Threshold.Level, r.Level.Threshold.ProtectorCounted, r.Level.Standing, r.Rules.Id));
            w.WriteEndObject();
        });
        json.WriteString("sentence", peaks.Sentence);
        json.Array("cautions", peaks.Cautions, (w, c) => w.WriteStringValue(c));
        json.WriteEndObject();
    }

    private static void Standing(Utf8JsonWriter json, string name, Level level, bool counted, Standing standing, string? rules = null)
    {
        json.WriteStartObject();
        if (rules is not null) json.WriteString("rules", rules);
        json.WriteString("name", name);
        json.Number("level", level.Decibels);
        json.WriteBoolean("protector_counted", counted);
        json.WriteString("standing", standing switch { Hearing.Exposure.Standing.Below => "below", Hearing.Exposure.Standing.Above => "above", Hearing.Exposure.Standing.Unresolved => "unresolved", _ => "not_known" });
        json.WriteEndObject();
    }

    private static void Level(Utf8JsonWriter json, string name, Bounded<Level>? level)
    {
        json.WritePropertyName(name);
        if (level is not { } l)
        {
            json.WriteNullValue();
            return;
        }
        json.WriteStartObject();
        json.Number("estimate", l.Best.Decibels);
        json.Number("low", l.Low.Decibels);
        json.Number("high", l.High.Decibels);
        json.Number("safe", l.Upper.Decibels);
        json.WriteEndObject();
    }
}
