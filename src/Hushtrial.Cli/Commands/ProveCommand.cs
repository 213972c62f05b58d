using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Hushtrial.Trials.Proof;

namespace Hushtrial.Cli.Commands;

/// <summary>Proves the estimator on simulated trials of known truth.</summary>
internal static class ProveCommand
{
    private const string Description = """
        Prove the estimator: simulate trials of known truth, estimate them, and count how often the intervals hold.

        Designs D1 to D8 and the scenarios are those of the validation document; --flights, --donnings, --takes and --devices make one like yours.
        --recordings goes the whole way instead: synthesised recordings, levels, own noise, calibration, estimate, verdicts (some seconds a trial).
        --checks proves the signal checks: faults of graded size in synthetic takes, how many were found, how many clean takes were flagged.
        Example: hushtrial prove --design D3 --scenario base --trials 1000
        """;

    public static Command Build(Edge edge)
    {
        var design = new Option<string>("--design") { Description = "D1 to D8, or all", DefaultValueFactory = _ => "D3" };
        design.AcceptOnlyFromAmong([.. ProofDesign.All.Select(d => d.Name), "all"]);
        var scenario = new Option<string>("--scenario") { Description = string.Join(", ", ProofScenario.All.Select(s => s.Name)) + ", or all", DefaultValueFactory = _ => "base" };
        scenario.AcceptOnlyFromAmong([.. ProofScenario.All.Select(s => s.Name), "all"]);
        var (flights, donnings, takes, devices) = (Own("--flights"), Own("--donnings"), Own("--takes"), Own("--devices"));
        var donningScatter = NumberOption.Of("--donning-scatter", new(0, 20, "dB"), "donning scatter of the simulated world, dB, instead of the scenario's");
        var trials = NumberOption.Whole("--trials", 1, 1_000_000, "simulated trials per cell", 300);
        var seed = NumberOption.Seed("seed; equal seeds give equal tables");
        var recordings = new Option<bool>("--recordings") { Description = "trials made as recordings (the demo's helicopter), each with its own seed; --trials 30 takes about two minutes" };
        var finding = new Option<bool>("--finding") { Description = "the finding of takes instead, on flights recorded from start to landing; --trials 100 takes some minutes" };
        var checks = new Option<bool>("--checks") { Description = "the signal checks: faults of graded size put into synthetic takes, detections and false flags counted; --trials 34 gives 200 takes a fault and takes about half an hour" };
        var fault = new Option<string?>("--fault") { Description = "with --checks: only faults whose name holds this text" };
        var command = new Command("prove", Description) { design, scenario, flights, donnings, takes, devices, donningScatter, trials, seed, recordings, finding, checks, fault };
        command.SetAction((parsed, cancellation) =>
        {
            if (parsed.GetValue(checks))
                return Task.FromResult(CheckProofAnswer.Give(edge, parsed.GetValue(trials), parsed.GetValue(seed), parsed.GetValue(fault), CommandTree.AsJson(parsed), cancellation));
            if (parsed.GetValue(finding))
                return Task.FromResult(FindingProofAnswer.Give(edge, parsed.GetValue(trials), parsed.GetValue(seed), CommandTree.AsJson(parsed), cancellation));
            if (parsed.GetValue(recordings))
                return Task.FromResult(RecordingProofAnswer.Give(edge, parsed.GetValue(trials), parsed.GetValue(seed), CommandTree.AsJson(parsed), cancellation));
            int?[] own = [parsed.GetValue(flights), parsed.GetValue(donnings), parsed.GetValue(takes), parsed.GetValue(devices)];
            ProofDesign[] designs = own.Any(o => o is not null) ? [new("own", own[0] ?? 2, own[1] ?? 1, own[2] ?? 2, Math.Max(2, own[3] ?? 4))]
                : [.. ProofDesign.All.Where(d => parsed.GetValue(design) == "all" || d.Name == parsed.GetValue(design))];
            ProofScenario[] scenarios = [.. ProofScenario.All.Where(s => parsed.GetValue(scenario) == "all" || s.Name == parsed.GetValue(scenario))
                .Select(s => parsed.GetValue(donningScatter) is { } own ? s with { Donning = own } : s)];
            var cells = new List<ProofCell>();
            foreach (var world in scenarios)
                foreach (var shape in designs)
                {
                    if (edge.ErrorIsTerminal) edge.Error.Write($"\r{world.Name} {shape.Name}        ");
                    cells.Add(LevelProof.Run(shape, world, parsed.GetValue(trials), parsed.GetValue(seed), cancellation: cancellation));
                }
            if (edge.ErrorIsTerminal) edge.Error.Write("\r                              \r");
            return Task.FromResult(new Answer(edge, CommandTree.AsJson(parsed)).Give([], w => Json(w, cells), o => Text(o, cells)));
        });
        return command;
    }

