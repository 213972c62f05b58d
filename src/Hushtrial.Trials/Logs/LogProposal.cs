using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Logs;

/// <summary>How a log is to be read, proposed with the evidence, and what it then says: to be confirmed by a person before it counts.</summary>
/// <param name="Layout">The layout proposed; null when there is no table.</param>
/// <param name="Columns">Every column with its role and the evidence.</param>
/// <param name="Evidence">Evidence for the rest: name of the setting and why.</param>
/// <param name="Levels">Means over the whole log under this layout; null when it cannot be read.</param>
/// <param name="From">First row's time, as a person would write it; null without rows.</param>
/// <param name="To">Last row's time.</param>
/// <param name="Problems">Questions (errors: they need an answer), and what was met.</param>
public sealed record LogProposal(LogLayout? Layout, IReadOnlyList<ColumnProposal> Columns, IReadOnlyList<(string Setting, string Why)> Evidence,
    LogSpanLevels? Levels, string? From, string? To, IReadOnlyList<Problem> Problems)
{
    /// <summary>Whether nothing is left open that needs an answer.</summary>
    public bool IsComplete => Layout is not null && !Problems.Any(p => p.Severity == Severity.Error);

    /// <summary>The layout without what the file leaves open; null when there is no table.</summary>
    public LogLayout? Sure => Layout is not { } layout || IsComplete ? Layout : layout with
    {
        Columns = layout.Columns.Where(c => Columns.Any(p => p.Number == c.Key && p.IsSure)).ToDictionary(),
        DateOrder = Problems.Any(p => p.Code == "LOG-020") ? null : layout.DateOrder,
    };

    /// <summary>Reads a log and proposes how to read it.</summary>
    /// <param name="bytes">The log's bytes; not disposed of.</param>
    /// <param name="name">Name for people.</param>
    /// <param name="wishes">What was decided beforehand.</param>
    public static LogProposal Of(IByteSource bytes, string name, LogWishes wishes)
    {
        ArgumentNullException.ThrowIfNull(bytes);
        ArgumentNullException.ThrowIfNull(wishes);
        var (sample, problem) = LogSample.Take(bytes, name, wishes.Encoding);
        if (sample is null) return Nothing(problem!);
        if (TableShape.Of(sample.Head, wishes.Delimiter, wishes.FirstLine) is not { } shape) return Nothing(LogProblems.NoTable(name));
        var rows = Rows(sample, shape);
        var problems = new List<Problem>();
        if (shape.Delimiter == LogDelimiter.Comma && shape.HeaderFields >= 2 && shape.Count > shape.HeaderFields && wishes.Columns.Count == 0)
            return Nothing(LogProblems.Error("LOG-012", Invariant($"{name}, line {shape.FirstLine}"), Invariant($"{shape.HeaderFields} headers over {shape.Count} fields parted by commas: the comma stands between fields and inside numbers"), "another mark between fields than inside numbers",
                "Nobody can tell the fields apart. Export again with semicolons or tabs, or with decimal points."));
        var marks = NumberMarks.Of(rows, name, wishes.Decimal);
        if (marks.Problem is not null) problems.Add(marks.Problem);
        var headers = shape.Names.Select(HeaderWords.Read).ToList();
        DropLoneFrequencies(headers, shape.Names);
        var times = new TimeColumns(rows, headers, marks, name, wishes);
        problems.AddRange(times.Problems);
        var values = rows.Select(r => Enumerable.Range(0, shape.Count).Select(i => i < r.Fields.Count && CellReading.Level(r.Fields[i], marks.Decimal, marks.Thousands) is { Kind: CellKind.Value } cell ? cell.Value : (double?)null).ToArray()).ToList();
        var flags = Enumerable.Range(0, shape.Count).Where(i => headers[i].Kind == ColumnKind.Flag && !wishes.Columns.ContainsKey(i + 1)).ToHashSet();
        var levels = new LevelColumns(name, shape.Names, headers, values, times.Roles.Keys.Concat(flags).ToHashSet(), shape.Preamble, wishes);
        problems.AddRange(levels.Problems);

        var columns = new List<ColumnProposal>();
        for (var i = 0; i < shape.Count; i++)
        {
            var (role, evidence) = times.Roles.TryGetValue(i, out var time) ? (new ColumnRole(time.Kind), [time.Evidence])
                : flags.Contains(i) ? (new ColumnRole(ColumnKind.Flag), [$"its header '{shape.Names[i]}'"])
                : levels.Roles.TryGetValue(i, out var level) ? level : (new ColumnRole(ColumnKind.Other), (List<string>)["neither times nor levels"]);
            columns.Add(new(i + 1, shape.Names[i], role, evidence) { IsSure = times.Doubtful != i && !levels.Doubtful.Contains(i) });
        }
        var layout = new LogLayout
        {
            Encoding = sample.Encoding, Delimiter = shape.Delimiter, Decimal = marks.Decimal, Thousands = marks.Thousands, HeaderLine = shape.HeaderLine, FirstLine = shape.FirstLine, LastLine = wishes.LastLine,
            Columns = columns.Where(c => c.Role.Kind != ColumnKind.Other).ToDictionary(c => c.Number, c => c.Role),
            DateOrder = times.DateOrder, Stamp = wishes.Stamp ?? times.Stamp?.Stamp, RunZoneMinutes = wishes.RunZoneMinutes, ClockChange = wishes.ClockChange, HalfOfDay = wishes.HalfOfDay,
        };
        var (interval, why) = RowInterval.Of(sample, layout, wishes.IntervalSeconds);
        layout = layout with { IntervalSeconds = interval };
        // Elapsed times of a whole interval at the first row are those of its end.
        if (layout.Stamp is null && RowInterval.FirstElapsed(sample, layout) is { } first && interval is { } step)
            layout = layout with { Stamp = first < 0.25 * step ? IntervalStamp.Start : Math.Abs(first - step) < 0.25 * step ? IntervalStamp.End : null };
        var evidenceList = new List<(string, string)> { ("encoding", sample.EncodingEvidence), ("delimiter", shape.DelimiterEvidence), ("decimal", marks.Evidence) };
        if (times.DateEvidence is { } order) evidenceList.Add(("date_order", order));
        if (layout.Stamp is not null) evidenceList.Add(("stamp", wishes.Stamp is not null ? "stated" : times.Stamp?.Evidence ?? "the elapsed time of the first row"));
        evidenceList.Add(("interval_s", why));
        if (interval is null && !layout.Columns.Values.Any(r => r.Kind is ColumnKind.Interval or ColumnKind.End))
            problems.Add(LogProblems.Error("LOG-019", name, "no times from which the length of the intervals follows", "a column of times, or the interval", "State '--interval SECONDS', as set in the logger."));
        if (!layout.Columns.Values.Any(r => r.Kind == ColumnKind.Level)) problems.Add(LogProblems.Error("LOG-040", name, "no column of levels", "LAeq or another average level", "State '--column N=LAeq' if one of the columns is."));
        else if (!layout.Columns.Values.Any(r => r.CanBeAveraged))
            problems.Add(LogProblems.Warning("LOG-040", name, $"only {string.Join(", ", layout.Columns.Values.Where(r => r.Kind == ColumnKind.Level).Take(6))}", "a column of average levels (LAeq, or LAE)", "Takes of this log are refused: maxima, peaks and momentary levels have no mean that is a level of the noise. Export the LAeq of each interval."));
        return Survey(bytes, name, layout, columns, evidenceList, problems);
    }

    private static LogProposal Survey(IByteSource bytes, string name, LogLayout layout, List<ColumnProposal> columns, List<(string, string)> evidence, List<Problem> problems)
    {
        var reader = new LogRows(new ByteStream(bytes), layout);
        var (first, last) = (0L, 0L);
        var sum = new SpanSum(LogSpan.Everything, reader.Roles);
        while (reader.Next())
        {
            if (reader.Tally.Rows == 1) first = reader.Start;
            last = reader.Start + reader.Length;
            sum.Add((reader.Start - first) / (double)StampReading.Second, reader.Length / (double)StampReading.Second, reader.ReadCells(), reader.IsFlagged);
        }
        var met = LogProblems.Of(reader.Tally, layout, name, reader.Kind).Where(p => !problems.Exists(q => q.Code == p.Code && p.Code is "LOG-020")).ToList();
        var any = reader.Tally.Rows > 0;
        return new(layout, columns, evidence, any ? sum.Finish() : null, any ? TimeText(first, reader.Kind) : null, any ? TimeText(last, reader.Kind) : null, [.. problems, .. met]);
    }

    private static LogProposal Nothing(Problem problem) => new(null, [], [], null, null, null, [problem]);

    /// <summary>The rows of the sample: those of the head with all columns, and those of the tail.</summary>
    private static List<(int Line, List<string> Fields)> Rows(LogSample sample, TableShape shape)
    {
        var lines = sample.Head.Select((text, i) => (Number: i + 1, Text: text)).Skip(shape.FirstLine - 1).Concat(sample.Tail);
        return [.. lines.Select(l => (l.Number, Fields: LogFields.Texts(l.Text, shape.Delimiter))).Where(l => l.Fields.Count >= shape.Count && l.Fields.Count <= shape.Count + 1 && TableShape.IsRow(l.Fields))];
    }

    /// <summary>A bare number over a column is a band among at least three; alone it is any number.</summary>
    private static void DropLoneFrequencies(List<HeaderReading> headers, IReadOnlyList<string> names)
    {
        if (headers.Count(h => h.Hertz is not null) >= 3) return;
        for (var i = 0; i < headers.Count; i++)
            if (headers[i].Hertz is not null && HeaderWords.IsFrequency(names[i])) headers[i] = headers[i] with { Hertz = null, IsLevel = false, Kind = null };
    }

    private static string TimeText(long time, TimeKind kind)
    {
        if (kind == TimeKind.Elapsed) return Invariant($"{time / (double)StampReading.Second:0.######} s");
        var ofDay = ((time % StampReading.Day) + StampReading.Day) % StampReading.Day;
        var text = new StringBuilder();
        if (kind == TimeKind.Dated) text.Append(Invariant($"{DateOnly.FromDayNumber((int)Math.Clamp(time / StampReading.Day, 0, DateOnly.MaxValue.DayNumber)):yyyy-MM-dd} "));
        text.Append(Invariant($"{ofDay / (3600 * StampReading.Second):00}:{ofDay / (60 * StampReading.Second) % 60:00}:{ofDay % (60 * StampReading.Second) / (double)StampReading.Second:00.######}"));
        return text.ToString();
    }
}
