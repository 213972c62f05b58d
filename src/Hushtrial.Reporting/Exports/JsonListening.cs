using System.Text.Json;
using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Speech;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>What is heard, as it stands in the JSON object below 'listening'; its keys are explained in docs/guide/listening.md.</summary>
internal static class JsonListening
{
    /// <summary>Writes 'listening': null when the trial does not ask.</summary>
    public static void Listening(this Utf8JsonWriter json, TrialResults results)
    {
        if (results.Listening is not { } listening)
        {
            json.WriteNull("listening");
            return;
        }
        json.WriteStartObject("listening");
        json.WriteString("scope", Names.Scope(results.Document.Scope));
        Speech(json, listening.Speech);
        json.Array("warnings", listening.Warnings, Warning);
        json.Array("hiss", listening.Hiss, Hiss);
        Comms(json, listening.Comms);
        OneEarOff(json, listening.OneEarOff);
        json.Array("cautions", listening.Cautions, (w, c) => w.WriteStringValue(c));
        json.WriteEndObject();
    }

    /// <summary>The word for a listening rule.</summary>
    internal static string Rule(ListeningRule rule) => rule switch { ListeningRule.FixedRatio => "fixed_ratio", ListeningRule.FollowsNoise => "follows_noise", _ => "fixed_volume" };

    /// <summary>The word for what was heard by ear on the ground; null for nothing said.</summary>
    internal static string? Heard(GroundHearing? heard) => heard switch { GroundHearing.Clearly => "clearly", GroundHearing.Faintly => "faintly", GroundHearing.Not => "not", _ => null };

    /// <summary>The word for a verdict on a warning; null for none.</summary>
    internal static string? Verdict(AudibilityVerdict? verdict) => verdict switch { AudibilityVerdict.Audible => "audible", AudibilityVerdict.Doubtful => "doubtful", AudibilityVerdict.Inaudible => "inaudible", _ => null };

    private static void Speech(Utf8JsonWriter json, SpeechAnswer? speech)
    {
        if (speech is null)
        {
            json.WriteNull("speech");
            return;
        }
        json.WriteStartObject("speech");
        json.WriteString("way", Way(speech.Heard.Way));
        json.Number("level_a", speech.Heard.LevelA);
        json.Number("level_standard_uncertainty", speech.Heard.Uncertainty);
        json.WriteString("rule", Rule(speech.Heard.Rule));
        json.WriteString("standard", "ANSI S3.5-1997");
        json.Text("procedure", speech.Procedure switch { SpeechProcedure.ThirdOctave => "one_third_octave", SpeechProcedure.Octave => "octave", _ => null });
        json.Array("conditions", speech.Conditions, (w, c) =>
        {
            w.WriteStartObject();
            w.WriteString("condition", c.Condition);
            w.WriteString("name", c.Name);
            Interval(w, "sii", c.Index);
            w.WriteBoolean("at_least", c.AtLeast);
            w.Text("rating", c.Rating?.ToString());
            w.Number("speech_level_a", c.SpeechLevelA);
            w.Number("noise_level_a", c.NoiseLevelA);
            w.WriteStartObject("by_rule");
            foreach (var (rule, value) in c.ByRule) w.Number(Rule(rule), value);
            w.WriteEndObject();
            w.Text("why_not", c.WhyNot);
            w.WriteEndObject();
        });
        json.WriteString("sentence", speech.Sentence);
        json.WriteEndObject();
    }

