using System.CommandLine;
using System.Text.Json;
using Hushtrial.Cli.Calculations;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;
using static Hushtrial.Cli.Calculations.CalculationCommand;

namespace Hushtrial.Cli.Commands;

/// <summary>Loudness of a steady sound, or of a tone.</summary>
internal static class LoudnessCommand
{
    private const string Description = """
        Loudness of a steady sound from its 28 one-third-octave levels, 25 Hz to 12.5 kHz (stationary method of ISO 532-1).

        INPUT is a table with the columns hz and level (field levels in dB, not in-canal ones; −60 for a band without sound). A further column covered
        (levels under a device, field-related) gives the loudness ratio, and half_width (95 % of the loss, dB) its interval. JSON also takes {"levels":[28 numbers]}.
        With --tone the loudness level of a tone (with --level) or the level of a contour (with --phon) is calculated by ISO 226 instead.
        Example: hushtrial loudness thirds.csv --field diffuse --format json
        Example: hushtrial loudness --tone 125 --level 80
        """;

    private const string Prefix = "LOU";

    public static Command Build(Edge edge)
    {
        var input = InputArgument();
        var field = Word("--field", "free", "sound field the levels hold for", "free", "diffuse");
        var tone = Number("--tone", "HZ", "frequency of a tone");
        var level = Number("--level", "DB", "level of the tone", NumberRange.BandLevel);
        var phon = Number("--phon", "PHON", "loudness level of the contour");
        var edition = Word("--edition", "2023", "edition of ISO 226", "2003", "2023");
        var command = new Command("loudness", Description) { input, field, tone, level, phon, edition };
        command.Validators.Add(r =>
        {
            var (hasTone, hasLevel, hasPhon) = (r.GetResult(tone) is not null, r.GetResult(level) is not null, r.GetResult(phon) is not null);
            if ((hasLevel || hasPhon) && !hasTone) r.AddError("--level and --phon need --tone.");
            if (hasTone && hasLevel == hasPhon) r.AddError("--tone needs either --level or --phon.");
        });
        command.SetAction(parsed =>
        {
            var answer = new Answer(edge, CommandTree.AsJson(parsed));
            if (parsed.GetValue(tone) is { } hertz)
                return Run(answer, CalculationInput.None(Prefix), () => ToneResult.Of(hertz, parsed.GetValue(level), parsed.GetValue(phon), parsed.GetValue(edition) == "2003"
                    ? EqualLoudnessEdition.Iso226Of2003 : EqualLoudnessEdition.Iso226Of2023), (w, r) => r.WriteJson(w), (w, r) => w.WriteLine(r.Sentence()));
            var source = CalculationInput.Read(edge, parsed.GetValue(input)!, Prefix).Expecting(InputShape.Loudness);
            var soundField = (source.Text("field") ?? parsed.GetValue(field)) == "diffuse" ? SoundField.Diffuse : SoundField.Free;
            return Run(answer, source, () => SpectrumResult.Of(source, soundField), (w, r) => r.WriteJson(w), (w, r) => r.WriteText(w));
        });
        return command;
    }

    private sealed record ToneResult(double Hertz, Level Level, Phon? Phon, EqualLoudnessEdition Edition)
    {
        public static ToneResult Of(double hertz, double? level, double? phon, EqualLoudnessEdition edition)
        {
            var f = Frequency.FromHertz(hertz);
            if (phon is { } p) return new(hertz, EqualLoudness.LevelOf(Hearing.Loudness.Phon.FromValue(p), f, edition), Hearing.Loudness.Phon.FromValue(p), edition);
            var l = Level.FromDecibels(level!.Value);
            return new(hertz, l, EqualLoudness.LoudnessLevelOf(l, f, edition), edition);
        }

        private bool WithinRange => Phon is { } p && EqualLoudness.IsWithinRange(p, Frequency.FromHertz(Hertz));

        public void WriteJson(Utf8JsonWriter w)
        {
            w.WriteString("edition", EqualLoudness.NameOf(Edition));
            w.WriteNumber("tone_hz", Hertz);
            w.WriteNumber("level", Level.Decibels);
            w.Optional("phon", Phon?.Value);
            w.Optional("sone", Phon?.ToSone().Value);
            w.WriteBoolean("within_range", WithinRange);
        }

