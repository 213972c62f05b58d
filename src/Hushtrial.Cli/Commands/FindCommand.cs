using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Hushtrial.Cli.Files;
using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Finding;

namespace Hushtrial.Cli.Commands;

/// <summary>Proposes takes in long recordings and writes the accepted ones into the trial document.</summary>
internal static class FindCommand
{
    private const string Description = """
        Find takes in recordings of whole flights: propose spans of the open ear and of each device, and write those you accept.

        Example: hushtrial find spring-trial --card order.txt
                 hushtrial find spring-trial --card order.txt --accept above=0.9
        """;

    public static Command Build(Edge edge)
    {
        var trial = new Argument<string>("TRIAL") { Description = "a trial document, or the folder that holds one" };
        var recording = new Option<string[]>("--recording") { Description = "look in this recording only; may be given several times" };
        var card = new Option<FileInfo?>("--card") { Description = "order card: lines like 'F1: open; alder; birch-active, birch-passive; open', or the JSON of 'plan'" };
        var order = new Option<string?>("--order") { Description = "the same as --card, written out: 'open; alder; birch-active, birch-passive; open'" };
        var accept = new Option<string?>("--accept") { Description = "write takes into the document: all, above=0.9, or names such as P03,P05" };
        var set = new Option<string[]>("--set") { Description = "correct a proposal first: P03.from=12.5, P03.to=30, P03.condition=alder, P03.fit=D2; may be given several times" };
        var wearer = new Option<string?>("--wearer") { Description = "who wore the devices, where the trial has several wearers" };
        var shortest = NumberOption.Of("--shortest", new(4, 600, "s"), "shortest take, s, 4 to 600 (8)");
        var settle = NumberOption.Of("--settle", new(0, 120, "s"), "time left off after a device was put on, s, 0 to 120 (3)");
        var label = NumberOption.Of("--label-from", new(0.5, 1), "least confidence at which a label is given, 0.5 to 1 (0.7)");
        var command = new Command("find", Description) { trial, recording, card, order, accept, set, wearer, shortest, settle, label };
        command.SetAction((parsed, cancellation) => Task.FromResult(Run(edge, new(parsed.GetRequiredValue(trial), parsed.GetValue(recording) ?? [], parsed.GetValue(card), parsed.GetValue(order),
            parsed.GetValue(accept), parsed.GetValue(set) ?? [], parsed.GetValue(wearer), Settings(parsed.GetValue(shortest), parsed.GetValue(settle), parsed.GetValue(label))),
            CommandTree.AsJson(parsed), cancellation)));
        return command;
    }

    private sealed record Wish(string Trial, string[] Recordings, FileInfo? Card, string? Order, string? Accept, string[] Set, string? Wearer, FindingSettings Settings);

    private static int Run(Edge edge, Wish wish, bool json, CancellationToken cancellation)
    {
        using var folder = Progressing.Run(edge, "Reading", p => TrialFolder.Open(wish.Trial, p));
        if (!folder.Readable) return AnalyseCommand.Unreadable(edge, folder, json);
        var document = folder.Document!;
        foreach (var name in wish.Recordings)
            if (document.Recordings.All(r => r.Id != name)) throw new WrongUseException($"the document lists no recording '{name}'.");
        List<Problem> problems = [.. BelongingFiles.Proposals(folder.Folder, document)];
        var cards = CardReading.Read(wish.Card, wish.Order, document, problems);
        var traces = Progressing.Run(edge, "Measuring", p => RecordedTraces.Measure(folder.ToInputs(), wish.Recordings.Length > 0 ? wish.Recordings : null, p, cancellation));
        var found = TakeFinder.Propose(traces, document, cards, wish.Settings);
        var spans = ProposalEdits.Apply(found.Spans, wish.Set, document);
        problems.AddRange(found.Problems);
        problems.AddRange(spans.SelectMany(s => s.Problems).Where(p => p.Severity != Severity.Note));
        IReadOnlyList<TakeEntry> written = [];
        if (wish.Accept is { } accept)
        {
            (written, var refused) = AcceptedTakes.Of(document, Accepted(spans, accept), wish.Wearer);
            problems.AddRange(refused);
            if (written.Count > 0 && DocumentChange.Write(folder.DocumentPath, "takes can be added", text => TakeInsertion.Add(text, written)) is { } problem) (written, problems) = ([], [.. problems, problem]);
        }
        return new Answer(edge, json).Give(problems, w => Json(w, document, spans, found.Missing, written), t => Text(t, document, spans, found.Missing, written, cards.Count > 0, folder.DocumentPath, wish.Accept is not null));
    }

