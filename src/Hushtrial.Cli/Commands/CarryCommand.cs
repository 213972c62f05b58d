using System.CommandLine;
using System.Text.Json;
using Hushtrial.Cli.Calculations;
using Hushtrial.Hearing.Cabins;
using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;
using static Hushtrial.Cli.Calculations.CalculationCommand;

namespace Hushtrial.Cli.Commands;

/// <summary>Carries band losses to the noise of other cabins.</summary>
internal static class CarryCommand
{
    private const string Description = """
        What measured band losses give in the noise of another cabin: A- and C-weighted loss and level at the ear, with an interval that takes all bands as moving together.

        INPUT is the results.json of an analysis, or a table with the columns hz and loss, and where they apply low and high (95 % limits) or sd, and condition.
        --cabins names the other noises: a .yaml or .csv file, or a folder of them. A .csv has the columns hz and level (unweighted), and cabin where it holds several.
        Nothing is measured in the other cabin: electronics depend on the level, seals on height and head. A trial's own document can name cabins, too ('cabins').
        Example: hushtrial carry demo-helicopter/results.json --cabins my-cabins.csv
        Example: printf 'hz,loss,sd\n63,9,2\n125,11,2\n250,18,2\n500,26,2\n1000,31,2\n2000,34,2\n4000,38,2\n8000,36,2\n' | hushtrial carry --cabins my-cabins.csv
        """;

    private const string Prefix = "CAR";

    /// <summary>What is printed with every result.</summary>
    private const string Fairness = "Nothing was measured in these cabins. Electronics depend on the level and stop above a limit; seals differ with height, cold and head. Levels hold for a noise given as in the field or at an open ear.";

    public static Command Build(Edge edge)
    {
        var input = InputArgument();
        var only = new Option<string?>("--cabin") { HelpName = "ID", Description = "only this one of the cabins" };
        var scope = Word("--scope", "general", "for results.json: over donnings and flights, or the donnings made", "general", "as-worn");
        var cabins = new Option<string>("--cabins") { HelpName = "PATH", Required = true, Description = "noises of other cabins: a .yaml or .csv file, or a folder of them" };
        var command = new Command("carry", Description) { input, cabins, only, scope };
        command.SetAction(parsed =>
        {
            var library = CabinLibrary.Open(parsed.GetRequiredValue(cabins));
            var source = CalculationInput.Read(edge, parsed.GetValue(input)!, Prefix);
            source.Add(library.Problems);
            // The results of an analysis hold more than is read here.
            if (!source.HasTable("conditions")) source.Expecting(InputShape.Carry);
            return Run(new Answer(edge, CommandTree.AsJson(parsed)), source,
                () => Result.Of(source, Chosen(library, parsed.GetValue(only)), parsed.GetValue(scope) == "general" ? "general" : "as_worn"), (w, r) => r.WriteJson(w), (w, r) => r.WriteText(w));
        });
        return command;
    }

    private static IReadOnlyList<CabinEntry> Chosen(CabinLibrary library, string? only) => only is null ? library.Cabins
        : library.Cabins.Where(c => c.Id.Equals(only, StringComparison.OrdinalIgnoreCase)).ToList() is { Count: > 0 } one || library.Problems.Count > 0 ? [.. library.Cabins.Where(c => c.Id.Equals(only, StringComparison.OrdinalIgnoreCase))]
        : throw new WrongUseException($"there is no cabin '{only}'; there are {string.Join(", ", library.Cabins.Select(c => c.Id))}.");

    /// <summary>The band losses of one condition, and whether their scatter is known.</summary>
    private sealed record Losses(string Id, string Name, IReadOnlyList<BandLoss> Bands, bool Scatter);

    private sealed record Carried(Losses Of, CarriedLoss A, CarriedLoss C);

    private sealed record Result(IReadOnlyList<(CabinEntry Cabin, IReadOnlyList<Carried> Conditions)> Cabins, string? Scope, bool Levels)
    {
        public static Result? Of(CalculationInput input, IReadOnlyList<CabinEntry> cabins, string scope)
        {
            var own = input.HasTable("conditions");
            var losses = own ? OfResults(input, scope) : OfTable(input);
            if (losses.Count == 0 && !input.Failed) input.Error(10, input.Where, "no band loss", "the columns hz and loss, or the results.json of an analysis", "See hushtrial carry --help.");
            if (input.Failed) return null;
            return new([.. cabins.Select(c => (c, (IReadOnlyList<Carried>)[.. losses.Select(l => new Carried(l, Carrying.To(c.Typed!, l.Bands, FrequencyWeighting.A), Carrying.To(c.Typed!, l.Bands, FrequencyWeighting.C)))]))],
                own ? scope : null, input.Text("mode") != "relative");
        }

