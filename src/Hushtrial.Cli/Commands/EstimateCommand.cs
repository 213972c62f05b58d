using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Verdicts;
using Hushtrial.Store;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Commands;

/// <summary>The estimator alone, on a table of readings.</summary>
internal static class EstimateCommand
{
    private const string Description = """
        Estimate insertion losses and compare devices from a table of readings (CSV).

        The first line names the columns: condition ('open' is the open ear) and at least one level in dB (LA, L125 ...) are needed;
        flight, clock_s (seconds), episode, donning (one name for every putting-on), take and wearer sharpen the answer.
        Example: hushtrial estimate readings.csv --margin 2
        """;

    public static Command Build(Edge edge)
    {
        var table = new Argument<FileInfo>("TABLE") { Description = "the table of readings; '-' reads standard input" };
        var margin = NumberOption.Of("--margin", new(0, 20, "dB"), "differences within ± this many dB count as equivalent; set it before you see results", 2);
        var step = NumberOption.Of("--step", new(0, 20, "dB"), "step of hand-noted readings in dB, for example 1; 0: continuous", 0);
        var outside = new Option<bool>("--outside-channel") { Description = "levels are ear minus a microphone outside, read at the same moment" };
        var median = NumberOption.Of("--donning-scatter", new(0.05, 20, "dB"), "median of the assumed donning scatter of an over-ear device, dB", 1.6);
        var scatter = new Option<string[]>("--factor") { Description = "scatter factor of a condition, as NAME=FACTOR: on-ear 1.35, in-canal 2, with spectacles × 1.25", AllowMultipleArgumentsPerToken = true, DefaultValueFactory = _ => [] };
        var earlier = NumberOption.Several("--earlier", new(0, 50, "dB", Above: true), "donning scatters found in at least 20 earlier trials of your own, dB: they replace the assumed one");
        var command = new Command("estimate", Description) { table, margin, step, outside, median, scatter, earlier };
        command.SetAction(parsed =>
        {
            var settings = new EstimatorSettings(parsed.GetValue(outside), parsed.GetValue(median), false, parsed.GetValue(margin), parsed.GetValue(step));
            if (parsed.GetValue(earlier) is { Length: > 0 } found)
            {
                settings = EmpiricalPrior.From(settings, found) ?? throw new WrongUseException($"--earlier needs {EmpiricalPrior.FewestTrials} trials or more; there are {found.Length}.");
            }
            var file = parsed.GetRequiredValue(table);
            return Run(edge, CommandTree.AsJson(parsed), file, settings, Traits(parsed.GetValue(scatter) ?? []));
        });
        return command;
    }

    // A reading is a line of some sixty letters; a trial of a hundred flights has some ten thousand.
    private const int LargestFile = 50_000_000;

    private static int Run(Edge edge, bool json, FileInfo file, EstimatorSettings settings, IReadOnlyList<ConditionTraits> traits)
    {
        var answer = new Answer(edge, json);
        ReadingsCsv table;
        if (file.Name == "-") table = ReadingsCsv.Read(edge.Input, "standard input");
        else
        {
            if (!file.Exists) throw new WrongUseException($"there is no file '{file}'.");
            using var reader = new StringReader(SmallFile.ReadText(file.FullName, LargestFile));
            table = ReadingsCsv.Read(reader, file.Name);
        }
        var readable = !table.Problems.Any(p => p.Severity == Severity.Error);
        var conditions = table.Readings.Select(r => r.Condition).Distinct(StringComparer.Ordinal).ToList();
        if (readable && traits.FirstOrDefault(t => !conditions.Contains(t.Id)) is { } stranger)
            throw new WrongUseException($"--factor {stranger.Id}: the table has no condition of that name; it has {string.Join(", ", conditions)}.");
        var estimate = readable ? TableEstimate.Of(table, traits, settings, file.Name) : new TableEstimate([], []);
        List<Problem> problems = [.. table.Problems, .. estimate.Problems];
        return answer.Give(problems, w => EstimateJson.Write(w, estimate), o => EstimateText.Write(o, estimate, settings));
    }

    private static List<ConditionTraits> Traits(string[] factors) => [.. factors.Select(f =>
    {
        var at = f.LastIndexOf('=');
        if (at < 1 || !double.TryParse(f.AsSpan(at + 1), NumberStyles.Float, CultureInfo.InvariantCulture, out var factor) || factor is not (>= 0.1 and <= 10))
            throw new WrongUseException($"--factor '{f}': NAME=FACTOR is needed, with a factor between 0.1 and 10.");
        return new ConditionTraits(f[..at], factor);
    })];
}

