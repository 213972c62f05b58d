using System.CommandLine;
using Hushtrial.Quantities;
using Hushtrial.Trials;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Commands;

/// <summary>Reads everything, reports all problems and findings, analyses nothing.</summary>
internal static class CheckCommand
{
    public static Command Build(Edge edge)
    {
        var trial = new Argument<string>("TRIAL") { Description = "a trial document, or the folder that holds one" };
        var command = new Command("check", "Read a trial and its recordings and report every problem and finding. Example: hushtrial check spring-trial") { trial };
        command.SetAction((parsed, cancellation) => Task.FromResult(Run(edge, parsed.GetRequiredValue(trial), CommandTree.AsJson(parsed), cancellation)));
        return command;
    }

    private static IEnumerable<TakeEntry> LeftOut(TrialDocument? document) => document?.Takes.Where(t => t.Excluded is not null) ?? [];

    private static int Run(Edge edge, string trial, bool json, CancellationToken cancellation)
    {
        using var folder = Progressing.Run(edge, "Reading", p => TrialFolder.Open(trial, p));
        IReadOnlyList<Problem> problems = [.. folder.Problems, .. BelongingFiles.Proposals(folder.Folder, folder.Document)];
        if (folder.Readable)
            problems = [.. problems, .. Progressing.Run(edge, "Checking", p => Analysis.Findings(folder.ToInputs(), p, cancellation))];
        var count = problems.GroupBy(p => p.Severity).ToDictionary(g => g.Key, g => g.Count());
        return new Answer(edge, json).Give(problems, w =>
        {
            w.WriteString("trial", folder.Document?.Identity.Title);
            w.WriteNumber("takes", folder.Document?.Takes.Count ?? 0);
            w.WriteNumber("recordings", folder.Document?.Recordings.Count ?? 0);
            w.WriteStartArray("left_out");
            foreach (var take in LeftOut(folder.Document))
            {
                w.WriteStartObject();
                w.WriteString("take", take.Id);
                w.WriteString("reason", take.Excluded);
                w.WriteEndObject();
            }
            w.WriteEndArray();
            w.WriteBoolean("publication_blocked", SignalChecks.Blocks(problems));
        }, t =>
        {
            if (folder.Document is { } d)
                t.WriteLine($"{d.Identity.Title}: {d.Devices.Count} devices, {d.Conditions.Count} conditions, {d.Runs.Count} runs, {d.Takes.Count} takes, {d.Recordings.Count} recordings.");
            foreach (var take in LeftOut(folder.Document)) t.WriteLine($"Left out by the document: take {take.Id} ({take.Excluded}). The analysis shows the answer with it put back.");
            if (SignalChecks.Blocks(problems)) t.WriteLine("Automatic gain or a limiter was found: no insertion loss of this trial may be published while such a take is used.");
            if (problems.Any(p => p.Code.StartsWith("TAK-", StringComparison.Ordinal) && p.Severity == Severity.Warning)) t.WriteLine("A flag deletes nothing: the analysis shows the answer with each flagged take left out.");
            t.WriteLine(problems.Count == 0 ? "No problems found."
                : $"{count.GetValueOrDefault(Severity.Error)} errors, {count.GetValueOrDefault(Severity.Warning)} warnings, {count.GetValueOrDefault(Severity.Note)} notes:");
        });
    }
}
