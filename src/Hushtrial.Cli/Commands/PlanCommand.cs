using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Hushtrial.Cli.Calculations;
using Hushtrial.Cli.Files;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Cards;
using Hushtrial.Trials.Planning;
using Hushtrial.Trials.Proof;
using Hushtrial.Trials.Verdicts;
using Hushtrial.Store;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Commands;

/// <summary>Plans a trial: what it can find, what the open ear costs, and the order to follow.</summary>
internal static class PlanCommand
{
    private const string Description = """
        Plan a fair trial: what it can find, the dose of the open ear, and a balanced order to follow.

        Example: hushtrial plan Alder Birch=on+off Cedar --flights 3 --donnings 2 --open-level 94 --out cards.html
        """;

    public static Command Build(Edge edge)
    {
        var devices = new Argument<string[]>("DEVICE") { Description = "devices, each with its modes if it has several: Alder Birch=on+off", Arity = ArgumentArity.OneOrMore };
        var flights = NumberOption.Whole("--flights", 1, 100, "flights", 2);
        var donnings = NumberOption.Whole("--donnings", 1, 20, "donnings of every device in a flight", 2);
        var takes = NumberOption.Whole("--takes", 1, 20, "takes of every mode in a donning", 2);
        var seconds = NumberOption.Of("--seconds", new(3, 600, "s"), "length of a take, s", 15);
        var difference = NumberOption.Of("--difference", new(0.1, 30, "dB"), "difference to be found, dB", 2);
        var scatter = NumberOption.Of("--donning-scatter", new(0.1, 10, "dB"), "donning scatter to plan with, dB", 1.6);
        var level = NumberOption.Of("--open-level", new(40, 150, "dB(A)"), "noise at the open ear, dB(A); without it there is no open-ear part");
        var rules = new Option<string>("--rules") { Description = "rule set of the dose", DefaultValueFactory = _ => "niosh" };
        rules.AcceptOnlyFromAmong([.. RuleSets.All.Select(r => r.Id)]);
        var share = NumberOption.Of("--accept", new(0, 100, "%"), "share of a day's dose accepted for the open ear, %", OpenEarDose.UsualAllowedPercent);
        var simulate = NumberOption.Whole("--simulate", 0, 100_000, "simulated trials behind the chance to find the difference; 0: the formula alone", 0);
        var seed = NumberOption.Seed("seed of the order");
        var output = new Option<FileInfo?>("--out") { Description = "write the order and safety cards, a printable page (.html)" };
        var command = new Command("plan", Description) { devices, flights, donnings, takes, seconds, difference, scatter, level, rules, share, simulate, seed, output };
        command.SetAction((parsed, cancellation) =>
        {
            if (parsed.GetValue(output) is { } page) NamedOutput.MustEnd(page.FullName, NamedOutput.Page);
            var question = new PlanQuestion(Devices(parsed.GetRequiredValue(devices)), parsed.GetValue(flights), parsed.GetValue(donnings), parsed.GetValue(takes),
                TimeSpan.FromSeconds(parsed.GetValue(seconds)), parsed.GetValue(difference), new PlannedScatter(parsed.GetValue(scatter), 0.4, 0.3, 0.6), parsed.GetValue(level) is not null, parsed.GetValue(seed));
            var plan = TrialPlan.For(question);
            var dose = parsed.GetValue(level) is { } l ? OpenEarDose.Of(plan.Order, Level.FromDecibels(l), question.TakeTime, RuleSets.Find(parsed.GetRequiredValue(rules))!, parsed.GetValue(share)) : null;
            var simulated = parsed.GetValue(simulate) is > 0 and var trials ? PlannedChance.Of(question, trials, cancellation: cancellation) : null;
            if (parsed.GetValue(output) is { } file) Output.Write(file.FullName, PlanCards.Html(plan, dose));
            var problems = dose is { Refused: true } ? new List<Problem> { Refusal(dose) } : [];
            return Task.FromResult(new Answer(edge, CommandTree.AsJson(parsed)).Give(problems, w => Json(w, plan, dose, simulated), o => Text(o, plan, dose, simulated)));
        });
        return command;
    }

    private static PlannedDevice[] Devices(string[] written)
    {
        PlannedDevice[] devices = [.. written.Select(w => w.Split('=', 2)).Select(p => new PlannedDevice(p[0], p.Length == 2 ? p[1].Split('+', StringSplitOptions.RemoveEmptyEntries) : []))];
        if (devices.Any(d => d.Name.Length == 0) || devices.Select(d => d.Name).Distinct(StringComparer.Ordinal).Count() < devices.Length || devices.Length > 40)
            throw new WrongUseException("every device needs a name of its own, and 40 are the most.");
        return devices;
    }