/// <summary>An estimated table as members of the command's object.</summary>
internal static class EstimateJson
{
    public static void Write(Utf8JsonWriter json, TableEstimate estimate)
    {
        json.WriteStartObject("quantities");
        foreach (var quantity in estimate.Quantities)
        {
            json.WriteStartObject(quantity.Quantity);
            Scope(json, "general", quantity.General);
            Scope(json, "as_worn", quantity.AsWorn);
            Check(json, "reml", quantity.Checks.FirstOrDefault(c => c.Model == PriorFreeModel.Episode));
            Check(json, "reml_donning", quantity.Checks.FirstOrDefault(c => c.Model == PriorFreeModel.Donning));
            json.WriteStartObject("more_fits_needed");
            foreach (var (pair, fits) in quantity.MoreFits) json.WriteNumber(pair, fits);
            json.WriteEndObject();
            json.WriteEndObject();
        }
        json.WriteEndObject();
    }

    private static void Scope(Utf8JsonWriter json, string name, ScopeEstimate? scope)
    {
        if (scope is null)
        {
            json.WriteNull(name);
            return;
        }
        json.WriteStartObject(name);
        json.WriteStartArray("contrasts");
        foreach (var contrast in scope.Contrasts) Contrast(json, contrast);
        json.WriteEndArray();
        json.WriteStartArray("not_estimable");
        foreach (var (contrast, reason) in scope.Unsaid)
        {
            json.WriteStartObject();
            json.WriteString("name", contrast);
            json.WriteString("reason", reason);
            json.WriteEndObject();
        }
        json.WriteEndArray();
        Components(json, "components", scope.Components);
        Optional(json, "critical95", scope.Critical95);
        Optional(json, "critical90", scope.Critical90);
        json.WriteEndObject();
    }

