using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>The rows of a log under a layout, one after another, in bounded memory.</summary>
internal sealed class LogRows
{
    private readonly LogLines _lines;
    private readonly LogLayout _layout;
    private readonly LogFields _fields = new();
    private readonly RowClock _clock;
    private readonly List<string> _headers = [];
    private readonly (int Index, ColumnRole Role)[] _levels;
    private readonly Cell[] _cells;
    private readonly int _stamp;
    private readonly int _date;
    private readonly int _time;
    private readonly int _end;
    private readonly int _elapsed;
    private readonly int _interval;
    private readonly int _firstLevel;
    private readonly int[] _flags;
    private readonly int _needed;
    private readonly long _length;
    private readonly bool _asWritten;
    private long _number;
    private Occurrence _pending = new();

    /// <summary>Begins at the start of a stream.</summary>
    /// <param name="stream">The log's bytes.</param>
    /// <param name="layout">How it is read.</param>
    /// <param name="wanted">Which level columns to read; null for all.</param>
    /// <param name="asWritten">Whether every row keeps its time as written, repeated and backward ones too.</param>
    internal LogRows(Stream stream, LogLayout layout, Func<ColumnRole, bool>? wanted = null, bool asWritten = false)
    {
        (_layout, Tally, _asWritten) = (layout, new(), asWritten);
        _lines = new(stream, layout.Encoding);
        _clock = new(layout, Tally);
        _levels = [.. layout.Columns.Where(c => c.Value.Kind == ColumnKind.Level && (wanted?.Invoke(c.Value) ?? true)).OrderBy(c => c.Key).Select(c => (c.Key - 1, c.Value))];
        _cells = new Cell[_levels.Length];
        Roles = [.. _levels.Select(l => l.Role)];
        _stamp = IndexOf(ColumnKind.Stamp);
        _date = IndexOf(ColumnKind.Date);
        _time = IndexOf(ColumnKind.Clock);
        _end = IndexOf(ColumnKind.End);
        _elapsed = IndexOf(ColumnKind.Elapsed);
        _interval = IndexOf(ColumnKind.Interval);
        // What is a row must not depend on the columns that somebody wants of it.
        _firstLevel = IndexOf(ColumnKind.Level);
        _flags = [.. layout.Columns.Where(c => c.Value.Kind == ColumnKind.Flag).Select(c => c.Key - 1)];
        _needed = layout.Columns.Where(c => c.Value.Kind is not ColumnKind.Other and not ColumnKind.Flag).Select(c => c.Key).DefaultIfEmpty(1).Max();
        _length = (long)Math.Round((layout.IntervalSeconds ?? 0) * StampReading.Second);
        Kind = _stamp >= 0 || (_date >= 0 && _time >= 0) ? TimeKind.Dated : _time >= 0 ? TimeKind.Clock : TimeKind.Elapsed;

        int IndexOf(ColumnKind kind) => layout.Columns.Where(c => c.Value.Kind == kind).Select(c => c.Key - 1).DefaultIfEmpty(-1).Min();
    }

    /// <summary>What was met so far.</summary>
    internal LogTally Tally { get; }

    /// <summary>The roles of the level columns that are read, in the order of the columns.</summary>
    internal IReadOnlyList<ColumnRole> Roles { get; }

    /// <summary>What the times of rows are; a stamp without a date makes it a clock.</summary>
    internal TimeKind Kind { get; private set; }

    /// <summary>Line of the row, from 1.</summary>
    internal int Line => _lines.Number;

    /// <summary>Start of its interval, µs: since midnight before the first row, since 1 January 0001, or elapsed, as <see cref="Kind"/> says.</summary>
    internal long Start { get; private set; }

    /// <summary>Length of its interval, µs.</summary>
    internal long Length { get; private set; }

    /// <summary>Whether a flag of overload is raised.</summary>
    internal bool IsFlagged { get; private set; }

    /// <summary>Reads its levels, in the order of <see cref="Roles"/>. Rows of no interest need not be read.</summary>
    internal ReadOnlySpan<Cell> ReadCells()
    {
        var line = _lines.Line;
        for (var i = 0; i < _levels.Length; i++)
        {
            var text = _fields.Of(line, _levels[i].Index);
            var cell = _cells[i] = CellReading.Level(text, _layout.Decimal, _layout.Thousands);
            if (cell.Kind != CellKind.Value) Count(cell.Kind, text);
        }
        return _cells;
    }

    /// <summary>Goes to the next row.</summary>
    internal bool Next()
    {
        while (_lines.Next())
        {
            var line = _lines.Line;
            if (Line < _layout.FirstLine) { Remember(line); continue; }
            if (Line > _layout.LastLine) break;
            if (line.Trim().IsEmpty) continue;
            _fields.Split(line, _layout.Delimiter);
            Tally.MostFields = Math.Max(Tally.MostFields, _fields.Count);
            if (IsBlank(line)) continue;
            if (!Time(line, out var raw, out var half))
            {
                if (IsHeader(line)) Tally.RepeatedHeaders.Add(Line);
                else _pending.Add(Line, line.Trim());
                continue;
            }
            if (_fields.Count < _needed) { Tally.Short.Add(Line); continue; }
            var time = raw;
            if (!_asWritten && !_clock.Place(raw, Kind, half, Line, out time)) continue;
            Tally.Foreign.Add(_pending);
            _pending = new();
            Finish(line, time);
            return true;
        }
        Tally.Trailing = _pending;
        Tally.Overlong = _lines.IsOverlong;
        return false;
    }

