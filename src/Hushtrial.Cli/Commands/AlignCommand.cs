using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Hushtrial.Cli.Files;
using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Alignment;
using Hushtrial.Trials.Document;

namespace Hushtrial.Cli.Commands;

/// <summary>Lays the recorders and logs of every run on each other by what they heard, and writes offset and drift of their clocks into the trial document.</summary>
internal static class AlignCommand
{
    private const string Description = """
        Align recorders and level logs of a run by their level curves, or by claps: offset and drift of each clock, with the residual.

        Example: hushtrial align spring-trial
                 hushtrial align spring-trial --reference f1 --write
        """;

    public static Command Build(Edge edge)
    {
        var trial = new Argument<string>("TRIAL") { Description = "a trial document, or the folder that holds one" };
        var reference = new Option<string?>("--reference") { HelpName = "NAME", Description = "the recording or log whose clock counts in its run (default: the first recording with a clock)" };
        var write = new Option<bool>("--write") { Description = "write clock_offset_s and clock_drift_ppm into the document; nothing else in it is touched" };
        var command = new Command("align", Description) { trial, reference, write };
        command.SetAction((parsed, cancellation) => Task.FromResult(Run(edge, parsed.GetRequiredValue(trial), parsed.GetValue(reference), parsed.GetValue(write), CommandTree.AsJson(parsed), cancellation)));
        return command;
    }

    private static int Run(Edge edge, string trial, string? reference, bool write, bool json, CancellationToken cancellation)
    {
        using var folder = Progressing.Run(edge, "Reading", p => TrialFolder.Open(trial, p));
        if (!folder.Readable) return AnalyseCommand.Unreadable(edge, folder, json);
        var document = folder.Document!;
        if (reference is not null && document.Recordings.All(r => r.Id != reference) && document.Logs.All(l => l.Id != reference)) throw new WrongUseException($"the document lists no recording or log '{reference}'.");
        var pairs = Progressing.Run(edge, "Aligning", p => RunAlignment.Of(folder.ToInputs(), reference, p, cancellation));
        var (values, missing) = RunAlignment.Clocks(document, pairs);
        var written = false;
        var problems = RunAlignment.Problems(pairs).Where(p => !write || p.Code != "ALG-002").ToList();
        if (write)
        {
            problems.AddRange(missing);
            if (values.Count > 0 && DocumentChange.Write(folder.DocumentPath, "clocks can be written", text => ClockInsertion.Set(text, values)) is { } problem) problems.Add(problem);
            else written = values.Count > 0;
        }
        return new Answer(edge, json).Give(problems, w => Json(w, document, pairs, values, written), t => Text(t, pairs, values, written, write, folder.DocumentPath));
    }

    private static void Json(Utf8JsonWriter w, TrialDocument document, IReadOnlyList<AlignedPair> pairs, IReadOnlyList<EntryValues> values, bool written)
    {
        w.WriteString("trial", document.Identity.Title);
        w.WriteStartArray("pairs");
        foreach (var pair in pairs)
        {
            w.WriteStartObject();
            w.WriteString("run", pair.Run);
            w.WriteString("reference", pair.Reference.Id);
            w.WriteString("other", pair.Other.Id);
            w.WriteString("kind", pair.Reference.Section == pair.Other.Section ? "recording-recording" : "log-recording");
            w.WriteString("method", pair.Method);
            w.WriteBoolean("accepted", pair.Fit.IsAccepted);
            Number("offset_s", pair.Fit.Offset);
            Number("drift_ppm", pair.Fit.DriftPpm);
            Number("residual_rms_s", pair.Fit.Residual);
            Number("residual_worst_s", pair.Fit.WorstResidual);
            Number("standard_uncertainty_s", pair.Fit.Uncertainty);
            w.WriteNumber("pieces", pair.Fit.Pieces);
            w.WriteNumber("pieces_used", pair.Fit.Used);
            w.WriteNumber("overlap_s", Math.Round(pair.Fit.Overlap, 3));
            Number("document_offset_s", pair.Stated ?? double.NaN);
            Number("document_error_s", pair.StatedError ?? double.NaN);
            w.WriteString("evidence", pair.Fit.Evidence);
            w.WriteString("refusal", pair.Fit.Refusal);
            w.WriteEndObject();
        }
        w.WriteEndArray();
        w.WriteStartArray("clocks");
        foreach (var entry in values)
        {
            w.WriteStartObject();
            w.WriteString("section", entry.Section);
            w.WriteString("id", entry.Entry);
            foreach (var (key, value) in entry.Values)
                if (double.TryParse(value, NumberStyles.Float, CultureInfo.InvariantCulture, out var number)) w.WriteNumber(key, number);
                else w.WriteString(key, value);
            w.WriteEndObject();
        }
        w.WriteEndArray();
        w.WriteBoolean("written", written);

        void Number(string name, double value)
        {
            if (double.IsFinite(value)) w.WriteNumber(name, Math.Round(value, 6));
            else w.WriteNull(name);
        }
    }

    private static void Text(TextWriter t, IReadOnlyList<AlignedPair> pairs, IReadOnlyList<EntryValues> values, bool written, bool write, string path)
    {
        if (pairs.Count == 0) t.WriteLine("No run has two recordings, or a recording and a log.");
        foreach (var run in pairs.GroupBy(p => p.Run))
        {
            t.WriteLine(run.Key);
            foreach (var p in run)
            {
                t.WriteLine($"  {p.Other.Id} on {p.Reference.Id}, by {p.Method}");
                if (p.Fit.IsAccepted)
                {
                    t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"    begins at {p.Fit.Offset:0.000} s, drift {p.Fit.DriftPpm:+0.0;−0.0;0.0} ppm, over {p.Fit.Overlap:0} s in common"));
                    t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"    residual {p.Fit.Residual:0.000} s rms, {p.Fit.WorstResidual:0.000} s at worst; {p.Fit.Used} of {p.Fit.Pieces} pieces; standard uncertainty {p.Fit.Uncertainty:0.000} s at an end"));
                    if (p.StatedError is { } error) t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"    the document's clocks are up to {error:0.000} s off"));
                }
                else t.WriteLine($"    not aligned: {p.Fit.Refusal}");
                if (p.Fit.Evidence.Length > 0) t.WriteLine($"    {p.Fit.Evidence}");
            }
        }
        foreach (var entry in values) t.WriteLine($"{entry.Section}, {entry.Entry}: {string.Join(", ", entry.Values.Select(v => $"{v.Key}: {v.Value}"))}");
        if (written) t.WriteLine($"Written to {path}.");
        else if (write) t.WriteLine("Nothing was written.");
        else if (values.Count > 0) t.WriteLine("Nothing was written: --write puts these values into the document.");
    }
}