        public string Sentence() => Phon is not { } p
            ? Words($"A tone of {Hertz:0.#} Hz at {Level.Decibels:0.0} dB lies below the threshold of hearing ({EqualLoudness.NameOf(Edition)}).")
            : Words($"A tone of {Hertz:0.#} Hz at {Level.Decibels:0.0} dB has {p.Value:0.0} phon, {p.ToSone().Value:0.00} sone ({EqualLoudness.NameOf(Edition)}{(WithinRange ? "" : ", extrapolated beyond its range")}).");
    }

    private sealed record SpectrumResult(LoudnessResult Open, LoudnessComparison? Comparison)
    {
        public static SpectrumResult? Of(CalculationInput input, SoundField field)
        {
            IReadOnlyDictionary<Band, double> levels;
            if (input.Numbers("levels") is { Count: 28 } bare) levels = StationaryLoudness.Bands.Zip(bare).ToDictionary(p => p.First, p => p.Second);
            else levels = input.Bands("bands", BandFraction.ThirdOctave, "level", "open", "leq", "db");
            string[] missing = [.. StationaryLoudness.Bands.Where(b => !levels.ContainsKey(b)).Select(b => b.ToString())];
            if (missing.Length > 0 && !input.Failed)
                input.Error(10, input.Where, $"no level at {string.Join(", ", missing)}", "the 28 one-third octaves from 25 Hz to 12.5 kHz", "Add the bands; give −60 dB where there is no sound.");
            var covered = input.Bands("bands", BandFraction.ThirdOctave, "covered");
            if (covered.Count > 0 && StationaryLoudness.Bands.FirstOrDefault(b => !covered.ContainsKey(b)) is var gap && StationaryLoudness.Bands.Any(b => !covered.ContainsKey(b)))
                input.Error(11, input.Where, $"no covered level at {gap}", "covered levels in all 28 bands", "Add the band.");
            if (input.Failed) return null;
            var spectrum = levels.ToSpectrum();
            return new(StationaryLoudness.Of(spectrum, field), covered.Count == 0 ? null
                : LoudnessComparison.Between(spectrum, covered.ToSpectrum(), input.Bands("bands", BandFraction.ThirdOctave, "half_width").ToDifferences(), field));
        }

        public void WriteJson(Utf8JsonWriter w)
        {
            w.WriteString("field", Open.Field.ToString().ToLowerInvariant());
            Write(w, Open);
            if (Comparison is not { } c) return;
            w.WriteStartObject("covered");
            Write(w, c.Covered);
            w.WriteEndObject();
            Ratio(w, "loudness_ratio", c.LoudnessRatio);
            Ratio(w, "energy_ratio_a", c.EnergyRatio);
            w.WriteNumber("level_drop_a", c.LevelDropA.Decibels);
            w.WriteString("sentence", c.Sentence());
        }

        private static void Write(Utf8JsonWriter w, LoudnessResult r)
        {
            w.WriteNumber("sone", r.Total.Value);
            w.WriteNumber("phon", r.Level.Value);
            w.WriteStartArray("specific");
            foreach (var n in r.Specific) w.WriteNumberValue(n);
            w.WriteEndArray();
        }

        private static void Ratio(Utf8JsonWriter w, string name, RatioInterval ratio)
        {
            w.WriteStartObject(name);
            w.WriteNumber("estimate", ratio.Value);
            w.WriteNumber("low", ratio.Low);
            w.WriteNumber("high", ratio.High);
            w.WriteEndObject();
        }

        public void WriteText(TextWriter to)
        {
            to.WriteLine(Words($"Loudness {Open.Total.Value:0.00} sone, loudness level {Open.Level.Value:0.0} phon ({Open.Field.ToString().ToLowerInvariant()} field)."));
            if (Comparison is not { } c) return;
            to.WriteLine(c.Sentence());
            to.WriteLine(Words($"Sound energy, A-weighted: {c.EnergyRatio.Value:0.000} of the open ear's ({c.EnergyRatio.Low:0.000} to {c.EnergyRatio.High:0.000})."));
            to.WriteLine(LoudnessComparison.WhyTheyDiffer);
        }
    }
}