    private void Finish(ReadOnlySpan<char> line, long time)
    {
        if (Tally.Rows++ == 0) Tally.FirstRowLine = Line;
        Tally.LastRowLine = Line;
        Length = _length;
        if (_interval >= 0 && StampReading.Elapsed(_fields.Of(line, _interval), _layout.Decimal, _layout.Thousands, out var length) && length is >= 0 and <= StampReading.Day) Length = length;
        if (_end >= 0 && StampReading.Read(_fields.Of(line, _end), clockExpected: true, out var end) && end.HasClock)
        {
            var difference = (end.Clock - (time % StampReading.Day) + StampReading.Day) % StampReading.Day;
            if (difference > 0) Length = difference;
        }
        Start = _layout.Stamp == IntervalStamp.End && _end < 0 ? time - Length : time;
        if (Kind == TimeKind.Dated)
        {
            var day = (int)Math.Clamp(time / StampReading.Day, 0, DateOnly.MaxValue.DayNumber);
            Tally.Days = (Tally.Days?.First ?? day, day);
        }
        IsFlagged = false;
        foreach (var flag in _flags)
            if (flag < _fields.Count && CellReading.IsFlagged(_fields.Of(line, flag))) IsFlagged = true;
        if (IsFlagged) Tally.Flagged.Add(Line);
    }

    private void Count(CellKind kind, ReadOnlySpan<char> text) => (kind switch
    {
        CellKind.Missing => Tally.MissingCells,
        CellKind.Overload => Tally.Overload,
        CellKind.UnderRange => Tally.UnderRange,
        CellKind.Implausible => Tally.Implausible,
        _ => Tally.Unreadable,
    }).Add(Line, text);

    /// <summary>The time of a row as written; false when the line is no row.</summary>
    private bool Time(ReadOnlySpan<char> line, out long raw, out bool half)
    {
        (raw, half) = (0, false);
        if (_stamp >= 0)
            return _stamp < _fields.Count && StampReading.Read(_fields.Of(line, _stamp), clockExpected: false, out var parts) && parts.HasClock && Dated(parts, parts, out raw, out half);
        if (_time >= 0)
        {
            if (_time >= _fields.Count || !StampReading.Read(_fields.Of(line, _time), clockExpected: true, out var clock) || !clock.HasClock || clock.HasDate) return false;
            if (_date < 0) return Dated(default, clock, out raw, out half);
            return StampReading.Read(_fields.Of(line, _date), clockExpected: false, out var date) && date.HasDate && Dated(date, clock, out raw, out half);
        }
        if (_elapsed >= 0) return _elapsed < _fields.Count && StampReading.Elapsed(_fields.Of(line, _elapsed), _layout.Decimal, _layout.Thousands, out raw);
        // No time at all: rows follow each other. A row has a number or a marker in the first of its level columns.
        if (_firstLevel < 0 || _firstLevel >= _fields.Count) return false;
        var cell = CellReading.Level(_fields.Of(line, _firstLevel), _layout.Decimal, _layout.Thousands);
        if (cell.Kind == CellKind.Unreadable || (cell.Kind == CellKind.Missing && _fields.Of(line, _firstLevel).IsEmpty)) return false;
        raw = _number++ * (_length > 0 ? _length : StampReading.Second);
        return true;
    }

    private bool Dated(StampParts date, StampParts clock, out long raw, out bool half)
    {
        (raw, half) = (clock.Clock, clock.HasHalf);
        if (!date.HasDate)
        {
            if (Tally.Rows == 0) Kind = TimeKind.Clock;
            return Kind == TimeKind.Clock;
        }
        if (date.Day(_layout.DateOrder) is not { } day)
        {
            Tally.OrderNeeded.Add(Line);
            return false;
        }
        raw += day * StampReading.Day;
        if (clock.Zone is { } zone)
        {
            Tally.Zones.Add(Line, $"{(zone < 0 ? '-' : '+')}{Math.Abs(zone) / 60:00}:{Math.Abs(zone) % 60:00}");
            if (_layout.RunZoneMinutes is { } run) raw += (run - zone) * 60 * StampReading.Second;
        }
        return true;
    }

    private bool IsBlank(ReadOnlySpan<char> line)
    {
        for (var i = 0; i < _fields.Count; i++)
            if (!_fields.Of(line, i).IsEmpty) return false;
        return true;
    }

    private void Remember(ReadOnlySpan<char> line)
    {
        if (_layout.HeaderLine is { } header && Line >= header - 1 && _headers.Count < 8 && !line.Trim().IsEmpty) _headers.Add(line.Trim().ToString());
    }

    private bool IsHeader(ReadOnlySpan<char> line)
    {
        foreach (var header in _headers)
            if (line.Trim().SequenceEqual(header)) return true;
        return false;
    }
}