        private static List<Losses> OfResults(CalculationInput input, string scope)
        {
            var found = new List<Losses>();
            foreach (var row in input.Rows("conditions"))
            {
                if (row.Cells.GetValueOrDefault("predicted") == "1" || !row.Cells.TryGetValue("loss", out var text) || row.Cells.GetValueOrDefault("id") is not { } id) continue;
                List<BandLoss> bands;
                try
                {
                    using var loss = JsonDocument.Parse(text);
                    bands = loss.RootElement.TryGetProperty("bands", out var list) ? [.. list.EnumerateArray().Select(b => Measured(b, scope)).OfType<BandLoss>()] : [];
                }
                // 'conditions' of another program, or a results.json that was changed by hand.
                catch (Exception e) when (e is JsonException or InvalidOperationException or KeyNotFoundException or FormatException or ArgumentException)
                {
                    input.Error(13, row.Place, "a condition whose losses are not those of an analysis", "the results.json that 'hushtrial analyse' writes", "Give that file as it was written, or a table with the columns hz and loss.");
                    continue;
                }
                bands = [.. bands.Where(b => b.Band.Fraction == bands.Max(x => x.Band.Fraction))];
                if (bands.Any(b => b.Knowledge != BandKnowledge.Unknown)) found.Add(new(id, row.Cells.GetValueOrDefault("name") ?? id, bands, Scatter: true));
            }
            return found;
        }

        private static BandLoss? Measured(JsonElement band, string scope)
        {
            if (Band.FromNominal(band.TryGetProperty("octave", out var n) && n.GetBoolean() ? BandFraction.Octave : BandFraction.ThirdOctave, band.GetProperty("midband_hz").GetDouble()) is not { } at) return null;
            var e = band.GetProperty("scope").GetString() == scope ? band : band.GetProperty("other_scope");
            var bound = band.TryGetProperty("lower_bound_only", out var least) && least.GetBoolean();
            if (!(band.GetProperty("valid").GetBoolean() || bound) || e.GetProperty("estimate").ValueKind != JsonValueKind.Number) return BandLoss.Exact(at, LevelDifference.Zero) with { Knowledge = BandKnowledge.Unknown };
            LevelDifference Value(string name) => LevelDifference.FromDecibels(e.GetProperty(name).GetDouble());
            return new(at, Value("estimate"), Value("low"), Value("high"), bound ? BandKnowledge.AtLeast : BandKnowledge.Known);
        }

        private static List<Losses> OfTable(CalculationInput input)
        {
            var fraction = input.Fraction("bands");
            var found = new List<Losses>();
            foreach (var group in input.Rows("bands").GroupBy(r => r.Cells.GetValueOrDefault("condition") is { Length: > 0 } c ? c : "the device", StringComparer.Ordinal))
            {
                var (bands, scatter) = (new List<BandLoss>(), true);
                foreach (var row in group)
                {
                    if (input.Required(row, "hz", "midband_hz") is not { } hertz || input.Required(row, "loss", "measured", "mean") is not { } loss) continue;
                    if (Band.FromNominal(fraction, hertz) is not { } band) { input.Error(5, row.Place, Words($"{hertz} Hz"), "a midband frequency of octaves or of one-third octaves", "Give the nominal midband frequency in Hz."); continue; }
                    if (bands.Exists(b => b.Band == band)) { input.Error(6, row.Place, $"the band at {band} for the second time", "each band once", "Remove one of the rows, or name two conditions."); continue; }
                    var half = 1.96 * input.Cell(row, "sd", "standard_uncertainty");
                    var (low, high) = (input.Cell(row, "low") ?? loss - half, input.Cell(row, "high") ?? loss + half);
                    scatter &= low is not null && high is not null;
                    if (low > loss || high < loss) input.Error(11, row.Place, Words($"limits {low} to {high} dB about {loss} dB"), "limits on both sides of the loss", "Correct the row.");
                    else bands.Add(new(band, LevelDifference.FromDecibels(loss), LevelDifference.FromDecibels(low ?? loss), LevelDifference.FromDecibels(high ?? loss)));
                }
                if (bands.Count > 0) found.Add(new(group.Key, group.Key, bands, scatter));
                if (!scatter) input.Note(12, input.Where, $"no scatter of the losses of {group.Key}", "the columns low and high, or sd", "Without it no interval can be given.");
            }
            return found;
        }

