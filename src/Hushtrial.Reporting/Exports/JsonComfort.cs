using System.Text.Json;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>The comfort log in the JSON object below 'comfort', and as a table; its keys are explained in docs/guide/listening.md.</summary>
internal static class JsonComfort
{
    /// <summary>Writes 'comfort': an empty list when nothing was said.</summary>
    public static void Comfort(this Utf8JsonWriter json, TrialResults results) => json.Array("comfort", results.Document.Comfort, (w, c) =>
    {
        w.WriteStartObject();
        w.WriteString("condition", c.Condition);
        w.Text("wearer", c.Wearer);
        w.Text("fit", c.Fit);
        w.Text("run", c.Run);
        w.Number("clock_s", c.Clock);
        w.Number("worn_min", c.WornMinutes);
        w.WriteBoolean("end_of_day", c.EndOfDay);
        w.Number("discomfort", c.Discomfort);
        w.Text("hot_spot", c.HotSpot);
        w.Number("hot_spot_min", c.HotSpotMinutes);
        if (c.Glasses is { } glasses) w.WriteBoolean("glasses", glasses);
        else w.WriteNull("glasses");
        w.Text("remarks", c.Remarks);
        w.WriteEndObject();
    });

    /// <summary>The same as CSV.</summary>
    public static string Table(TrialResults results)
    {
        var csv = new Csv("condition", "wearer", "fit", "run", "clock_s", "worn_min", "end_of_day", "discomfort", "hot_spot", "hot_spot_min", "glasses", "remarks");
        foreach (var c in results.Document.Comfort) csv.Row(c.Condition, c.Wearer, c.Fit, c.Run, c.Clock, c.WornMinutes, c.EndOfDay, c.Discomfort, c.HotSpot, c.HotSpotMinutes, c.Glasses, c.Remarks);
        return csv.ToString();
    }
}