    private static void Warning(Utf8JsonWriter json, WarningAnswer warning)
    {
        json.WriteStartObject();
        json.WriteString("id", warning.Warning.Id);
        json.WriteString("name", warning.Warning.Name);
        json.Text("place", warning.Warning.Place);
        json.WriteString("way", Way(warning.Warning.Way));
        json.Number("level_a", warning.LevelA);
        json.Number("level_standard_uncertainty", warning.Warning.Uncertainty);
        json.WriteString("rule", AudibilityRule.Iso7731FromMemory.Source);
        json.Array("conditions", warning.Conditions, (w, c) =>
        {
            w.WriteStartObject();
            w.WriteString("condition", c.Condition);
            w.WriteString("name", c.Name);
            w.Text("verdict", Verdict(c.Verdict));
            Interval(w, "excess_db", c.Excess);
            w.Number("required_db", c.Required);
            w.Number("best_band_hz", c.Judgement?.BestBand.Band.NominalHertz);
            w.Number("signal_over_noise_a", c.Judgement?.SignalOverNoiseA.Decibels);
            w.Array("bands", c.Judgement?.Bands ?? [], (x, b) =>
            {
                x.WriteStartObject();
                x.WriteNumber("midband_hz", b.Band.NominalHertz);
                x.Number("signal_over_noise_db", (b.Signal - b.Noise).Decibels);
                x.Number("excess_db", b.Excess.Decibels);
                x.WriteEndObject();
            });
            w.WriteBoolean("recorded_under", c.RecordedUnder);
            w.Text("heard_on_ground", Heard(c.HeardOnGround));
            w.Text("heard_by", c.HeardBy);
            w.Text("why_not", c.WhyNot);
            w.WriteEndObject();
        });
        json.WriteString("sentence", warning.Sentence);
        json.WriteEndObject();
    }

    private static void Hiss(Utf8JsonWriter json, HissAnswer hiss)
    {
        json.WriteStartObject();
        json.WriteString("condition", hiss.Condition);
        json.WriteString("name", hiss.Name);
        json.WriteString("verdict", HissWord(hiss.Verdict));
        json.Number("level_a", hiss.LevelA);
        json.Array("bands", hiss.Bands, (w, b) =>
        {
            w.WriteStartObject();
            w.WriteNumber("midband_hz", b.Band.NominalHertz);
            w.Number("rise_db", b.Rise);
            w.Number("on", b.On);
            w.Number("off", b.Off);
            w.Number("hiss", b.Hiss);
            w.Number("threshold", b.Threshold);
            w.Text("hidden_by", b.HiddenBy);
            w.WriteEndObject();
        });
        json.WriteString("sentence", hiss.Sentence);
        json.WriteEndObject();
    }

    /// <summary>The word for a verdict on hiss.</summary>
    internal static string HissWord(HissVerdict verdict) => verdict switch { HissVerdict.Heard => "heard", HissVerdict.NotHeard => "not_heard", HissVerdict.Hidden => "hidden", _ => "relative_only" };

    private static void Comms(Utf8JsonWriter json, CommsAnswer? comms)
    {
        if (comms is null)
        {
            json.WriteNull("comms");
            return;
        }
        json.WriteStartObject("comms");
        json.WriteString("rules", comms.Rules);
        json.Array("conditions", comms.Conditions, (w, c) =>
        {
            w.WriteStartObject();
            w.WriteString("condition", c.Condition);
            w.WriteString("name", c.Name);
            w.WriteBoolean("reckoned", c.Reckoned);
            w.WriteNumber("takes", c.Takes);
            w.Number("talk_share", c.TalkShare);
            w.Number("adds_db", c.Added);
            w.Number("energy_share", c.EnergyShare);
            Interval(w, "noise_only_a", c.NoiseOnly);
            Interval(w, "as_heard_a", c.AsHeard);
            w.Number("allowed_hours_noise_only", c.AllowedNoiseOnly);
            w.Number("allowed_hours_as_heard", c.AllowedAsHeard);
            w.Text("remark", c.Remark);
            w.WriteEndObject();
        });
        json.WriteString("sentence", comms.Sentence);
        json.WriteEndObject();
    }

    private static void OneEarOff(Utf8JsonWriter json, OneEarOffAnswer? answer)
    {
        if (answer is null)
        {
            json.WriteNull("one_ear_off");
            return;
        }
        json.WriteStartObject("one_ear_off");
        json.Number("percent", answer.Percent);
        json.Array("conditions", answer.Conditions, (w, c) =>
        {
            w.WriteStartObject();
            w.WriteString("condition", c.Condition);
            Interval(w, "level_a", c.Level);
            w.WriteEndObject();
        });
        json.WriteString("sentence", answer.Sentence);
        json.WriteEndObject();
    }

    private static string Way(SoundWay way) => way == SoundWay.Headset ? "headset" : "air";

    private static void Interval(Utf8JsonWriter json, string name, Interval? interval)
    {
        json.WriteStartObject(name);
        json.Number("estimate", interval?.Value);
        json.Number("low", interval?.Low);
        json.Number("high", interval?.High);
        json.WriteEndObject();
    }
}
