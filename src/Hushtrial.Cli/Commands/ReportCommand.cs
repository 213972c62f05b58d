using System.CommandLine;
using Hushtrial.Cli.Files;
using Hushtrial.Quantities;
using Hushtrial.Trials;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Commands;

/// <summary>Writes the report of a trial.</summary>
internal static class ReportCommand
{
    public static Command Build(Edge edge)
    {
        var trial = new Argument<string>("TRIAL") { Description = "a trial document, or the folder that holds one" };
        var outFile = new Option<string?>("--out") { Description = "file to write, .html or, when Chromium is there, .pdf (default: report.html beside the document)" };
        var cabins = CabinOption.Make();
        var command = new Command("report", "Analyse a trial and write its report, one self-contained file. Example: hushtrial report spring-trial --out spring.html") { trial, outFile, cabins };
        command.SetAction((parsed, cancellation) => RunAsync(edge, parsed.GetRequiredValue(trial), parsed.GetValue(outFile), parsed.GetValue(cabins), CommandTree.AsJson(parsed), cancellation));
        return command;
    }

    private static async Task<int> RunAsync(Edge edge, string trial, string? outFile, string? cabins, bool json, CancellationToken cancellation)
    {
        if (outFile is not null) NamedOutput.MustEnd(outFile, NamedOutput.PageOrPrint);
        using var folder = Progressing.Run(edge, "Reading", p => TrialFolder.Open(trial, p));
        if (cabins is not null) folder.Add(CabinLibrary.Open(cabins));
        if (!folder.Readable) return AnalyseCommand.Unreadable(edge, folder, json);
        var path = outFile ?? Path.Combine(folder.Folder, "report.html");
        NamedOutput.MustEnd(path, NamedOutput.PageOrPrint);
        NamedOutput.MustNotBe(NamedOutput.InputsOf(folder, cabins), [path]);
        var results = Progressing.Run(edge, "Analysing", p => Analysis.Run(folder.ToInputs(), p, cancellation));
        var problems = await ResultFiles.WriteReportAsync(results, path, cancellation);
        IReadOnlyList<Problem> all = [.. results.Problems, .. problems];
        return new Answer(edge, json).Give(all, w => w.WriteString("report", path), t =>
        {
            t.WriteLine(results.Headline);
            if (problems.All(p => p.Severity != Severity.Error)) t.WriteLine($"The report is {path}");
        });
    }
}
