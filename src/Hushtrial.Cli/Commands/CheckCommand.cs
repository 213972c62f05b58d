using System.CommandLine;
using Hushtrial.Quantities;
using Hushtrial.Trials;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Commands;

/// <summary>Reads everything, reports all problems and findings, analyses nothing.</summary>
internal static class CheckCommand
{
    public static Command Build(Edge edge)
    {
        var trial = new Argument<string>("TRIAL") { Description = "a trial document, or the folder that holds one" };
        var command = new Command("check", "Read a trial and its recordings and report every problem and finding. Example: hushtrial check spring-trial") { trial };
        command.SetAction((parsed, cancellation) => Task.FromResult(Run(edge, parsed.GetRequiredValue(trial), parsed.GetValue(CommandTree.Format) == "json", cancellation)));
        return command;
    }

    private static int Run(Edge edge, string trial, bool json, CancellationToken cancellation)
    {
        using var folder = Progressing.Run(edge, "Reading", p => TrialFolder.Open(trial, p));
        IReadOnlyList<Problem> problems = folder.Problems;
        if (folder.Readable)
            problems = [.. problems, .. Progressing.Run(edge, "Checking", p => Analysis.Findings(folder.ToInputs(), p, cancellation))];
        var count = problems.GroupBy(p => p.Severity).ToDictionary(g => g.Key, g => g.Count());
        return new Answer(edge, json).Give(problems, w =>
        {
            w.WriteString("trial", folder.Document?.Identity.Title);
            w.WriteNumber("takes", folder.Document?.Takes.Count ?? 0);
            w.WriteNumber("recordings", folder.Document?.Recordings.Count ?? 0);
        }, t =>
        {
            if (folder.Document is { } d)
                t.WriteLine($"{d.Identity.Title}: {d.Devices.Count} devices, {d.Conditions.Count} conditions, {d.Runs.Count} runs, {d.Takes.Count} takes, {d.Recordings.Count} recordings.");
            t.WriteLine(problems.Count == 0 ? "No problems found."
                : $"{count.GetValueOrDefault(Severity.Error)} errors, {count.GetValueOrDefault(Severity.Warning)} warnings, {count.GetValueOrDefault(Severity.Note)} notes:");
        });
    }
}
