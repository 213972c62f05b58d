using System.CommandLine;
using System.Text.Json;
using Hushtrial.Cli.Calculations;
using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;
using static Hushtrial.Cli.Calculations.CalculationCommand;

namespace Hushtrial.Cli.Commands;

/// <summary>Speech intelligibility index.</summary>
internal static class SpeechCommand
{
    private const string Description = """
        Speech intelligibility index (ANSI S3.5-1997) from speech and noise, and the words of ISO 9921 that go with it.

        INPUT is a table in the order of the procedure's bands with the columns speech and noise (spectrum levels, dB in 1 Hz) and, if need be, hz, threshold (dB HL) and importance.
        Without the column speech the standard spectrum of --effort is used. With --band-levels the noise is given as band levels and turned into spectrum levels.
        With --radio-level the speech has that A-weighted level at the ear (a radio or intercom over the noise left under a device; implies --band-levels).
        Bands: octave 250 Hz to 8 kHz; third-octave 160 Hz to 8 kHz; critical 21 bands; equal 17 bands.
        Example: printf 'hz,speech,noise\n250,50,70\n500,40,65\n1000,40,45\n2000,30,25\n4000,20,1\n8000,0,-15\n' | hushtrial speech --procedure octave
        JSON: {"procedure":"octave","speech":[50,40,40,30,20,0],"noise":[70,65,45,25,1,-15],"threshold":[0,0,0,0,0,0]}
        """;

    private const string Prefix = "SPE";

    public static Command Build(Edge edge)
    {
        var input = InputArgument();
        var procedure = Word("--procedure", "third-octave", "bands of the calculation", "octave", "third-octave", "critical", "equal");
        var effort = Word("--effort", "normal", "vocal effort of the standard speech spectrum", "normal", "raised", "loud", "shout");
        var radio = Number("--radio-level", "DB", "A-weighted level of radio speech at the ear", NumberRange.Level);
        var wide = new Option<bool>("--full-band") { Description = "radio speech of the whole spectrum instead of 300 Hz to 3.4 kHz" };
        var bandLevels = new Option<bool>("--band-levels") { Description = "noise is given as levels of octaves or one-third octaves" };
        var command = new Command("speech", Description) { input, procedure, effort, radio, wide, bandLevels };
        command.SetAction(parsed =>
        {
            var source = CalculationInput.Read(edge, parsed.GetValue(input)!, Prefix).Expecting(InputShape.Speech);
            var wish = new Wish(ToProcedure(source, source.Text("procedure") ?? parsed.GetValue(procedure)!), ToEffort(source, source.Text("effort") ?? parsed.GetValue(effort)!),
                parsed.GetValue(radio) ?? source.Number("radio_level"), parsed.GetValue(wide), parsed.GetValue(bandLevels));
            return Run(new Answer(edge, CommandTree.AsJson(parsed)), source, () => Result.Of(source, wish), (w, r) => r.WriteJson(w), (w, r) => r.WriteText(w));
        });
        return command;
    }

    private static VocalEffort ToEffort(CalculationInput input, string word)
    {
        if (Enum.TryParse<VocalEffort>(word, ignoreCase: true, out var effort) && Enum.IsDefined(effort)) return effort;
        input.Error(13, input.Where, $"effort '{word}'", "normal, raised, loud or shout", "Name one of them.");
        return VocalEffort.Normal;
    }

    private static SpeechProcedure ToProcedure(CalculationInput input, string word)
    {
        switch (word)
        {
            case "octave": return SpeechProcedure.Octave;
            case "third-octave" or "one-third" or "one-third-octave": return SpeechProcedure.ThirdOctave;
            case "critical" or "critical-band": return SpeechProcedure.CriticalBand;
            case "equal" or "equally-contributing": return SpeechProcedure.EquallyContributing;
            default:
                input.Error(10, input.Where, $"procedure '{word}'", "octave, third-octave, critical or equal", "Name one of them.");
                return SpeechProcedure.ThirdOctave;
        }
    }

    private sealed record Wish(SpeechProcedure Procedure, VocalEffort Effort, double? Radio, bool FullBand, bool BandLevels);

