using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Cli.Files;

/// <summary>The truth of a demo as JSON.</summary>
internal static class TruthFile
{
    /// <summary>Its name.</summary>
    public const string Name = "truth.json";

    /// <summary>Writes it.</summary>
    public static void Write(TrialTruth truth, Stream stream)
    {
        using var w = new Utf8JsonWriter(stream, new JsonWriterOptions { Indented = true });
        w.WriteStartObject();
        w.WriteString("scenario", truth.Scenario);
        w.WriteNumber("seed", truth.Seed);
        w.WriteNumber("open_ear_level_a", Rounded(truth.OpenLevelA));
        if (truth.OpenLevelC is { } c) w.WriteNumber("open_ear_level_c", Rounded(c));
        Conditions(truth.Conditions);
        w.WriteStartArray("cabins");
        foreach (var (id, cabin) in truth.Cabins)
        {
            w.WriteStartObject();
            w.WriteString("id", id);
            w.WriteNumber("level_a", Rounded(cabin.LevelA));
            Conditions(cabin.Conditions);
            w.WriteEndObject();
        }
        w.WriteEndArray();
        if (truth.Listening is { } listening) Listening(w, listening);
        w.WriteEndObject();

        void Conditions(IReadOnlyDictionary<string, ConditionTruth> conditions)
        {
            w.WriteStartArray("conditions");
            foreach (var (id, condition) in conditions)
            {
                w.WriteStartObject();
                w.WriteString("id", id);
                Loss("general", condition.GeneralA, condition.GeneralC, condition.GeneralBands);
                Loss("as_worn", condition.AsWornA, condition.AsWornC, condition.AsWornBands);
                w.WriteEndObject();
            }
            w.WriteEndArray();
        }

        void Loss(string name, double a, double? c, IReadOnlyDictionary<Band, double> bands)
        {
            w.WriteStartObject(name);
            w.WriteNumber("a", Rounded(a));
            if (c is { } value) w.WriteNumber("c", Rounded(value));
            w.WriteStartArray("bands");
            foreach (var (band, loss) in bands.OrderBy(b => b.Key))
            {
                w.WriteStartObject();
                w.WriteNumber("midband_hz", band.NominalHertz);
                w.WriteNumber("loss", Rounded(loss));
                w.WriteEndObject();
            }
            w.WriteEndArray();
            w.WriteEndObject();
        }
    }

    private static void Listening(Utf8JsonWriter w, ListeningTruth truth)
    {
        w.WriteStartObject("listening");
        w.WriteNumber("speech_level_a", Rounded(truth.SpeechLevelA));
        ByCondition("speech_index", truth.SpeechIndex);
        ByCondition("warning_excess_db", truth.WarningExcess);
        w.WriteStartArray("hiss");
        foreach (var (band, level) in truth.Hiss.OrderBy(b => b.Key))
        {
            w.WriteStartObject();
            w.WriteNumber("midband_hz", band.NominalHertz);
            w.WriteNumber("level", Rounded(level));
            w.WriteEndObject();
        }
        w.WriteEndArray();
        w.WriteNumber("talk_share", Rounded(truth.TalkShare));
        w.WriteNumber("radio_adds_db", Rounded(truth.RadioAdds));
        w.WriteEndObject();

        void ByCondition(string name, IReadOnlyDictionary<string, double> values)
        {
            w.WriteStartObject(name);
            foreach (var (id, value) in values) w.WriteNumber(id, Rounded(value));
            w.WriteEndObject();
        }
    }

    private static double Rounded(double value) => Math.Round(value, 4);
}
