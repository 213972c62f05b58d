using System.CommandLine;
using Hushtrial.Cli.Files;
using Hushtrial.Quantities;
using Hushtrial.Trials;
using Hushtrial.Trials.Results;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Commands;

/// <summary>Analyses a trial.</summary>
internal static class AnalyseCommand
{
    public static Command Build(Edge edge)
    {
        var trial = new Argument<string>("TRIAL") { Description = "a trial document, or the folder that holds one" };
        var outFolder = new Option<string?>("--out") { Description = "folder for results.json, the tables as CSV and the figures as SVG (and PNG when Chromium is there)" };
        var cabins = CabinOption.Make();
        var command = new Command("analyse", "Losses, levels at the ear and comparisons of a trial. Example: hushtrial analyse spring-trial --out spring-trial/results") { trial, outFolder, cabins };
        command.SetAction((parsed, cancellation) => Task.FromResult(Run(edge, parsed.GetRequiredValue(trial), parsed.GetValue(outFolder), parsed.GetValue(cabins), CommandTree.AsJson(parsed), cancellation)));
        return command;
    }

    private static int Run(Edge edge, string trial, string? outFolder, string? cabins, bool json, CancellationToken cancellation)
    {
        using var folder = Progressing.Run(edge, "Reading", p => TrialFolder.Open(trial, p));
        if (cabins is not null) folder.Add(CabinLibrary.Open(cabins));
        if (!folder.Readable) return Unreadable(edge, folder, json);
        var results = Progressing.Run(edge, "Analysing", p => Analysis.Run(folder.ToInputs(), p, cancellation));
        if (outFolder is not null)
        {
            var problems = ResultFiles.Write(results, outFolder, NamedOutput.InputsOf(folder, cabins), cancellation);
            results = results with { Problems = [.. results.Problems, .. problems] };
        }
        return Tell(edge, results, json);
    }

    /// <summary>Gives the results as the command's answer.</summary>
    public static int Tell(Edge edge, TrialResults results, bool json)
    {
        if (json)
        {
            Hushtrial.Reporting.Exports.ResultJson.Write(results, edge.StandardOutput);
            edge.StandardOutput.Flush();
        }
        else
        {
            ResultText.Write(results, edge.Out);
            foreach (var problem in results.Problems) edge.Error.WriteLine(problem.ToString());
        }
        return results.Problems.Any(p => p.Severity == Severity.Error) ? ExitCode.Problems : ExitCode.Done;
    }

    /// <summary>The answer when a trial cannot be read.</summary>
    public static int Unreadable(Edge edge, TrialFolder folder, bool json) => new Answer(edge, json).Give(folder.Problems,
        w => w.WriteString("trial", folder.Document?.Identity.Title), t => t.WriteLine("The trial has errors and was not analysed:"));
}