    private static FindingSettings Settings(double? shortest, double? settle, double? label)
    {
        try
        {
            var defaults = new FindingSettings();
            return defaults with { ShortestTake = shortest ?? defaults.ShortestTake, Settle = settle ?? defaults.Settle, LabelFrom = label ?? defaults.LabelFrom };
        }
        catch (ArgumentOutOfRangeException e)
        {
            throw new WrongUseException(string.Create(CultureInfo.InvariantCulture, $"{e.Message.Split(" (")[0]} Given: {e.ActualValue}."));
        }
    }

    private static IReadOnlyList<ProposedSpan> Accepted(IReadOnlyList<ProposedSpan> spans, string accept)
    {
        if (accept == "all") return [.. spans.Where(s => s.CanBeTaken)];
        if (accept.StartsWith("above=", StringComparison.Ordinal))
            return double.TryParse(accept["above=".Length..], NumberStyles.Float, CultureInfo.InvariantCulture, out var least) && least is >= 0 and <= 1
                ? [.. spans.Where(s => s.CanBeTaken && s.Confidence >= least)] : throw new WrongUseException($"'{accept}' names no confidence from 0 to 1.");
        return [.. accept.Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries)
            .Select(id => spans.FirstOrDefault(s => s.Id == id) ?? throw new WrongUseException($"there is no proposal '{id}'; --accept takes all, above=0.9 or names such as P03,P05."))];
    }

    private static void Json(Utf8JsonWriter w, TrialDocument document, IReadOnlyList<ProposedSpan> spans, IReadOnlyList<MissingRow> missing, IReadOnlyList<TakeEntry> written)
    {
        w.WriteString("trial", document.Identity.Title);
        w.WriteStartArray("proposals");
        foreach (var s in spans)
        {
            w.WriteStartObject();
            w.WriteString("id", s.Id);
            w.WriteString("recording", s.Recording);
            w.WriteNumber("from", s.From);
            w.WriteNumber("to", s.To);
            w.WriteString("kind", s.Kind.ToString().ToLowerInvariant());
            w.WriteString("condition", s.Condition);
            w.WriteString("fit", s.Fit);
            w.WriteNumber("confidence", Math.Round(s.Confidence, 4));
            w.WriteStartArray("candidates");
            foreach (var c in s.Candidates)
            {
                w.WriteStartObject();
                w.WriteString("condition", c.Condition);
                w.WriteNumber("probability", Math.Round(c.Probability, 4));
                w.WriteEndObject();
            }
            w.WriteEndArray();
            w.WriteString("group", s.Group);
            if (s.CardRow is { } row) w.WriteNumber("card_row", row);
            else w.WriteNull("card_row");
            Strings("overlaps", s.Overlaps);
            Strings("reasons", s.Reasons);
            Strings("remarks", [.. s.Problems.Select(p => p.ToString())]);
            w.WriteEndObject();
        }
        w.WriteEndArray();
        w.WriteStartArray("missing");
        foreach (var m in missing)
        {
            w.WriteStartObject();
            w.WriteString("recording", m.Recording);
            w.WriteNumber("card_row", m.Row);
            w.WriteString("conditions", m.Conditions);
            w.WriteEndObject();
        }
        w.WriteEndArray();
        Strings("written", [.. written.Select(t => t.Id)]);

        void Strings(string name, IReadOnlyList<string> values)
        {
            w.WriteStartArray(name);
            foreach (var value in values) w.WriteStringValue(value);
            w.WriteEndArray();
        }
    }

    private static void Text(TextWriter t, TrialDocument document, IReadOnlyList<ProposedSpan> spans, IReadOnlyList<MissingRow> missing, IReadOnlyList<TakeEntry> written, bool hasCard, string path, bool accepting)
    {
        if (spans.Count == 0) t.WriteLine("No span was found that could be a take.");
        foreach (var recording in spans.GroupBy(s => s.Recording))
        {
            t.WriteLine(recording.Key);
            foreach (var s in recording)
            {
                var what = s switch
                {
                    { Kind: SpanKind.Calibration } => "calibrator's tone",
                    { Kind: SpanKind.Quiet } => "quiet, for the own noise",
                    { Condition: TrialDocument.OpenEar } => "open ear",
                    { Condition: { } c } => ConditionName.Of(document, document.Conditions.First(x => x.Id == c)),
                    { Candidates: [{ Condition: null }, ..] } => "none of the trial's conditions",
                    _ => "? " + string.Join(" or ", s.Candidates.Take(3).Select(c => c.Condition ?? "none")),
                };
                t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {s.Id}  {Clock(s.From),8} to {Clock(s.To),-8} {s.Seconds,6:0.0} s  {s.Confidence:0.00}  {what}{(s.Fit is null ? "" : $", {s.Fit}")}{(s.Overlaps.Count > 0 ? $"  (there already: {string.Join(", ", s.Overlaps)})" : "")}"));
                t.WriteLine($"         {string.Join("; ", s.Reasons)}");
            }
        }
        foreach (var m in missing) t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Not found in {m.Recording}: row {m.Row} of the card, {m.Conditions}."));
        if (!hasCard) t.WriteLine("No order card: only conditions that takes of the document show are named. Give one with --card or --order.");
        if (written.Count > 0) t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{written.Count} takes written to {path}: {written[0].Id} to {written[^1].Id}. Look them over before the analysis."));
        else if (accepting) t.WriteLine("Nothing was written.");
        else if (spans.Any(s => s.CanBeTaken)) t.WriteLine("Nothing was written: these are proposals. --accept all, --accept above=0.9 or --accept P03,P05 writes takes into the document.");
    }

    private static string Clock(double seconds) => string.Create(CultureInfo.InvariantCulture, $"{(int)(seconds / 60)}:{seconds % 60:00.0}");
}
