using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Hushtrial.Cli.Calculations;
using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;
using static Hushtrial.Cli.Calculations.CalculationCommand;

namespace Hushtrial.Cli.Commands;

/// <summary>Ratings of a protector from its published attenuation, and the level at the ear they predict.</summary>
internal static class RatingCommand
{
    private const string Description = """
        Ratings (APV, H, M, L, SNR, NRR) from octave means and standard deviations, and the level at the ear they predict in a noise.

        INPUT is a table with the columns hz, mean, sd and, for predictions, noise (unweighted octave levels); octaves 125 Hz to 8 kHz are needed, 63 Hz is optional,
        3150 and 6300 Hz make the NRR exact. Instead, one row per person with columns 63, 125 … 8000. Without a spectrum give --level-a and --level-c.
        Ratings are given unrounded; as labelled, and as used in predictions, they are whole decibels.
        Example: printf 'hz,mean,sd,noise\n63,7.4,3.3,75\n125,10.0,3.6,84\n250,14.4,3.6,86\n500,19.6,4.6,88\n1000,22.8,4.0,97\n2000,29.6,6.2,99\n4000,38.8,7.4,97\n8000,34.1,5.2,96\n' | hushtrial rating --subjects 16
        JSON: {"subjects":16,"bands":[{"hz":125,"mean":10.0,"sd":3.6,"noise":84}, …]} or {"people":[{"125":8,"250":13, …}, …],"noise":{"125":84, …}}
        """;

    private const string Prefix = "RAT";

    public static Command Build(Edge edge)
    {
        var input = InputArgument();
        var subjects = NumberOption.Whole("--subjects", 2, 100_000, "number of people behind the means", "N");
        var performance = NumberOption.Of("--performance", new(1, 99.9, "%"), "share of wearers who reach the protection", 84, "PERCENT");
        var basis = Word("--basis", "threshold", "how the attenuation was measured", "threshold", "microphone");
        var levelA = Number("--level-a", "DB", "A-weighted level of the noise, when no spectrum is given", NumberRange.Level);
        var levelC = Number("--level-c", "DB", "C-weighted level of the noise, when no spectrum is given", NumberRange.Level);
        var derating = Word("--derating", "none", "customary reduction of the NRR, on request only", "none", "osha-half", "niosh-earmuff", "niosh-formable-plug", "niosh-other-plug");
        var command = new Command("rating", Description) { input, subjects, performance, basis, levelA, levelC, derating };
        command.SetAction(parsed =>
        {
            var source = CalculationInput.Read(edge, parsed.GetValue(input)!, Prefix).Expecting(InputShape.Rating);
            var wish = new Wish(parsed.GetValue(subjects) ?? (int?)source.Number("subjects"), ProtectionPerformance.OfPercent(source.Number("performance") ?? parsed.GetValue(performance)),
                (source.Text("basis") ?? parsed.GetValue(basis)) == "microphone" ? AttenuationBasis.EarMicrophone : AttenuationBasis.ThresholdShift,
                parsed.GetValue(levelA) ?? source.Number("level_a"), parsed.GetValue(levelC) ?? source.Number("level_c"), ToDerating(parsed.GetValue(derating)!));
            return Run(new Answer(edge, CommandTree.AsJson(parsed)), source, () => Result.Of(source, wish), (w, r) => r.WriteJson(w), (w, r) => r.WriteText(w));
        });
        return command;
    }

    private static string ToWord(Derating derating) => derating switch
    {
        Derating.OshaHalf => "osha-half",
        Derating.NioshEarmuff => "niosh-earmuff",
        Derating.NioshFormablePlug => "niosh-formable-plug",
        Derating.NioshOtherPlug => "niosh-other-plug",
        _ => "none",
    };

    private static Derating ToDerating(string word) => word switch
    {
        "osha-half" => Derating.OshaHalf,
        "niosh-earmuff" => Derating.NioshEarmuff,
        "niosh-formable-plug" => Derating.NioshFormablePlug,
        "niosh-other-plug" => Derating.NioshOtherPlug,
        _ => Derating.None,
    };

    private sealed record Wish(int? Subjects, ProtectionPerformance Performance, AttenuationBasis Basis, double? LevelA, double? LevelC, Derating Derating);

    private sealed record Predicted(string Method, string Words, Level Level);

