using System.CommandLine;
using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;

namespace Hushtrial.Cli.Commands;

/// <summary>Reads a level log, proposes the role of every column with the evidence, and writes the entry for the trial document.</summary>
internal static class LogCommand
{
    public static Command Build(Edge edge)
    {
        var file = new Argument<string>("FILE") { Description = "a table of levels as text, from any meter or logger" };
        var column = new Option<string[]>("--column") { HelpName = "N=ROLE", Description = "role of a column: time, date, clock, end, elapsed, interval, flag, other, or a level such as LAeq, LAFmax, LCpeak, \"LZeq 125 Hz third\"", AllowMultipleArgumentsPerToken = true };
        var bands = Word("--bands", "weighting of the band columns", "A", "C", "Z");
        var encoding = Word("--encoding", "coding of the characters", [.. LogWords.Encodings.Select(w => w.Word)]);
        var delimiter = Word("--delimiter", "what stands between fields", [.. LogWords.Delimiters.Select(w => w.Word)]);
        var mark = Word("--decimal", "decimal mark", [.. LogWords.Decimals.Select(w => w.Word)]);
        var order = Word("--date-order", "order of the numbers in dates", [.. LogWords.DateOrders.Select(w => w.Word)]);
        var stamp = Word("--stamp", "what the time of a row stands for", [.. LogWords.Stamps.Select(w => w.Word)]);
        var change = Word("--clock-change", "what a jump of one hour is", [.. LogWords.ClockChanges.Select(w => w.Word)]);
        var half = Word("--half-of-day", "half of the day of the first row of a 12-hour clock", [.. LogWords.HalvesOfDay.Select(w => w.Word)]);
        var interval = NumberOption.Of("--interval", new(0.001, 86_400, "s"), "length of the intervals", "SECONDS");
        var zone = new Option<string?>("--run-zone") { HelpName = "+HH:MM", Description = "offset of the trial's clock from UTC, for stamps with their zone" };
        var firstLine = NumberOption.Whole("--first-line", 1, int.MaxValue, "first line with values, from 1", "LINE");
        var lastLine = NumberOption.Whole("--last-line", 1, int.MaxValue, "last line to read, from 1", "LINE");
        var id = new Option<string?>("--id") { HelpName = "NAME", Description = "short name of the log in the trial document (default: from the file's name)" };
        var where = Word("--where", "where its microphone was", "ear", "outside");
        var run = new Option<string?>("--run") { HelpName = "NAME", Description = "the run it was made in" };
        var into = new Option<string?>("--into") { HelpName = "TRIAL", Description = "write the confirmed entry into this trial document; nothing else in it is touched" };
        var command = new Command("log", "Read a level log: proposed roles with evidence, levels, problems, and the entry for the trial document. Example: hushtrial log seat.csv --where outside --stamp start")
        {
            file, column, bands, encoding, delimiter, mark, order, stamp, change, half, interval, zone, firstLine, lastLine, id, where, run, into,
        };
        command.SetAction(parsed =>
        {
            var wishes = new LogWishes
            {
                Encoding = LogWords.Find(LogWords.Encodings, parsed.GetValue(encoding)), Delimiter = LogWords.Find(LogWords.Delimiters, parsed.GetValue(delimiter)), Decimal = LogWords.Find(LogWords.Decimals, parsed.GetValue(mark)),
                DateOrder = LogWords.Find(LogWords.DateOrders, parsed.GetValue(order)), Stamp = LogWords.Find(LogWords.Stamps, parsed.GetValue(stamp)), ClockChange = LogWords.Find(LogWords.ClockChanges, parsed.GetValue(change)),
                HalfOfDay = LogWords.Find(LogWords.HalvesOfDay, parsed.GetValue(half)), IntervalSeconds = parsed.GetValue(interval), RunZoneMinutes = Zone(parsed.GetValue(zone)),
                FirstLine = parsed.GetValue(firstLine), LastLine = parsed.GetValue(lastLine), Columns = Columns(parsed.GetValue(column) ?? []),
                BandWeighting = parsed.GetValue(bands) switch { "A" => FrequencyWeighting.A, "C" => FrequencyWeighting.C, "Z" => FrequencyWeighting.Z, _ => null },
            };
            return Run(edge, parsed.GetRequiredValue(file), wishes, new(parsed.GetValue(id), parsed.GetValue(where), parsed.GetValue(run), parsed.GetValue(into)), CommandTree.AsJson(parsed));
        });
        return command;
    }

