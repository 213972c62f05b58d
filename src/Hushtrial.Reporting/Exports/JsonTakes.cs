using System.Text.Json;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>Every take with what was found in it: used, left out or refused, as heard and noise only. Nothing that was set aside is hidden.</summary>
internal static class JsonTakes
{
    /// <summary>Writes the array. In relative mode levels are null and only the difference between heard and noise is given.</summary>
    public static void Takes(this Utf8JsonWriter json, TrialResults results)
    {
        var absolute = results.Mode == TrialMode.Absolute;
        json.Array("takes", results.Takes, (w, t) =>
        {
            w.WriteStartObject();
            w.WriteString("id", t.Entry.Id);
            w.WriteString("run", t.Entry.Run);
            w.WriteString("condition", t.Entry.Condition);
            w.Text("fit", t.Entry.Fit);
            w.WriteBoolean("used", t.Used);
            w.Text("excluded", t.Entry.Excluded);
            w.Text("refused", t.Refused);
            w.Array("findings", t.Findings, (x, f) =>
            {
                x.WriteStartObject();
                x.WriteString("code", f.Code);
                x.Number("effect_db", f.EffectDecibels);
                x.WriteEndObject();
            });
            Levels(w, "as_heard", absolute, t.LevelA, t.LevelC);
            if (t.NoiseOnly is { } noise)
            {
                Levels(w, "noise_only", absolute, noise.LevelA, noise.LevelC);
                w.Number("heard_above_noise_a", t.LevelA - noise.LevelA);
                w.Array("set_aside", noise.Spans, (x, s) =>
                {
                    x.WriteStartObject();
                    x.Number("from", s.From);
                    x.Number("to", s.To);
                    x.WriteEndObject();
                });
            }
            w.WriteEndObject();
        });
    }

    private static void Levels(Utf8JsonWriter json, string name, bool absolute, double? a, double? c)
    {
        json.WriteStartObject(name);
        json.Number("a", absolute ? a : null);
        json.Number("c", absolute ? c : null);
        json.WriteEndObject();
    }
}
