using System.Text.Json;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>Losses carried to other cabins, and which bands carry what is left.</summary>
internal static class JsonCabins
{
    /// <summary>The lists 'cabins' and 'energy_shares'.</summary>
    public static void Cabins(this Utf8JsonWriter json, TrialResults results)
    {
        json.Array("cabins", results.Cabins, (w, c) => Cabin(w, c, results));
        json.Array("energy_shares", results.Shares, (w, s) =>
        {
            w.WriteStartObject();
            w.WriteString("condition", s.Condition);
            w.WriteString("name", s.Name);
            w.WriteString("weighting", "A");
            w.Number("leading_octave_hz", s.Leading.NominalHertz);
            w.Number("most_gain_there_db", s.MostDecibels);
            w.Array("bands", s.ByBand.OrderBy(b => b.Key), (x, b) => Share(x, b.Key.NominalHertz, b.Value));
            w.Array("octaves", s.ByOctave.OrderBy(b => b.Key), (x, b) => Share(x, b.Key.NominalHertz, b.Value));
            w.WriteString("sentence", s.Sentence);
            w.WriteEndObject();
        });
    }

    private static void Cabin(Utf8JsonWriter json, CabinResult cabin, TrialResults results)
    {
        var scope = results.Document.Scope;
        json.WriteStartObject();
        json.WriteString("id", cabin.Cabin.Id);
        json.WriteString("name", cabin.Cabin.Name);
        json.Text("source", cabin.Cabin.Source);
        json.WriteString("basis", cabin.Basis);
        json.Number("level_a", cabin.LevelA);
        json.Number("level_c", cabin.LevelC);
        json.Number("uncertainty_db", cabin.Cabin.Uncertainty);
        json.Array("bands", results.Mode == TrialMode.Absolute && cabin.LevelA is not null ? cabin.Spectrum?.Entries ?? [] : [], (w, b) =>
        {
            w.WriteStartObject();
            w.Number("midband_hz", b.Key.NominalHertz);
            w.Number("level", b.Value.Decibels);
            w.WriteEndObject();
        });
        json.Array("conditions", cabin.Conditions, (w, c) =>
        {
            w.WriteStartObject();
            w.WriteString("id", c.Condition);
            w.WriteString("name", c.Name);
            w.WriteBoolean("predicted", c.Predicted);
            w.WriteStartObject("loss");
            w.Effect("a", c.LossA, scope);
            w.Effect("c", c.LossC, scope);
            w.WriteEndObject();
            w.WriteStartObject("ear_level");
            w.Effect("a", c.EarLevelA, scope);
            w.Effect("c", c.EarLevelC, scope);
            w.WriteEndObject();
            w.WriteBoolean("at_least", c.AtLeast);
            w.Number("share_in_unknown_bands", c.UnknownShare);
            w.Text("why_not", c.WhyNot);
            w.Array("fits_loss_a", c.Donnings, (x, d) => x.WriteNumberValue(Math.Round(d, 6)));
            w.Array("left_by_octave", c.Left.OrderBy(l => l.Key), (x, l) => Share(x, l.Key.NominalHertz, l.Value));
            w.Array("remarks", c.Remarks, (x, r) => x.WriteStringValue(r));
            w.WriteEndObject();
        });
        json.WriteString("sentence", cabin.Sentence);
        json.Array("cautions", cabin.Cautions, (w, c) => w.WriteStringValue(c));
        json.WriteEndObject();
    }

    private static void Share(Utf8JsonWriter json, double hertz, double share)
    {
        json.WriteStartObject();
        json.Number("midband_hz", hertz);
        json.Number("share", share);
        json.WriteEndObject();
    }
}