    private static void Contrast(Utf8JsonWriter json, ContrastEstimate contrast)
    {
        json.WriteStartObject();
        json.WriteString("name", contrast.Name);
        json.WriteNumber("mean", contrast.Estimate.Value);
        json.WriteNumber("sd", contrast.Estimate.StandardUncertainty);
        json.WriteNumber("low95", contrast.Estimate.Low);
        json.WriteNumber("high95", contrast.Estimate.High);
        json.WriteNumber("low90", contrast.Low90);
        json.WriteNumber("high90", contrast.High90);
        if (contrast.Pair is { } pair)
        {
            Interval(json, "simultaneous", pair.SimultaneousLow95, pair.SimultaneousHigh95, pair.SimultaneousLow90, pair.SimultaneousHigh90);
            json.WriteString("verdict", Word(pair.Verdict));
            json.WriteNumber("p_greater_0", pair.ProbabilityPositive);
            json.WriteNumber("p_within_margin", pair.ProbabilityWithinMargin);
            json.WriteBoolean("depends_on_prior", pair.DependsOnPrior);
            json.WriteString("sentence", pair.Sentence);
        }
        if (contrast.Remark is not null) json.WriteString("remark", contrast.Remark);
        json.WriteStartArray("budget");
        foreach (var line in contrast.Estimate.Budget)
        {
            json.WriteStartObject();
            json.WriteString("source", line.Source);
            json.WriteNumber("standard_uncertainty", line.StandardUncertainty);
            json.WriteEndObject();
        }
        json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void Check(Utf8JsonWriter json, string name, CheckTable? check)
    {
        if (check is null)
        {
            json.WriteNull(name);
            return;
        }
        json.WriteStartObject(name);
        Components(json, "sd", check.Components);
        json.WriteNumber("criterion", check.Criterion);
        json.WriteStartArray("contrasts");
        foreach (var row in check.Contrasts)
        {
            json.WriteStartObject();
            json.WriteString("name", row.Name);
            json.WriteNumber("estimate", row.Contrast.Estimate);
            json.WriteNumber("se", row.Contrast.StandardError);
            json.WriteNumber("df", row.Contrast.DegreesOfFreedom);
            json.WriteNumber("low95", row.Contrast.Low95);
            json.WriteNumber("high95", row.Contrast.High95);
            if (row.Pair is { } pair)
            {
                json.WriteStartObject("simultaneous");
                json.WriteNumber("low95", pair.SimultaneousLow95);
                json.WriteNumber("high95", pair.SimultaneousHigh95);
                json.WriteEndObject();
                json.WriteNumber("p_adjusted", pair.AdjustedP);
                json.WriteNumber("p_equivalence", pair.EquivalenceP);
                json.WriteString("verdict", Word(pair.Verdict));
            }
            json.WriteEndObject();
        }
        json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void Components(Utf8JsonWriter json, string name, IReadOnlyList<KeyValuePair<string, double>> components)
    {
        json.WriteStartObject(name);
        foreach (var (component, sd) in components) json.WriteNumber(component, sd);
        json.WriteEndObject();
    }

    private static void Interval(Utf8JsonWriter json, string name, double low95, double high95, double low90, double high90)
    {
        json.WriteStartObject(name);
        json.WriteNumber("low95", low95);
        json.WriteNumber("high95", high95);
        json.WriteNumber("low90", low90);
        json.WriteNumber("high90", high90);
        json.WriteEndObject();
    }

    private static void Optional(Utf8JsonWriter json, string name, double? value)
    {
        if (value is { } number) json.WriteNumber(name, number);
        else json.WriteNull(name);
    }

    private static string Word(VerdictKind verdict) => verdict switch
    {
        VerdictKind.Different => "different",
        VerdictKind.DifferentWithinMargin => "different_within_margin",
        VerdictKind.Equivalent => "equivalent",
        _ => "unresolved",
    };
}

/// <summary>An estimated table for a person: losses first, then what can be said of the pairs.</summary>
internal static class EstimateText
{
    public static void Write(TextWriter to, TableEstimate estimate, EstimatorSettings settings)
    {
        foreach (var quantity in estimate.Quantities)
        {
            to.WriteLine(quantity.Quantity);
            var width = Math.Max(9, (quantity.General?.Contrasts ?? []).Select(c => c.Name.Length).DefaultIfEmpty(0).Max());
            var losses = (quantity.General?.Contrasts ?? []).Where(c => c.Pair is null).OrderByDescending(c => c.Estimate.Value).ToList();
            if (losses.Count > 0)
            {
                to.WriteLine("  Insertion loss, dB".PadRight(width + 14) + "in general (95 %)      as worn in this trial (95 %)");
                foreach (var loss in losses)
                    to.WriteLine($"    {loss.Name[3..].PadRight(width)} {Range(loss.Estimate)}   {Range(Other(quantity.AsWorn, loss.Name))}");
            }
            foreach (var scope in new[] { quantity.General, quantity.AsWorn }.OfType<ScopeEstimate>()) Sentences(to, scope, quantity.MoreFits);
            foreach (var unsaid in (quantity.General?.Unsaid ?? []).GroupBy(u => u.Value)) to.WriteLine($"  {string.Join(", ", unsaid.Select(u => u.Key))}: {unsaid.Key}.");
            foreach (var remark in (quantity.General?.Contrasts ?? []).Select(c => c.Remark).OfType<string>().Distinct()) to.WriteLine($"  In general: {remark}.");
            Check(to, quantity);
            to.WriteLine();
        }
        if (estimate.Quantities.Count > 0)
            to.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Margin ±{settings.MarginDecibels:0.##} dB. Verdicts hold for all pairs of a quantity at once (95 %). 'In general' speaks of donnings and flights to come, 'as worn' of the donnings made."));
    }

    private static void Sentences(TextWriter to, ScopeEstimate scope, IReadOnlyList<KeyValuePair<string, int>> more)
    {
        var pairs = scope.Contrasts.Where(c => c.Pair is not null).ToList();
        if (pairs.Count == 0) return;
        to.WriteLine(scope.Scope == EstimateScope.General ? "  Pairs, in general" : "  Pairs, as worn in this trial");
        foreach (var pair in pairs)
        {
            var needed = scope.Scope == EstimateScope.General ? more.Where(m => m.Key == pair.Name).Select(m => m.Value).FirstOrDefault() : 0;
            to.WriteLine("    " + pair.Pair!.Sentence + (pair.Pair.DependsOnPrior ? " This depends on the assumed donning scatter." : "")
                + (needed > 0 ? string.Create(CultureInfo.InvariantCulture, $" About {needed} more donnings of each would settle it at 80 % power.") : ""));
        }
    }

    private static void Check(TextWriter to, QuantityEstimate quantity)
    {
        var check = quantity.Checks.FirstOrDefault(c => c.Model == PriorFreeModel.Episode);
        if (check is null) return;
        to.WriteLine("  Cross-check without any assumed scatter (restricted likelihood, Kenward-Roger): "
            + string.Join("; ", check.Contrasts.Where(c => c.Pair is null).Select(c => string.Create(CultureInfo.InvariantCulture, $"{c.Name[3..]} {c.Contrast.Estimate:0.0} ± {c.Contrast.High95 - c.Contrast.Estimate:0.0}"))) + " dB.");
    }

    private static Estimate? Other(ScopeEstimate? scope, string name) => scope?.Contrasts.FirstOrDefault(c => c.Name == name)?.Estimate;

    private static string Range(Estimate? e) => e is null ? "not said".PadRight(20)
        : string.Create(CultureInfo.InvariantCulture, $"{e.Value,5:0.0} ({e.Low:0.0} to {e.High:0.0})").PadRight(20);
}
