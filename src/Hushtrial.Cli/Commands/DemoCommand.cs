using System.CommandLine;
using System.Globalization;
using Hushtrial.Cli.Files;
using Hushtrial.Quantities;
using Hushtrial.Trials;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Synthesis;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Commands;

/// <summary>Makes the demo trial, analyses it and writes its report.</summary>
internal static class DemoCommand
{
    public static Command Build(Edge edge)
    {
        var folder = new Argument<string?>("FOLDER") { Description = "folder to write (default: demo-helicopter or demo-tractor)", Arity = ArgumentArity.ZeroOrOne };
        var scenario = new Option<string>("--scenario") { Description = "helicopter: an air-ambulance crew with recordings; tractor: noted readings of an uncalibrated phone", DefaultValueFactory = _ => "helicopter" };
        scenario.AcceptOnlyFromAmong("helicopter", "tractor");
        var seed = NumberOption.Seed("another seed makes another trial from the same truth");
        var continuous = new Option<bool>("--continuous") { Description = "helicopter: record whole flights and mark no take; try 'hushtrial find' on it" };
        var command = new Command("demo", "Make a demo trial with its truth, analyse it and write the report. Example: hushtrial demo") { folder, scenario, seed, continuous };
        command.SetAction((parsed, cancellation) => parsed.GetValue(continuous)
            ? Task.FromResult(ContinuousDemo.Run(edge, parsed.GetValue(folder) ?? "demo-continuous", parsed.GetRequiredValue(scenario), parsed.GetValue(seed), CommandTree.AsJson(parsed), cancellation))
            : RunAsync(edge, parsed.GetValue(folder), parsed.GetRequiredValue(scenario), parsed.GetValue(seed), CommandTree.AsJson(parsed), cancellation));
        return command;
    }

    private static async Task<int> RunAsync(Edge edge, string? named, string scenario, ulong seed, bool json, CancellationToken cancellation)
    {
        var path = named ?? $"demo-{scenario}";
        var demo = scenario == "tractor" ? VineyardTractor.Make(seed) : HelicopterTrial.Make(seed);
        var place = DemoFolder.Of(path, demo.Document, demo.Recordings);
        Progressing.Run(edge, "Making the recordings", p => { Write(demo, place, path, p, cancellation); return 0; });
        using var folder = Progressing.Run(edge, "Reading", p => TrialFolder.Open(path, p));
        if (!folder.Readable) return AnalyseCommand.Unreadable(edge, folder, json);
        var started = edge.Clock.GetTimestamp();
        var results = Progressing.Run(edge, "Analysing", p => place.Stoppable(() => Analysis.Run(folder.ToInputs(), p, cancellation)));
        var seconds = edge.Clock.GetElapsedTime(started).TotalSeconds;
        var report = Path.Combine(path, "report.html");
        IReadOnlyList<Problem> problems = [.. results.Problems, .. await ResultFiles.WriteReportAsync(results, report, cancellation), .. place.Stoppable(() => ResultFiles.Write(results, path, NamedOutput.InputsOf(folder, null), cancellation))];
        return new Answer(edge, json).Give(problems, w =>
        {
            w.WriteString("folder", path);
            w.WriteString("document", folder.DocumentPath);
            w.WriteString("report", report);
            w.WriteString("results", Path.Combine(path, ResultFiles.JsonName));
            w.WriteString("truth", Path.Combine(path, TruthFile.Name));
            w.WriteBoolean("written_anew", place.IsThere);
            w.WriteNumber("analysis_seconds", Math.Round(seconds, 3));
        }, t =>
        {
            ResultText.Write(results, t);
            t.WriteLine();
            Truth(demo.Truth, results, t);
            t.WriteLine();
            t.WriteLine($"Trial      {folder.DocumentPath}{(place.IsThere ? Anew : "")}");
            t.WriteLine($"Results    {Path.Combine(path, ResultFiles.JsonName)}, tables and figures beside it");
            t.WriteLine($"Truth      {Path.Combine(path, TruthFile.Name)}");
            t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Report     {Path.GetFullPath(report)}   (analysed in {seconds:0.0} s)"));
            t.WriteLine($"Workspace  ./hushtrial serve {path}   (the same trial in local pages)");
        });
    }

    /// <summary>Said where the same demo was there before.</summary>
    public const string Anew = " (the same demo was there and is written anew)";

    private static void Write(SyntheticTrial demo, DemoFolder place, string path, IProgress<double>? progress, CancellationToken cancellation)
    {
        place.Write(progress, cancellation);
        Output.Write(Path.Combine(path, TruthFile.Name), stream => TruthFile.Write(demo.Truth, stream));
    }

    private static void Truth(TrialTruth truth, TrialResults results, TextWriter t)
    {
        t.WriteLine("The truth that the demo was made from, beside the estimate (A-weighted loss, dB):");
        foreach (var c in results.Conditions.Where(c => truth.Conditions.ContainsKey(c.Condition.Id)))
        {
            var real = truth.Conditions[c.Condition.Id];
            t.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"  {c.Name}: in general {real.GeneralA:0.0}, estimated {c.Loss.A?.General?.Value:0.0}; as worn {real.AsWornA:0.0}, estimated {c.Loss.A?.AsWorn?.Value:0.0}"));
        }
    }
}
