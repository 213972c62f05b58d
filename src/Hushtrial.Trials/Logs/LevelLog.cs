using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Logs;

/// <summary>One interval of a log's level curve.</summary>
/// <param name="Start">Start of the interval, s on the clock of the run (<see cref="LevelLog.HasClock"/>), else since the log began.</param>
/// <param name="Seconds">Length, s.</param>
/// <param name="Level">Level of the interval, dB; null where it was missing, overloaded or below the range.</param>
public readonly record struct LogMoment(double Start, double Seconds, double? Level);

/// <summary>A log of a trial, opened: its level curve on the clock of its run, and the means of any span.</summary>
/// <remarks>The curve is kept (32 bytes a row); the columns are read again from the bytes for each measurement, in bounded memory.</remarks>
public sealed class LevelLog : IDisposable
{
    private readonly IByteSource _bytes;
    private readonly LogOrigin _origin;

    private LevelLog(LogEntry entry, IByteSource bytes, LogOrigin origin) => (Entry, _bytes, _origin) = (entry, bytes, origin);

    /// <summary>The log as confirmed in the document.</summary>
    public LogEntry Entry { get; }

    /// <summary>Whether its times are on the clock of its run; false for a log with elapsed time alone and no stated start.</summary>
    public bool HasClock { get; private init; }

    /// <summary>The column that makes the curve: the first broadband level that may be averaged, A before C before Z; null without any.</summary>
    public ColumnRole? Curve { get; private init; }

    /// <summary>The curve, row by row.</summary>
    public IReadOnlyList<LogMoment> Moments { get; private init; } = [];

    /// <summary>What was wrong with it.</summary>
    public IReadOnlyList<Problem> Problems { get; private init; } = [];

    /// <summary>Opens a log. Never throws for what the file holds; its problems say it.</summary>
    /// <param name="entry">The log as confirmed.</param>
    /// <param name="bytes">Its bytes; kept, and disposed of with the log.</param>
    /// <param name="run">The run whose clock counts; null when the log belongs to none.</param>
    /// <param name="date">The date of the run, where known.</param>
    public static LevelLog Open(LogEntry entry, IByteSource bytes, Run? run, DateOnly? date)
    {
        ArgumentNullException.ThrowIfNull(entry);
        ArgumentNullException.ThrowIfNull(bytes);
        var curve = CurveOf(entry.Layout);
        var rows = new LogRows(new ByteStream(bytes), entry.Layout, r => r == curve);
        var moments = new List<(long Start, long Length, double? Level)>();
        while (rows.Next())
        {
            var cells = rows.ReadCells();
            moments.Add((rows.Start, rows.Length, cells.Length > 0 && cells[0].Kind == CellKind.Value && !rows.IsFlagged ? OfInterval(cells[0].Value, curve!, rows.Length) : null));
        }
        var problems = LogProblems.Of(rows.Tally, entry.Layout, entry.File, rows.Kind).ToList();
        var origin = moments.Count == 0 ? default : OriginOf(entry, rows, moments[0].Start, moments[^1].Start, run, date, problems);
        return new(entry, bytes, origin)
        {
            HasClock = rows.Kind != TimeKind.Elapsed || entry.StartClock is not null,
            Curve = curve,
            Problems = problems,
            Moments = [.. moments.Select(m => new LogMoment(origin.Seconds(m.Start), origin.Lasts(m.Length), m.Level))],
        };
    }

    /// <summary>Means of all level columns over spans, in one reading of the file.</summary>
    /// <param name="spans">The spans; those by clock need <see cref="HasClock"/>.</param>
    /// <returns>One result a span, in their order.</returns>
    public IReadOnlyList<LogSpanLevels> Measure(IReadOnlyList<LogSpan> spans)
    {
        ArgumentNullException.ThrowIfNull(spans);
        return Measure(new LogRows(new ByteStream(_bytes), Entry.Layout), spans, _origin);
    }

