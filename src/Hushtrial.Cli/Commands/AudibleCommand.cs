using System.CommandLine;
using System.Text.Json;
using Hushtrial.Cli.Calculations;
using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;
using static Hushtrial.Cli.Calculations.CalculationCommand;

namespace Hushtrial.Cli.Commands;

/// <summary>Whether a warning sound is heard.</summary>
internal static class AudibleCommand
{
    private const string Description = """
        Whether a warning sound is heard in noise, with the open ear and under a device (rule of ISO 7731, from memory).

        INPUT is a table with the columns hz, signal and noise (band levels in dB; octaves or one-third octaves) and, for a device, loss (dB) and added (levels the device adds at the ear: hiss, radio).
        Audible means: at least 13 dB (one-third octave) or 10 dB (octave) over the masked threshold in some band, or 15 dB(A) over the noise. The 65 dB(A) that a danger signal is asked to have besides are told and make no verdict. Never a substitute for listening.
        Example: printf 'hz,signal,noise,loss\n500,60,80,26\n1000,95,75,31\n2000,70,70,34\n' | hushtrial audible
        JSON: {"bands":[{"hz":1000,"signal":95,"noise":75,"loss":31}, …]}
        """;

    private const string Prefix = "AUD";

    public static Command Build(Edge edge)
    {
        var input = InputArgument();
        var field = Word("--field", "diffuse", "sound field, for the threshold of hearing", "free", "diffuse");
        var command = new Command("audible", Description) { input, field };
        command.SetAction(parsed =>
        {
            var source = CalculationInput.Read(edge, parsed.GetValue(input)!, Prefix).Expecting(InputShape.Audible);
            var soundField = (source.Text("field") ?? parsed.GetValue(field)) == "free" ? SoundField.Free : SoundField.Diffuse;
            return Run(new Answer(edge, CommandTree.AsJson(parsed)), source, () => Result.Of(source, soundField), (w, r) => r.WriteJson(w), (w, r) => r.WriteText(w));
        });
        return command;
    }

    private sealed record Result(AudibilityResult Open, AudibilityResult? Covered)
    {
        public static Result? Of(CalculationInput input, SoundField field)
        {
            var fraction = input.Fraction("bands");
            var (signal, noise) = (input.Bands("bands", fraction, "signal"), input.Bands("bands", fraction, "noise"));
            if (signal.Count == 0 && !input.Failed) input.Error(10, input.Where, "no signal", "the columns hz, signal and noise", "Give the warning sound's band levels.");
            if (noise.Count == 0 && !input.Failed) input.Error(10, input.Where, "no noise", "the columns hz, signal and noise", "Give the noise's band levels.");
            if (input.Failed) return null;
            var (loss, added) = (input.Bands("bands", fraction, "loss"), input.Bands("bands", fraction, "added", "hiss"));
            var (s, n) = (signal.ToSpectrum(), noise.ToSpectrum());
            return new(WarningSound.Judge(s, n, field, AudibilityRule.Iso7731FromMemory), loss.Count == 0 && added.Count == 0 ? null
                : WarningSound.JudgeUnder(s, n, loss.ToDifferences(), added.Count > 0 ? added.ToSpectrum() : null, field, AudibilityRule.Iso7731FromMemory));
        }

        public void WriteJson(Utf8JsonWriter w)
        {
            Members(w, Covered ?? Open);
            w.WriteString("ear", Covered is null ? "open" : "covered");
            if (Covered is not null)
            {
                w.WriteStartObject("open");
                Members(w, Open);
                w.WriteEndObject();
            }

            w.WriteString("rule", Open.Rule.Source);
            w.WriteString("caution", AudibilityRule.Caution);
        }

        private static void Members(Utf8JsonWriter w, AudibilityResult r)
        {
            w.WriteBoolean("audible", r.Verdict == AudibilityVerdict.Audible);
            w.WriteString("verdict", r.Verdict.ToString().ToLowerInvariant());
            w.WriteNumber("margin_db", r.Margin.Decibels);
            w.WriteNumber("best_midband_hz", r.BestBand.Band.NominalHertz);
            w.WriteNumber("signal_over_noise_a", r.SignalOverNoiseA.Decibels);
            w.WriteNumber("signal_a", r.SignalA.Decibels);
            w.WriteNumber("signal_a_asked_for", r.Rule.LeastSignalA.Decibels);
            w.WriteStartArray("bands");
            foreach (var b in r.Bands)
            {
                w.WriteStartObject();
                w.WriteNumber("midband_hz", b.Band.NominalHertz);
                w.WriteNumber("signal", b.Signal.Decibels);
                w.WriteNumber("noise", b.Noise.Decibels);
                w.WriteNumber("masked_threshold", b.MaskedThreshold.Decibels);
                w.WriteNumber("excess_db", b.Excess.Decibels);
                w.WriteEndObject();
            }

            w.WriteEndArray();
        }

        public void WriteText(TextWriter to)
        {
            to.WriteLine(Sentence("With the open ear", Open));
            if (Covered is { } covered) to.WriteLine(Sentence("Under the device", covered));
            to.WriteLine(AudibilityRule.Caution);
        }

        private static string Sentence(string where, AudibilityResult r) => Words(
            $"{where}: {r.Verdict.ToString().ToLowerInvariant()}; it stands out most at {r.BestBand.Band}, {r.BestBand.Excess.Decibels:0.0} dB over the masked threshold ({r.Rule.Required(r.BestBand.Band.Fraction).Decibels:0} dB are asked for), {r.SignalOverNoiseA.Decibels:0.0} dB(A) over the noise. ") + r.OnItsLevel;
    }
}
