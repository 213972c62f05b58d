using static System.FormattableString;

namespace Hushtrial.Trials.Document;

/// <summary>Level logs fit their columns, their runs and the takes that name them.</summary>
internal static class LogChecks
{
    private const decimal Day = 24 * 3600;

    /// <summary>Seconds from one clock to the next occurrence of another.</summary>
    public static decimal Length(decimal from, decimal to) => (to - from + Day) % Day;

    /// <summary>A take in a log: by clock or by lines, and of nothing else.</summary>
    public static void Source(DraftTake take, DocumentProblems problems)
    {
        var map = take.Map;
        if (take.HasInterval || take.HasReading || map.Has("at"))
            Error("DOC-112", map.Place, map.Path, $"{take.Name} of a log and of {(take.HasInterval ? "a recording" : "a hand-noted reading")}", "one of the two", "Make two takes of it.");
        var (clock, lines) = (map.Has("clock_from") || map.Has("clock_to"), map.Has("line_from") || map.Has("line_to"));
        var missing = new[] { "log" }.Concat(lines && !clock ? ["line_from", "line_to"] : ["clock_from", "clock_to"]).Where(k => !map.Has(k)).ToList();
        if (clock && lines)
            Error("DOC-112", map.Place, map.Path, $"{take.Name} by clock and by lines", "one of the two", "Remove clock_from and clock_to, or line_from and line_to.");
        else if (missing.Count > 0)
            Error("DOC-112", map.Place, map.Path, $"{take.Name} without {string.Join(" and ", missing.Select(m => $"'{m}'"))}", "log with clock_from and clock_to, or with line_from and line_to", "Add what is missing.");
        if (map.Seconds("clock_from") is { } from && map.Seconds("clock_to") is { } to && Length(from, to) is 0 or > Day / 2)
            Error("DOC-113", map.PlaceOf("clock_to"), map.PathTo("clock_to"), $"{take.Name} from {map.Find("clock_from")!.Text} to {map.Find("clock_to")!.Text}", "an end after the start, on the same night at the latest", "Check the two clocks.");
        if (map.Number("line_from") > map.Number("line_to"))
            Error("DOC-113", map.PlaceOf("line_to"), map.PathTo("line_to"), $"{take.Name} from line {map.Find("line_from")!.Text} to {map.Find("line_to")!.Text}", "a last line not before the first", "Check the two lines.");
        if (take.Log?.Text("where") == "outside")
            Error("DOC-114", map.PlaceOf("log"), map.PathTo("log"), $"{take.Name} of the log '{map.Text("log")}', whose microphone was outside", "a log at the ear", "The log outside is read at the time of every take by itself; name the log or the recording at the ear.");

        void Error(string code, Place place, string path, string found, string expected, string remedy) => problems.Error(code, place, path, found, expected, remedy);
    }

    public static void Check(Draft draft, DocumentProblems problems)
    {
        foreach (var log in draft.List("logs")) Entry(log, draft, problems);
        Outside(draft, problems);
        OneChain(draft, problems);
        Overlaps(draft, problems);
    }

    private static void Entry(BoundMap log, Draft draft, DocumentProblems problems)
    {
        void Error(string key, string found, string expected, string remedy) => problems.Error("DOC-115", log.PlaceOf(key), log.PathTo(key), found, expected, remedy);
        if (log.Text("where") == "outside" && log.Has("ear")) problems.Error("DOC-076", log.PlaceOf("ear"), log.PathTo("ear"), "an ear for a microphone outside", "'ear' with 'where: ear' only", "Remove 'ear', or correct 'where'.");
        if (!log.Has("run") && draft.List("runs").Count > 1)
            Error("id", "a log without a run", DocumentProblems.OneOf([.. draft.Ids("runs")]), "With several runs every log names its own.");
        if (log.Number("header_line") >= log.Number("first_line") || log.Number("first_line") > log.Number("last_line"))
            Error("first_line", "lines out of order", "header_line before first_line, and first_line not behind last_line", "Correct the lines.");
        if (log.Find("columns")?.Value is not IReadOnlyDictionary<int, ColumnRole> columns) return;
        bool Has(params ColumnKind[] kinds) => columns.Values.Any(c => kinds.Contains(c.Kind));
        if (!Has(ColumnKind.Level)) Error("columns", "columns without a level", "at least one level, for example LAeq", "Add its role.");
        if (!log.Has("interval_s") && !Has(ColumnKind.Interval, ColumnKind.End))
            Error("columns", "neither 'interval_s' nor a column of lengths", "the length of the intervals", "Add interval_s: the mean weighs every row by its length.");
        if (Has(ColumnKind.Date) && !Has(ColumnKind.Clock, ColumnKind.Stamp)) Error("columns", "a date without a clock", "a column with the role clock", "Add its role.");
        foreach (var twice in columns.Where(c => c.Value.Kind != ColumnKind.Other && c.Value.Kind != ColumnKind.Flag).GroupBy(c => c.Value).Where(g => g.Count() > 1))
            Error("columns", Invariant($"the role {twice.Key} for columns {string.Join(" and ", twice.Select(c => c.Key))}"), "each role once", "Two microphones in one file: give each an entry of its own.");
    }

