using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>A part of a log: by clock or by lines of the file.</summary>
/// <param name="From">Start on the clock of the run, s; null for a span by lines.</param>
/// <param name="To">End on the clock of the run, s.</param>
/// <param name="FirstLine">First line of the file, from 1; null for a span by clock.</param>
/// <param name="LastLine">Last line of the file.</param>
public readonly record struct LogSpan(double? From, double? To, int? FirstLine, int? LastLine)
{
    // Stamps and clocks are decimal numbers; a microsecond is theirs to round.
    private const double Rounding = 1e-5;

    /// <summary>The rows between two clocks, s on the clock of the run: those that lie wholly inside.</summary>
    public static LogSpan ByClock(double from, double to) => new(from, to, null, null);

    /// <summary>The rows in lines of the file, both included.</summary>
    public static LogSpan ByLines(int first, int last) => new(null, null, first, last);

    /// <summary>The whole log.</summary>
    public static LogSpan Everything => ByLines(1, int.MaxValue);

    internal bool Holds(double start, double seconds, int line) => FirstLine is { } first ? line >= first && line <= LastLine
        : start >= From - Rounding && start + seconds <= To + Rounding;

    internal bool Touches(double start, double seconds, int line) => FirstLine is not null ? Holds(start, seconds, line) : start < To - Rounding && start + seconds > From + Rounding;
}

/// <summary>The energy mean of one column over a span, with what was lost of it.</summary>
/// <param name="Role">The column's role.</param>
/// <param name="Level">Energy mean over the rows with a value, weighted by the lengths of their intervals, dB; null without any.</param>
/// <param name="Seconds">Time of the rows with a value, s.</param>
/// <param name="OverloadSeconds">Time of rows that were overloaded, s.</param>
/// <param name="LostSeconds">Time of rows without a level (missing, unreadable, implausible), s.</param>
/// <param name="UnderRangeSeconds">Time of rows below the range, whose bound was taken for the level, s; counted in <paramref name="Seconds"/> too.</param>
public sealed record LogColumnMean(ColumnRole Role, double? Level, double Seconds, double OverloadSeconds, double LostSeconds, double UnderRangeSeconds);

/// <summary>What a log says of a span.</summary>
/// <param name="Span">The span asked for.</param>
/// <param name="Rows">Rows wholly inside.</param>
/// <param name="Start">Start of the first, s on the clock of the run (or since the log began); null without rows.</param>
/// <param name="End">End of the last, s.</param>
/// <param name="Seconds">Sum of their lengths, s.</param>
/// <param name="CutRows">Rows that an edge of the span cuts; they are not used.</param>
/// <param name="Columns">The means of all level columns, in the order of the columns.</param>
public sealed record LogSpanLevels(LogSpan Span, long Rows, double? Start, double? End, double Seconds, int CutRows, IReadOnlyList<LogColumnMean> Columns)
{
    /// <summary>Time between the first and the last row that no row covers, s.</summary>
    public double MissingSeconds => Math.Max(0, (End - Start - Seconds) ?? 0);
}

/// <summary>Adds up the rows of one span.</summary>
internal sealed class SpanSum(LogSpan span, IReadOnlyList<ColumnRole> roles)
{
    private readonly double[] _energy = new double[roles.Count];
    private readonly double[] _seconds = new double[roles.Count];
    private readonly double[] _overload = new double[roles.Count];
    private readonly double[] _lost = new double[roles.Count];
    private readonly double[] _under = new double[roles.Count];
    private long _rows;
    private int _cut;
    private double? _start;
    private double? _end;
    private double _total;

    internal LogSpan Span => span;

    internal void Cut() => _cut++;

    internal void Add(double start, double seconds, ReadOnlySpan<Cell> cells, bool flagged)
    {
        _rows++;
        _start ??= start;
        _end = start + seconds;
        _total += seconds;
        for (var i = 0; i < cells.Length; i++)
        {
            var cell = cells[i];
            if (flagged || cell.Kind == CellKind.Overload) { _overload[i] += seconds; continue; }
            if (cell.Kind is not (CellKind.Value or CellKind.UnderRange)) { _lost[i] += seconds; continue; }
            if (cell.Kind == CellKind.UnderRange) _under[i] += seconds;
            // A sound exposure level is the energy of the interval itself, an Leq its mean.
            _energy[i] += Math.Pow(10, cell.Value / 10) * (roles[i].Statistic == LevelStatistic.Exposure ? 1 : seconds);
            _seconds[i] += seconds;
        }
    }

    internal LogSpanLevels Finish() => new(span, _rows, _start, _end, _total, _cut,
        [.. roles.Select((r, i) => new LogColumnMean(r, _seconds[i] > 0 ? 10 * Math.Log10(_energy[i] / _seconds[i]) : null, _seconds[i], _overload[i], _lost[i], _under[i]))]);
}