        public void WriteJson(Utf8JsonWriter w)
        {
            w.WriteString("scope", Scope);
            w.WriteString("fairness", Fairness);
            w.WriteStartArray("cabins");
            foreach (var (cabin, conditions) in Cabins)
            {
                w.WriteStartObject();
                w.WriteString("id", cabin.Id);
                w.WriteString("name", cabin.Name);
                w.WriteString("source", cabin.Source);
                w.Optional("level_a", Levels ? cabin.Typed!.Total(FrequencyWeighting.A).Decibels : null);
                w.Optional("level_c", Levels ? cabin.Typed!.Total(FrequencyWeighting.C).Decibels : null);
                w.WriteStartArray("conditions");
                foreach (var c in conditions)
                {
                    w.WriteStartObject();
                    w.WriteString("id", c.Of.Id);
                    w.WriteString("name", c.Of.Name);
                    w.WriteStartObject("loss");
                    Estimate(w, "a", c.A, c.Of.Scatter, l => l, c.A.TooLittleKnown);
                    Estimate(w, "c", c.C, c.Of.Scatter, l => l, c.C.TooLittleKnown);
                    w.WriteEndObject();
                    w.WriteStartObject("ear_level");
                    Estimate(w, "a", c.A, c.Of.Scatter, l => c.A.Outside.Decibels - l, c.A.TooLittleKnown || !Levels);
                    Estimate(w, "c", c.C, c.Of.Scatter, l => c.C.Outside.Decibels - l, c.C.TooLittleKnown || !Levels);
                    w.WriteEndObject();
                    w.WriteBoolean("at_least", c.A.AtLeast);
                    w.WriteNumber("share_in_unknown_bands", c.A.UnknownShare);
                    w.WriteNumber("share_in_unknown_bands_c", c.C.UnknownShare);
                    w.WriteStartArray("filled_in");
                    foreach (var f in c.A.Filled)
                    {
                        w.WriteStartObject();
                        w.WriteNumber("midband_hz", f.Band.NominalHertz);
                        w.WriteNumber("loss", f.Value.Decibels);
                        w.WriteNumber("from_midband_hz", f.From.NominalHertz);
                        w.WriteNumber("less_db", f.Less.Decibels);
                        w.WriteEndObject();
                    }
                    w.WriteEndArray();
                    w.WriteStartArray("left");
                    foreach (var (band, share) in c.A.LeftByBand.OrderBy(b => b.Key))
                    {
                        w.WriteStartObject();
                        w.WriteNumber("midband_hz", band.NominalHertz);
                        w.WriteNumber("share", share);
                        w.WriteEndObject();
                    }
                    w.WriteEndArray();
                    w.WriteEndObject();
                }
                w.WriteEndArray();
                w.WriteEndObject();
            }
            w.WriteEndArray();
        }

        private static void Estimate(Utf8JsonWriter w, string name, CarriedLoss loss, bool scatter, Func<double, double> of, bool unknown)
        {
            w.WriteStartObject(name);
            var (low, high) = (of(loss.Low.Decibels), loss.High is { } h ? of(h.Decibels) : (double?)null);
            w.Optional("estimate", unknown ? null : of(loss.Loss.Decibels));
            w.Optional("low", unknown || !scatter ? null : high is null ? low : Math.Min(low, high.Value));
            w.Optional("high", unknown || !scatter || high is null ? null : Math.Max(low, high.Value));
            w.WriteEndObject();
        }

        public void WriteText(TextWriter to)
        {
            foreach (var (cabin, conditions) in Cabins)
            {
                to.WriteLine(cabin.Name + (Levels ? Words($": {cabin.Typed!.Total(FrequencyWeighting.A).Decibels:0.0} dB(A), {cabin.Typed.Total(FrequencyWeighting.C).Decibels:0.0} dB(C)") : "") + (cabin.Source is { } source ? $" ({source})" : ""));
                foreach (var c in conditions)
                {
                    to.WriteLine($"  {c.Of.Name}: {Weighted(c.A, c.Of.Scatter)}, {Weighted(c.C, c.Of.Scatter)}" + (Levels && !c.A.TooLittleKnown ? Words($"; at the ear {c.A.AtEar.Decibels:0.0} dB(A)") : ""));
                    foreach (var f in c.A.Filled.GroupBy(f => (f.Value, f.From, f.Less)))
                        to.WriteLine(Words($"    filled in: {string.Join(", ", f.Select(b => b.Band))} without a trusted loss, counted with {f.Key.Value.Decibels:0.0} dB, that of {f.Key.From}{(f.Key.Less.Decibels > 0 ? Words($" less {f.Key.Less.Decibels:0} dB") : "")}"));
                    if (c.A.Filled.Count > 0)
                        to.WriteLine(Words($"    these bands hold {100 * c.A.UnknownShare:0.#} % of this noise's A-weighted and {100 * c.C.UnknownShare:0.#} % of its C-weighted energy"));
                }
            }
            to.WriteLine();
            to.WriteLine(Fairness);
        }

        private static string Weighted(CarriedLoss loss, bool scatter) => loss.TooLittleKnown
            ? Words($"dB({loss.Weighting}) cannot be said, for {100 * loss.UnknownShare:0} % of this noise's {loss.Weighting}-weighted energy lies in bands without a trusted loss")
            : $"{(loss.AtLeast ? "at least " : "")}{One(loss, scatter)} dB({loss.Weighting})";

        private static string One(CarriedLoss loss, bool scatter) => Words($"{loss.Loss.Decibels:0.0}") + (!scatter || loss.High is null ? "" : Words($" ({loss.Low.Decibels:0.0} to {loss.High.Value.Decibels:0.0})"));
    }
}