    private sealed record Result(SpeechProcedure Procedure, SpeechResult Index, RadioSpeechResult? Radio)
    {
        public static Result? Of(CalculationInput input, Wish wish)
        {
            if (wish.Radio is { } radio) return OfRadio(input, wish, radio);
            var (speech, noise) = (Column(input, "speech"), wish.BandLevels ? [] : Column(input, "noise"));
            if (wish.BandLevels)
            {
                var fraction = wish.Procedure == SpeechProcedure.Octave ? BandFraction.Octave : BandFraction.ThirdOctave;
                var bands = input.Bands("bands", fraction, "noise", "level");
                if (input.Failed) return null;
                noise = [.. IntelligibilityIndex.SpectrumLevels(bands.ToSpectrum(), wish.Procedure).Select(l => l.Decibels)];
            }

            var standard = input.Text("speech") is { } word && Enum.TryParse<VocalEffort>(word, ignoreCase: true, out var named) ? named : wish.Effort;
            var count = IntelligibilityIndex.Midbands(wish.Procedure).Count;
            foreach (var (name, list) in new[] { ("noise", noise), ("speech", speech), ("threshold", Column(input, "threshold")), ("importance", Column(input, "importance")) })
                if (list.Count != count && (list.Count > 0 || name == "noise") && !input.Failed)
                    input.Error(11, input.Where, Words($"{list.Count} values of '{name}'"), Words($"{count}, one per band of the procedure"), "Give every band in order, or choose another --procedure.");
            if (input.Failed) return null;
            return new(wish.Procedure, IntelligibilityIndex.Of(new()
            {
                Procedure = wish.Procedure,
                Speech = speech.Count > 0 ? [.. speech.Select(Level.FromDecibels)] : IntelligibilityIndex.StandardSpeech(wish.Procedure, standard),
                Noise = [.. noise.Select(Level.FromDecibels)],
                Threshold = [.. Column(input, "threshold").Select(LevelDifference.FromDecibels)],
                Importance = Column(input, "importance"),
            }), null);
        }

        private static Result? OfRadio(CalculationInput input, Wish wish, double level)
        {
            var fraction = input.Fraction("bands");
            var noise = input.Bands("bands", fraction, "noise", "level");
            if (noise.Count == 0 && !input.Failed) input.Error(12, input.Where, "no noise", "the columns hz and noise", "Give the noise at the ear under the device as band levels.");
            if (input.Failed) return null;
            var procedure = fraction == BandFraction.Octave ? SpeechProcedure.Octave : SpeechProcedure.ThirdOctave;
            var result = RadioSpeech.Over(noise.ToSpectrum(), Level.FromDecibels(level), wish.Effort, wish.FullBand ? null : RadioSpeech.UsualChannel, []);
            return new(procedure, result.Index, result);
        }

        // A column of the table, or a list under its own name.
        private static IReadOnlyList<double> Column(CalculationInput input, string name) => input.Numbers(name)
            ?? [.. input.Rows("bands").Select(r => input.Cell(r, name)).OfType<double>()];

        public void WriteJson(Utf8JsonWriter w)
        {
            w.WriteNumber("sii", Index.Value);
            w.WriteString("rating", SpeechRatings.FromSii(Index.Value).ToString());
            w.WriteString("procedure", Procedure switch
            {
                SpeechProcedure.Octave => "octave", SpeechProcedure.CriticalBand => "critical", SpeechProcedure.EquallyContributing => "equal", _ => "third-octave",
            });
            if (Radio is { } radio)
            {
                w.WriteNumber("speech_level_a", radio.SpeechLevelA.Decibels);
                w.WriteNumber("noise_level_a", radio.NoiseLevelA.Decibels);
                w.Optional("speech_over_interference", radio.SpeechOverInterference?.Decibels);
                w.WriteString("caution", RadioSpeech.Caution(radio.SpeechLevelA));
            }

            w.WriteStartArray("bands");
            foreach (var b in Index.Bands)
            {
                w.WriteStartObject();
                w.WriteNumber("midband_hz", b.Midband.Hertz);
                w.WriteNumber("importance", b.Importance);
                w.WriteNumber("masking", b.Masking.Decibels);
                w.WriteNumber("disturbance", b.Disturbance.Decibels);
                w.WriteNumber("level_distortion", b.LevelDistortion);
                w.WriteNumber("audibility", b.Audibility);
                w.WriteEndObject();
            }

            w.WriteEndArray();
        }

        public void WriteText(TextWriter to)
        {
            to.WriteLine(Words($"Speech intelligibility index {Index.Value:0.00}: {SpeechRatings.FromSii(Index.Value)} (words of ISO 9921)."));
            if (Radio is { } r)
                to.WriteLine(Words($"Speech {r.SpeechLevelA.Decibels:0.0} dB(A) over {r.NoiseLevelA.Decibels:0.0} dB(A) of noise.")
                    + (r.SpeechOverInterference is { } sil ? Words($" Over the speech interference level by {sil.Decibels:0.0} dB: {SpeechRatings.FromSpeechOverInterference(sil.Decibels).ToString().ToLowerInvariant()}.") : ""));
            if (Radio is { } loud && RadioSpeech.Caution(loud.SpeechLevelA) is { } caution) to.WriteLine("Caution: " + caution);
            to.WriteLine("For average talkers and listeners with normal hearing unless thresholds were given; radio distortion is not part of it.");
        }
    }
}