    private static Problem Refusal(OpenEarDose dose) => new("PLN-001", Severity.Error, "the open-ear part",
        string.Create(CultureInfo.InvariantCulture, $"{dose.DosePercent:0.#} % of a day's dose in one flight"), string.Create(CultureInfo.InvariantCulture, $"at most {dose.AllowedPercent:0.#} %"),
        "Do not read the open ear as planned. " + string.Join(" Or: ", OpenEarDose.Alternatives));

    private static void Json(Utf8JsonWriter json, TrialPlan plan, OpenEarDose? dose, ProofShare? simulated)
    {
        json.Optional("power_one_pair", plan.Question.Devices.Count > 1 ? plan.PowerOnePair : null);
        json.Optional("power_all_pairs", plan.Question.Devices.Count > 1 ? plan.PowerAllPairs : null);
        json.WriteBoolean("formula_optimistic", plan.FormulaOptimistic);
        if (simulated?.Value is { } power)
        {
            json.WriteNumber("power_simulated", power);
            json.WriteNumber("power_simulated_error", simulated.Error);
        }
        if (plan.DonningsNeeded is { } needed) json.WriteNumber("donnings_needed", needed);
        else json.WriteNull("donnings_needed");
        json.WriteNumber("minutes_per_flight", plan.MinutesPerFlight);
        if (dose is not null)
        {
            json.WriteStartObject("open_ear_dose");
            json.WriteString("rules", dose.Rules.Id);
            json.WriteNumber("level_dba", dose.Level.Decibels);
            json.WriteNumber("seconds_per_flight", dose.TimePerFlight.TotalSeconds);
            json.WriteNumber("dose_percent", dose.DosePercent);
            json.WriteBoolean("refused", dose.Refused);
            json.WriteEndObject();
        }
        json.WriteNumber("seed", plan.Order.Seed);
        json.WriteStartObject("codes");
        foreach (var (code, device) in plan.Order.Codes) json.WriteString(code, device);
        json.WriteEndObject();
        json.WriteStartArray("order");
        foreach (var step in plan.Order.Steps)
        {
            json.WriteStartObject();
            json.WriteNumber("step", step.Number);
            json.WriteNumber("flight", step.Flight);
            json.WriteString("device", step.Device);
            json.WriteString("code", step.Code);
            json.WriteStartArray("takes");
            foreach (var take in step.Takes) json.WriteStringValue(take);
            json.WriteEndArray();
            json.WriteEndObject();
        }
        json.WriteEndArray();
        json.WriteStartArray("advice");
        foreach (var advice in plan.Advice) json.WriteStringValue(advice);
        json.WriteEndArray();
    }

    // Certainty is not on offer.
    private static string Chance(double p) => p > 0.995 ? "over 99 %" : p < 0.005 ? "under 1 %" : string.Create(CultureInfo.InvariantCulture, $"{100 * p:0} %");

    private static void Text(TextWriter to, TrialPlan plan, OpenEarDose? dose, ProofShare? simulated)
    {
        void Line(FormattableString line) => to.WriteLine(line.ToString(CultureInfo.InvariantCulture));
        var question = plan.Question;
        // One device makes no pair, and no difference can be asked for.
        var pairs = question.Devices.Count > 1;
        if (pairs) Line($"Chance to find a difference of {question.Difference:0.#} dB: {Chance(plan.PowerOnePair)} for one declared pair, {Chance(plan.PowerAllPairs)} when all pairs are judged (donning scatter {question.Scatter.Donning:0.#} dB).");
        if (pairs && simulated?.Value is { } power) Line($"Simulated with the full method: {Chance(power)} ± {simulated.Error:P0} for one declared pair.");
        else if (pairs && plan.FormulaOptimistic) Line($"With fewer than nine donnings of each device this is optimistic; '--simulate 300' tells more.");
        if (pairs && plan.DonningsNeeded is { } needed) Line($"80 % for one pair needs about {needed} donnings of each device; this plan has {question.Flights * question.DonningsPerFlight}.");
        Line($"A flight takes about {plan.MinutesPerFlight:0} min in steady cruise.");
        if (dose is not null) to.WriteLine(PlanCards.Words(dose));
        foreach (var advice in plan.Advice) to.WriteLine("· " + advice);
        foreach (var flight in plan.Order.Steps.GroupBy(s => s.Flight))
        {
            Line($"\nFlight {flight.Key}");
            foreach (var step in flight)
                Line($"  {step.Number,3}  {(step.Device is null ? "open ear" : $"{step.Code}  {step.Device}"),-24} {(step.Takes[0].Length == 0 ? $"{step.Takes.Count} takes" : string.Join(", ", step.Takes))}");
        }
        to.WriteLine("\nThe pilot flying has no task in this trial. The safety card goes with the order card: --out FILE writes both.");
    }
}