    /// <summary>One reference for a run: two would leave open which was meant.</summary>
    private static void Outside(Draft draft, DocumentProblems problems)
    {
        var logs = draft.List("logs").Where(l => l.Text("where") == "outside").ToList();
        var channel = draft.List("channels").Any(c => c.Text("where") == "outside");
        foreach (var log in logs.Where((l, i) => channel || logs.Take(i).Any(o => o.Text("run") == l.Text("run"))))
            problems.Error("DOC-116", log.PlaceOf("where"), log.PathTo("where"), $"a second microphone outside for the run '{log.Text("run")}'", "one", "Leave out the one that was nearer to the moving cup.");
    }

    /// <summary>An insertion loss is a difference at one microphone: its gain cancels only when it is the same in every take.</summary>
    private static void OneChain(Draft draft, DocumentProblems problems)
    {
        var used = draft.Takes.Where(t => !t.IsExcluded).ToList();
        if (used.Find(t => t.HasLog) is { } logged && used.Exists(t => t.HasInterval))
            problems.Error("DOC-117", logged.Map.Place, logged.Map.Path, $"{logged.Name} of a log, in a trial with takes of recordings", "all takes at the ear from recordings, or all from logs", "Two instruments differ by a decibel or more, which would be taken for a loss. Make a trial of each.");
    }

    private static void Overlaps(Draft draft, DocumentProblems problems)
    {
        var spans = draft.Takes.Where(t => t is { IsExcluded: false, HasLog: true }).Select(t => (Take: t, Log: t.Map.Text("log"), t.Run,
            Clock: t.Map.Seconds("clock_from") is { } f && t.Map.Seconds("clock_to") is { } e ? (From: f, To: f + Length(f, e)) : ((decimal From, decimal To)?)null,
            Lines: t.Map.Number("line_from") is { } a && t.Map.Number("line_to") is { } b ? (From: (decimal)a, To: (decimal)b + 1) : ((decimal From, decimal To)?)null)).ToList();
        for (var i = 0; i < spans.Count; i++)
            for (var j = 0; j < i; j++)
            {
                if (spans[i].Log is null || spans[i].Log != spans[j].Log || spans[i].Run != spans[j].Run) continue;
                if (!Meet(spans[i].Clock, spans[j].Clock) && !Meet(spans[i].Lines, spans[j].Lines)) continue;
                var (take, other) = (spans[i].Take, spans[j].Take);
                var found = $"{take.Name}, which overlaps {other.Name} in the log '{spans[i].Log}'";
                if (take.Map.Text("condition") == other.Map.Text("condition") && take.Fit == other.Fit)
                    problems.Warning("DOC-063", take.Map.Place, take.Map.Path, found, "takes side by side", "The common part counts twice: the two look more alike than they are. Shorten one.");
                else
                    problems.Error("DOC-062", take.Map.Place, take.Map.Path, found, "one condition at a time", "Correct the times.");
            }

        static bool Meet((decimal From, decimal To)? a, (decimal From, decimal To)? b) => a is { } x && b is { } y && x.From < y.To && y.From < x.To;
    }
}