    private static Option<int?> Own(string name) => NumberOption.Whole(name, 1, 40, "for a design of your own");

    private static void Json(Utf8JsonWriter json, List<ProofCell> cells)
    {
        json.WriteStartArray("cells");
        foreach (var cell in cells)
        {
            json.WriteStartObject();
            json.WriteString("design", cell.Design.Name);
            json.WriteNumber("flights", cell.Design.Flights);
            json.WriteNumber("donnings_per_flight", cell.Design.DonningsPerFlight);
            json.WriteNumber("takes_per_donning", cell.Design.TakesPerDonning);
            json.WriteNumber("devices", cell.Design.Devices);
            json.WriteString("scenario", cell.Scenario.Name);
            json.WriteNumber("trials", cell.Trials);
            Share(json, "coverage", cell.Coverage);
            Share(json, "worst_pair", cell.WorstPair);
            Share(json, "coverage_as_worn", cell.CoverageAsWorn);
            Share(json, "coverage_loss", cell.CoverageLoss);
            json.WriteNumber("half_width", cell.HalfWidth);
            json.WriteNumber("half_width_as_worn", cell.HalfWidthAsWorn);
            Share(json, "false_different", cell.FalseDifferent);
            Share(json, "false_equivalent", cell.FalseEquivalent);
            Share(json, "wrong_sign", cell.WrongSign);
            Share(json, "power_up_to_2_db", cell.PowerTwo);
            Share(json, "power_above_2_db", cell.PowerMore);
            json.WriteEndObject();
        }
        json.WriteEndArray();
    }

    private static void Share(Utf8JsonWriter json, string name, ProofShare share)
    {
        if (share.Value is not { } value)
        {
            json.WriteNull(name);
            return;
        }
        json.WriteStartObject(name);
        json.WriteNumber("share", value);
        json.WriteNumber("error", share.Error);
        json.WriteEndObject();
    }

    private static void Text(TextWriter to, List<ProofCell> cells)
    {
        to.WriteLine("scenario                  design  coverage of pairs  worst   as worn   conditions  half-width general / as worn, dB   false diff.  false equiv.  wrong sign   power to 2 dB / above");
        foreach (var c in cells)
            to.WriteLine($"{c.Scenario.Name,-25} {c.Design.Name,-7} {In(c.Coverage),-18} {Short(c.WorstPair),-7} {Short(c.CoverageAsWorn),-9} {Short(c.CoverageLoss),-11} "
                + string.Create(CultureInfo.InvariantCulture, $"{c.HalfWidth,16:0.0} / {c.HalfWidthAsWorn,-14:0.0}") + $"  {Short(c.FalseDifferent),-12} {Short(c.FalseEquivalent),-13} {Short(c.WrongSign),-12} {Short(c.PowerTwo)} / {Short(c.PowerMore)}");
        to.WriteLine(string.Create(CultureInfo.InvariantCulture, $"\n{cells[0].Trials} simulated trials per cell; ± is the simulation error. Intervals are nominally 95 %; verdicts hold for all pairs at once, margin 2 dB."));
    }

    private static string In(ProofShare share) => share.Value is { } v ? string.Create(CultureInfo.InvariantCulture, $"{v:0.000} ± {share.Error:0.000}") : "–";

    private static string Short(ProofShare share) => share.Value is { } v ? v.ToString("0.00", CultureInfo.InvariantCulture) : "–";
}