    /// <inheritdoc/>
    public void Dispose() => _bytes.Dispose();

    internal static IReadOnlyList<LogSpanLevels> Measure(LogRows rows, IReadOnlyList<LogSpan> spans, LogOrigin origin)
    {
        var sums = spans.Select(s => new SpanSum(s, rows.Roles)).ToList();
        while (rows.Next())
        {
            var (start, seconds) = (origin.Seconds(rows.Start), origin.Lasts(rows.Length));
            var read = false;
            ReadOnlySpan<Cell> cells = default;
            foreach (var sum in sums)
            {
                if (!sum.Span.Touches(start, seconds, rows.Line)) continue;
                if (!sum.Span.Holds(start, seconds, rows.Line)) { sum.Cut(); continue; }
                if (!read) { cells = rows.ReadCells(); read = true; }
                sum.Add(start, seconds, cells, rows.IsFlagged);
            }
        }
        return [.. sums.Select(s => s.Finish())];
    }

    private static ColumnRole? CurveOf(LogLayout layout) => layout.Columns.OrderBy(c => c.Key).Select(c => c.Value)
        .Where(r => r.CanBeAveraged && r.Band is null).OrderBy(r => r.Weighting).ThenBy(r => r.Statistic).FirstOrDefault();

    private static double OfInterval(double level, ColumnRole role, long length) =>
        role.Statistic == LevelStatistic.Exposure && length > 0 ? level - (10 * Math.Log10(length / (double)StampReading.Second)) : level;

    private static LogOrigin OriginOf(LogEntry entry, LogRows rows, long first, long last, Run? run, DateOnly? date, List<Problem> problems)
    {
        const double Day = 86_400, Half = Day / 2;
        var drift = entry.ClockDrift * 1e-6;
        if (rows.Kind == TimeKind.Elapsed) return new(0, (entry.StartClock ?? 0) + entry.ClockOffset, first, drift);
        var offset = entry.ClockOffset - (run?.StartOfDay ?? 0);
        var day = first / StampReading.Day;
        if (rows.Kind == TimeKind.Dated && date is { } known)
        {
            if (Math.Abs(day - known.DayNumber) <= 2) return new(known.DayNumber * StampReading.Day, offset, first, drift);
            problems.Add(LogProblems.Warning("LOG-029", Invariant($"{entry.File}, line {rows.Tally.FirstRowLine}"), $"the date {DateOnly.FromDayNumber((int)day):yyyy-MM-dd}", $"the date of the run, {known:yyyy-MM-dd}",
                "The clock of the logger was not set, or the order of day and month is wrong. Only the time of day is used; check that it was right."));
        }
        if (last - first > StampReading.Day)
            problems.Add(LogProblems.Error("LOG-046", entry.File, "a log of more than a day", "the date of the run, and a log with dates", "Give the run its 'date', so that its clock can be told from that of the next day; or use first_line and last_line."));
        // Without a date the log belongs to the day that brings its first row nearest to the start of the run.
        var begins = new LogOrigin(day * StampReading.Day, offset, first, drift).Seconds(first);
        return new(day * StampReading.Day, begins > Half ? offset - Day : begins <= -Half ? offset + Day : offset, first, drift);
    }
}

/// <summary>From the times of a log to the clock of its run: exact in µs before they become seconds.</summary>
/// <param name="Zero">Time of the log, µs, to count from.</param>
/// <param name="Offset">Clock of the run at that time, s, while its clock has not drifted.</param>
/// <param name="First">Time of the first row, µs, from which on it drifts.</param>
/// <param name="Drift">Seconds by which each of its seconds is too short.</param>
internal readonly record struct LogOrigin(long Zero, double Offset, long First, double Drift)
{
    internal double Seconds(long time) => ((time - Zero) / (double)StampReading.Second) + Offset + (Drift * ((time - First) / (double)StampReading.Second));

    internal double Lasts(long length) => length / (double)StampReading.Second * (1 + Drift);
}