    private sealed record Result(PublishedAttenuation Published, ProtectionPerformance Performance, SingleNumberRatings Ratings, string Way, NoiseReductionRating Nrr,
        IReadOnlyList<SingleNumberRatings> People, IReadOnlyList<Predicted> Predictions, Level? NoiseA, Level? NoiseC, WearerPrediction? Wearer, Derating Derating)
    {
        public static Result? Of(CalculationInput input, Wish wish)
        {
            var people = PeopleOf(input);
            PublishedAttenuation published;
            IReadOnlyDictionary<Band, BandAttenuation> thirds = new Dictionary<Band, BandAttenuation>();
            if (people.Count > 0)
            {
                Band[] common = [.. people[0].Keys.Where(b => people.All(p => p.ContainsKey(b))).Order()];
                published = PublishedAttenuation.OfPeople(common, [.. people.Select(p => common.Select(b => p[b]).ToArray())], wish.Basis);
            }
            else
            {
                // One-third octaves hold every octave's frequency and the two extra test bands of the NRR.
                thirds = Attenuation(input);
                var octaves = thirds.Where(e => e.Key.Index % 3 == 0).ToDictionary(e => Band.Octave(e.Key.Index / 3), e => e.Value);
                foreach (var band in PublishedAttenuation.RatingBands)
                    if (!octaves.ContainsKey(band)) input.Error(10, input.Where, $"no mean and sd at {band}", "the octaves from 125 Hz to 8 kHz", "Add the row; ratings need all seven octaves.");
                if (input.Failed) return null;
                published = PublishedAttenuation.Of(octaves, wish.Subjects, wish.Basis);
            }

            var ratings = people.Count > 0 ? SingleNumberRatings.OfPeople(people, wish.Performance) : SingleNumberRatings.OfMeans(published, wish.Performance);
            var exact = new double[] { 3150, 6300 }.All(f => thirds.ContainsKey(Band.FromNominal(BandFraction.ThirdOctave, f)!.Value));
            var nrr = exact ? NoiseReductionRating.Of(thirds) : NoiseReductionRating.Of(published);
            if (!exact) input.Note(11, input.Where, "no attenuation at 3150 and 6300 Hz", "the nine test bands of the US rule", "The NRR from octaves alone can be a decibel off the labelled one.");
            var noise = Noise(input);
            if (input.Failed) return null;
            var (a, c) = (noise?.Total(FrequencyWeighting.A) ?? ToLevel(wish.LevelA), noise?.Total(FrequencyWeighting.C) ?? ToLevel(wish.LevelC));
            return new(published, wish.Performance, ratings, people.Count > 0
                ? "each person's values (ISO 4869-2:2018)" : "assumed protection values (ISO 4869-2:1994; the 2018 edition needs each person's values)",
                nrr, [.. people.Select(SingleNumberRatings.OfAttenuation)], [.. Predict(published, wish, ratings.Rounded, nrr.Rounded, noise, a, c)], a, c,
                noise is null ? null : WearerPrediction.Of(noise, published), wish.Derating);
        }

        private static IEnumerable<Predicted> Predict(PublishedAttenuation published, Wish wish, SingleNumberRatings rounded, LevelDifference nrr, Spectrum? noise, Level? a, Level? c)
        {
            if (noise is not null && PublishedAttenuation.RatingBands.All(b => noise.ToOctaves()[b] is not null))
                yield return new("octave", "octave bands", EarLevelPrediction.ByOctaves(noise, published, wish.Performance));
            if (a is { } la && c is { } lc) yield return new("hml", "H, M, L", EarLevelPrediction.ByHml(lc, la, rounded));
            if (c is { } levelC)
            {
                yield return new("snr", "SNR", EarLevelPrediction.BySnr(levelC, rounded.Snr));
                yield return new("nrr_c", Deratings.Words(wish.Derating, fromA: false), Deratings.ByNrr(levelC, nrr, wish.Derating));
            }

            if (a is { } levelA) yield return new("nrr_a", Deratings.Words(wish.Derating, fromA: true), Deratings.ByNrrFromA(levelA, nrr, wish.Derating));
        }

        private static Level? ToLevel(double? value) => value is { } v ? Level.FromDecibels(v) : null;

        private static Dictionary<Band, BandAttenuation> Attenuation(CalculationInput input)
        {
            var result = new Dictionary<Band, BandAttenuation>();
            foreach (var row in input.Rows("bands"))
            {
                if (input.Required(row, "hz", "midband_hz", "frequency", "f") is not { } hertz || input.Cell(row, "mean", "attenuation", "m") is not { } mean) continue;
                if (input.Required(row, "sd", "standard_deviation", "s") is not { } deviation) continue;
                // The US rule's test bands are often named by their round frequencies.
                var nominal = hertz switch { 3000 => 3150, 6000 => 6300, _ => hertz };
                if (deviation < 0) input.Error(12, row.Place, Words($"a standard deviation of {deviation} dB"), "0 or more", "Check the columns: mean first, then sd.");
                else if (Band.FromNominal(BandFraction.ThirdOctave, nominal) is not { } band)
                    input.Error(5, row.Place, Words($"{hertz} Hz"), "63, 125, 250, 500, 1000, 2000, 3150, 4000, 6300 or 8000 Hz", "Give the nominal midband frequency in Hz.");
                else if (!result.TryAdd(band, new(LevelDifference.FromDecibels(mean), LevelDifference.FromDecibels(deviation))))
                    input.Error(6, row.Place, $"the band at {band} for the second time", "each band once", "Remove one of the two rows.");
            }

            return result;
        }

        private static Spectrum? Noise(CalculationInput input)
        {
            if (input.Map("noise") is { } map)
            {
                var levels = new Dictionary<Band, double>();
                foreach (var (name, level) in map)
                    if (double.TryParse(name, NumberStyles.Float, CultureInfo.InvariantCulture, out var hertz) && Band.FromNominal(BandFraction.Octave, hertz) is { } band) levels[band] = level;
                    else input.Error(5, $"{input.Where}, noise", $"'{name}'", "an octave midband in Hz", "Name each level by its nominal octave frequency.");
                return levels.Count > 0 ? levels.ToSpectrum() : null;
            }

            var octaves = input.Rows("bands").Any(r => r.Cells.ContainsKey("noise")) ? Octaves(input) : [];
            return octaves.Count > 0 ? octaves.ToSpectrum() : null;
        }

        // Levels at the extra test bands are no octaves and are passed over.
        private static Dictionary<Band, double> Octaves(CalculationInput input) => input.Rows("bands")
            .Select(r => (Band: input.Cell(r, "hz", "midband_hz", "frequency", "f") is { } f ? Band.FromNominal(BandFraction.Octave, f) : null, Level: input.Cell(r, "noise")))
            .Where(x => x is { Band: not null, Level: not null }).ToDictionary(x => x.Band!.Value, x => x.Level!.Value);

        // A table whose columns are named by octave frequencies has one row per person.
        private static List<IReadOnlyDictionary<Band, LevelDifference>> PeopleOf(CalculationInput input)
        {
            var rows = input.Rows("people");
            if (rows.Count == 0 || !rows[0].Cells.Keys.Any(k => k == "1000")) return [];
            return [.. rows.Select(row => (IReadOnlyDictionary<Band, LevelDifference>)row.Cells.Keys
                .Select(k => (k, Band: double.TryParse(k, NumberStyles.Float, CultureInfo.InvariantCulture, out var f) ? Band.FromNominal(BandFraction.Octave, f) : null))
                .Where(x => x.Band is not null && input.Cell(row, x.k) is not null).ToDictionary(x => x.Band!.Value, x => LevelDifference.FromDecibels(input.Cell(row, x.k)!.Value)))];
        }

        public void WriteJson(Utf8JsonWriter w)
        {
            Numbers(w, Ratings);
            w.WriteNumber("nrr", Nrr.Value.Decibels);
            w.WriteStartObject("labelled");
            Numbers(w, Ratings.Rounded);
            w.WriteNumber("nrr", Nrr.Rounded.Decibels);
            w.WriteEndObject();
            w.WriteString("ratings_from", Way);
            w.WriteBoolean("nrr_from_octaves_only", Nrr.FromOctavesOnly);
            w.WriteNumber("performance_percent", Performance.Percent);
            w.WriteNumber("nrr_standard_deviations", NoiseReductionRating.StandardDeviationsTakenOff);
            w.WriteString("derating", ToWord(Derating));
            w.WriteNumber("alpha", Performance.Alpha);
            w.WriteStartArray("apv");
            foreach (var (band, value) in Published.AssumedProtection(Performance).OrderBy(e => e.Key))
            {
                w.WriteStartObject();
                w.WriteNumber("midband_hz", band.NominalHertz);
                w.WriteNumber("mean", Published[band]!.Value.Mean.Decibels);
                w.WriteNumber("sd", Published[band]!.Value.StandardDeviation.Decibels);
                w.WriteNumber("apv", value.Decibels);
                w.WriteEndObject();
            }

            w.WriteEndArray();
            if (People.Count > 0)
            {
                w.WriteStartArray("people");
                foreach (var person in People)
                {
                    w.WriteStartObject();
                    Numbers(w, person);
                    w.WriteEndObject();
                }

                w.WriteEndArray();
            }

            w.Optional("noise_a", NoiseA?.Decibels);
            w.Optional("noise_c", NoiseC?.Decibels);
            w.WriteStartObject("predicted_ear_level_a");
            foreach (var p in Predictions) w.WriteNumber(p.Method, p.Level.Decibels);
            if (Wearer is { } wearer)
            {
                w.WriteStartObject("one_wearer");
                w.WriteNumber("estimate", (NoiseA!.Value - wearer.Quantile(0.5)).Decibels);
                w.WriteNumber("low", (NoiseA.Value - wearer.Quantile(0.975)).Decibels);
                w.WriteNumber("high", (NoiseA.Value - wearer.Quantile(0.025)).Decibels);
                w.WriteBoolean("people_assumed", wearer.PeopleAssumed);
                w.WriteEndObject();
            }

            w.WriteEndObject();
        }

        private static void Numbers(Utf8JsonWriter w, SingleNumberRatings r)
        {
            w.WriteNumber("h", r.High.Decibels);
            w.WriteNumber("m", r.Medium.Decibels);
            w.WriteNumber("l", r.Low.Decibels);
            w.WriteNumber("snr", r.Snr.Decibels);
        }

        public void WriteText(TextWriter to)
        {
            var r = Ratings.Rounded;
            to.WriteLine(Words($"Ratings for {Performance.Percent:0.#} % of wearers: H {r.High.Decibels:0}, M {r.Medium.Decibels:0}, L {r.Low.Decibels:0}, SNR {r.Snr.Decibels:0} dB."));
            to.WriteLine(Words($"NRR {Nrr.Rounded.Decibels:0} dB: by its own rule two standard deviations are taken off, whatever the share of wearers (40 CFR 211.207)."));
            to.WriteLine(Words($"  unrounded: H {Ratings.High.Decibels:0.00}, M {Ratings.Medium.Decibels:0.00}, L {Ratings.Low.Decibels:0.00}, SNR {Ratings.Snr.Decibels:0.00}, NRR {Nrr.Value.Decibels:0.00}; from {Way}."));
            to.WriteLine("  " + string.Join("   ", Published.AssumedProtection(Performance).OrderBy(e => e.Key).Select(e => Words($"{e.Key}: {e.Value.Decibels:0.0}"))) + " dB (assumed protection)");
            if (Predictions.Count == 0) return;
            to.WriteLine();
            to.WriteLine(Words($"Level at the ear in this noise ({NoiseA?.Decibels:0.0} dB(A), {NoiseC?.Decibels:0.0} dB(C)):"));
            foreach (var p in Predictions) to.WriteLine(Words($"  {p.Level.Decibels,6:0.0} dB(A)  by {p.Words}"));
            if (Wearer is { } wearer)
                to.WriteLine(Words($"  {(NoiseA!.Value - wearer.Quantile(0.5)).Decibels,6:0.0} dB(A)  for one wearer, 95 % interval {(NoiseA.Value - wearer.Quantile(0.975)).Decibels:0.0} to {(NoiseA.Value - wearer.Quantile(0.025)).Decibels:0.0}: one wearer is predicted only loosely."));
            if (NoiseA is { } a && NoiseC is { } c && (c - a).Decibels > 10)
                to.WriteLine(Words($"  C − A is {(c - a).Decibels:0.0} dB here: single numbers are unfit for such a spectrum; use the octave bands."));
            to.WriteLine();
            to.WriteLine("Informed by the standards named, not a rating or certificate. Local rules and licensed practice come first.");
        }
    }
}