    private sealed record Place(string? Id, string? Where, string? Run, string? Into);

    private static int Run(Edge edge, string file, LogWishes wishes, Place place, bool json)
    {
        var answer = new Answer(edge, json);
        using var bytes = FileBytes.Open(file, file, out var problem);
        if (bytes is null) return answer.Give([problem! with { Expected = "a level log" }], w => w.WriteString("log", file), _ => { });
        var proposal = LogProposal.Of(bytes, file, wishes);
        var problems = proposal.Problems.ToList();
        string? section = null;
        if (proposal is { IsComplete: true, Layout: { } layout })
        {
            var entry = new LogEntry(place.Id ?? Identity(file), FileIn(file, place.Into), place.Where == "outside", null, place.Run, RecordingHash.Sha256(bytes), layout);
            section = LogSection.Text(entry);
            if (place.Into is { } trial) problems.AddRange(TrialLogs.Add(trial, entry));
        }
        else if (place.Into is not null)
            problems.Add(TrialLogs.NotConfirmed(file));
        var reading = new LogAnswer(file, proposal, section, place.Into);
        return answer.Give(problems, reading.WriteJson, reading.WriteText);
    }

    private static Option<string?> Word(string name, string description, params string[] words)
    {
        var option = new Option<string?>(name) { Description = $"{description}: {string.Join(", ", words)}" };
        option.AcceptOnlyFromAmong(words);
        return option;
    }

    private static Dictionary<int, ColumnRole> Columns(string[] written)
    {
        var columns = new Dictionary<int, ColumnRole>();
        foreach (var text in written)
        {
            var parts = text.Split('=', 2);
            if (parts.Length != 2 || !int.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out var number) || number is < 1 or > 1024)
                throw new WrongUseException($"--column {text}: write it like --column 3=LAeq.");
            columns[number] = ColumnRole.FromWord(parts[1].Trim()) ?? throw new WrongUseException($"--column {text}: '{parts[1]}' is no role; roles are time, date, clock, end, elapsed, interval, flag, other, and levels such as LAeq, LAFmax, LCpeak, LAF90 or \"LZeq 125 Hz third\".");
        }
        return columns;
    }

    private static int? Zone(string? text) => text is null ? null : LogWords.ZoneMinutes(text) ?? throw new WrongUseException($"--run-zone {text}: write it like +02:00.");

    /// <summary>A short name from the name of the file.</summary>
    private static string Identity(string file)
    {
        var name = new string([.. Path.GetFileNameWithoutExtension(file).Select(c => char.IsLetterOrDigit(c) ? c : '-')]).Trim('-');
        return name.Length == 0 ? "log" : name.Length <= 40 ? name : name[..40].TrimEnd('-');
    }

    /// <summary>The way from a trial's folder to the file; its bare name without a trial.</summary>
    private static string FileIn(string file, string? trial)
    {
        if (trial is null) return Path.GetFileName(file);
        var folder = Path.GetFullPath(Directory.Exists(trial) ? trial : Path.GetDirectoryName(Path.GetFullPath(trial))!);
        var relative = Path.GetRelativePath(folder, Path.GetFullPath(file)).Replace(Path.DirectorySeparatorChar, '/');
        return relative.StartsWith("../", StringComparison.Ordinal) || Path.IsPathRooted(relative) ? throw new WrongUseException($"--into {trial}: '{file}' does not lie in the trial's folder. Copy it there first.") : relative;
    }
}
