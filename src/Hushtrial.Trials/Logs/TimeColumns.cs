using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Logs;

/// <summary>The columns of time of a table, from their values first and their headers second.</summary>
internal sealed class TimeColumns
{
    private readonly IReadOnlyList<(int Line, List<string> Fields)> _rows;
    private readonly IReadOnlyList<HeaderReading> _headers;
    private readonly NumberMarks _marks;
    private readonly string _name;
    private readonly Func<int, bool> _isDecided;

    internal TimeColumns(IReadOnlyList<(int Line, List<string> Fields)> rows, IReadOnlyList<HeaderReading> headers, NumberMarks marks, string name, LogWishes wishes)
    {
        (_rows, _headers, _marks, _name, _isDecided) = (rows, headers, marks, name, c => wishes.Columns.ContainsKey(c + 1));
        for (var column = 0; column < headers.Count; column++)
            if (!_isDecided(column)) Classify(column);
        Settle(wishes);
        Order(wishes);
    }

    /// <summary>Roles by index of the column, with the evidence.</summary>
    internal Dictionary<int, (ColumnKind Kind, string Evidence)> Roles { get; } = [];

    /// <summary>What cannot be decided from the file.</summary>
    internal List<Problem> Problems { get; } = [];

    /// <summary>Order of the dates; null when there are none or it is in doubt.</summary>
    internal DateOrder? DateOrder { get; private set; }

    /// <summary>How the order is known.</summary>
    internal string? DateEvidence { get; private set; }

    /// <summary>Start or end, where headers say so.</summary>
    internal (IntervalStamp Stamp, string Evidence)? Stamp { get; private set; }

    private IEnumerable<string> Values(int column) => _rows.Where(r => column < r.Fields.Count && r.Fields[column].Length > 0).Select(r => r.Fields[column]);

    private void Classify(int column)
    {
        var header = _headers[column];
        if (header.Kind == ColumnKind.Level) return;
        var (dates, clocks, both, elapsed, all) = (0, 0, 0, 0, 0);
        foreach (var value in Values(column))
        {
            all++;
            if (StampReading.Read(value, clockExpected: header.Kind == ColumnKind.Clock, out var parts))
            {
                if (parts is { HasDate: true, HasClock: true }) both++;
                else if (parts.HasDate) dates++;
                else clocks++;
            }
            else if (StampReading.Elapsed(value, _marks.Decimal, _marks.Thousands, out _)) elapsed++;
        }
        if (all == 0) return;
        bool Most(int count) => count > 0.9 * all;
        if (Most(both)) Roles[column] = (ColumnKind.Stamp, "dates with a time of day");
        else if (Most(dates)) Roles[column] = (ColumnKind.Date, "dates");
        else if (Most(clocks + elapsed) && clocks + elapsed > 0 && Values(column).Any(v => v.Contains(':'))) Roles[column] = Clock(column, header);
        else if (Most(clocks)) Roles[column] = (ColumnKind.Clock, "times of day");
        else if (Most(elapsed) && header.Kind is ColumnKind.Elapsed or ColumnKind.Interval or ColumnKind.Clock) Roles[column] = Clock(column, header);
    }

    /// <summary>A clock, an elapsed time or a length, all of which are written h:mm:ss.</summary>
    private (ColumnKind, string) Clock(int column, HeaderReading header)
    {
        var times = new List<long>();
        foreach (var value in Values(column).Take(300))
            if (StampReading.Elapsed(value, _marks.Decimal, _marks.Thousands, out var time) || (StampReading.Read(value, true, out var parts) && (time = parts.Clock) >= 0)) times.Add(time);
        var constant = times.Count > 2 && times.TrueForAll(t => t == times[0]);
        var grows = times.Count > 1 && times.Zip(times.Skip(1), (a, b) => b > a).Count(x => x) > 0.8 * (times.Count - 1);
        if (constant) return (ColumnKind.Interval, "the same length in every row");
        if (header.Kind is ColumnKind.Elapsed) return (ColumnKind.Elapsed, "its header, and times that grow");
        if (header.Kind is ColumnKind.Interval) return grows && times.Count > 2 && times[^1] > 4 * Math.Max(times[0], times[1] - times[0]) ? (ColumnKind.Elapsed, "times that grow, under a header of a duration") : (ColumnKind.Interval, "its header");
        if (!Values(column).Any(v => v.Contains(':'))) return (ColumnKind.Elapsed, "seconds that grow, under a header of time");
        var step = times.Count > 1 ? times[1] - times[0] : 0;
        // 0:00:00 or 0:00:01 at the top is a start from nothing, or a log that happens to begin at midnight.
        if (grows && times[0] <= step && step > 0 && !Values(column).Any(v => v.Contains('M') || v.Contains('m')))
            return (ColumnKind.Elapsed, "times that grow from 0");
        return (ColumnKind.Clock, "times of day");
    }

    /// <summary>Index of a column that may be a clock or elapsed time; null when none is in doubt.</summary>
    internal int? Doubtful { get; private set; }

    private void Settle(LogWishes wishes)
    {
        var decided = wishes.Columns.Values.Select(r => r.Kind).ToHashSet();
        // Two columns of one kind: a start and an end, by header or by the one lying behind the other in every row.
        foreach (var kind in new[] { ColumnKind.Stamp, ColumnKind.Clock })
        {
            var columns = Roles.Where(r => r.Value.Kind == kind).Select(r => r.Key).Order().ToList();
            if (columns.Count != 2) continue;
            var (first, second) = (columns[0], columns[1]);
            var words = _headers[second].Edge == IntervalStamp.End || _headers[first].Edge == IntervalStamp.Start;
            var behind = _rows.Take(200).All(r => Microseconds(r.Fields, first) is { } a && Microseconds(r.Fields, second) is { } b && b >= a);
            if (behind || words) Roles[second] = (ColumnKind.End, behind ? "a time not before that of the column in front, in every row" : "its header");
            else if (_headers[first].Edge == IntervalStamp.End) Roles[first] = (ColumnKind.End, "its header");
        }
        var clock = Roles.FirstOrDefault(r => r.Value.Kind is ColumnKind.Stamp or ColumnKind.Clock);
        if (clock.Value.Evidence is not null && !Roles.Any(r => r.Value.Kind == ColumnKind.End) && _headers[clock.Key].Edge is { } edge)
            Stamp = (edge, $"the header of column {clock.Key + 1}");
        // Growing from 0:00:00 without a word of 'elapsed', and nothing else that gives the time of day.
        var zero = Roles.Where(r => r.Value is { Kind: ColumnKind.Elapsed, Evidence: "times that grow from 0" }).ToList();
        if (zero.Count == 1 && !Roles.Any(r => r.Value.Kind is ColumnKind.Stamp or ColumnKind.Clock) && !decided.Contains(ColumnKind.Stamp) && !decided.Contains(ColumnKind.Clock))
        {
            var column = zero[0].Key;
            if (Roles.Any(r => r.Value.Kind == ColumnKind.Date)) Roles[column] = (ColumnKind.Clock, "times that grow from midnight, beside a date");
            else
            {
                Doubtful = column;
                Problems.Add(LogProblems.Error("LOG-014", Invariant($"{_name}, column {column + 1}"), Invariant($"times that begin at {Values(column).First()}: either elapsed time, or a clock at midnight"), "one of the two",
                    Invariant($"State '--column {column + 1}=elapsed' or '--column {column + 1}=clock'.")));
            }
        }
        if (Roles.Values.Count(r => r.Kind == ColumnKind.Stamp) + Roles.Values.Count(r => r.Kind == ColumnKind.Clock) > 1)
            foreach (var extra in Roles.Where(r => r.Value.Kind is ColumnKind.Stamp or ColumnKind.Clock).OrderByDescending(r => r.Value.Kind == ColumnKind.Stamp).ThenBy(r => r.Key).Skip(1).Select(r => r.Key).ToList())
                Roles[extra] = (ColumnKind.Other, "another column gives the time");
    }

    private long? Microseconds(List<string> fields, int column) => column < fields.Count && StampReading.Read(fields[column], true, out var p) && p.HasClock ? p.Clock + ((p.Day(null) ?? p.Day(Document.DateOrder.DayMonthYear) ?? 0) * StampReading.Day) : null;

    private void Order(LogWishes wishes)
    {
        var columns = Roles.Where(r => r.Value.Kind is ColumnKind.Stamp or ColumnKind.Date).Select(r => r.Key)
            .Concat(wishes.Columns.Where(c => c.Value.Kind is ColumnKind.Stamp or ColumnKind.Date).Select(c => c.Key - 1)).Order().ToList();
        if (columns.Count == 0) return;
        var dates = new List<(int Line, StampParts Parts)>();
        foreach (var (line, fields) in _rows)
            if (columns[0] < fields.Count && StampReading.Read(fields[columns[0]], false, out var parts) && parts.HasDate) dates.Add((line, parts));
        if (dates.Count == 0) return;
        if (wishes.DateOrder is { } stated) { (DateOrder, DateEvidence) = (stated, "stated"); return; }
        if (dates.TrueForAll(d => d.Parts.OrderIsPlain)) { (DateOrder, DateEvidence) = (Document.DateOrder.YearMonthDay, "the year in front, or the month by its name"); return; }
        var possible = Enum.GetValues<DateOrder>().Where(o => dates.TrueForAll(d => d.Parts.Day(o) is not null) && (o != Document.DateOrder.YearMonthDay || !dates[0].Parts.YearIsLast)).ToList();
        if (possible.Count == 1) { (DateOrder, DateEvidence) = (possible[0], "only in this order does every date exist"); return; }
        if (possible.Count == 0) { Problems.Add(LogProblems.Error("LOG-020", Invariant($"{_name}, line {dates[0].Line}"), "dates that exist in no order", "days, months and years", "Look at the dates: is one of them damaged?")); return; }
        // The days of a log follow each other: an order under which they leap over months is none.
        var distinct = dates.Select(d => d.Parts.Numbers).Distinct().ToList();
        if (distinct.Count > 1)
        {
            var steady = possible.Where(o => Steps(dates, o) is { } most && most <= 1).ToList();
            if (steady.Count == 1) { (DateOrder, DateEvidence) = (steady[0], "only in this order do the days follow each other"); return; }
        }
        if (possible.Select(o => dates[0].Parts.Day(o)).Distinct().Count() == 1 && distinct.Count == 1) { (DateOrder, DateEvidence) = (possible[0], "the same date in every order"); return; }
        if (dates[0].Parts is { Separator: '.', YearIsLast: true }) { (DateOrder, DateEvidence) = (Document.DateOrder.DayMonthYear, "points between, the year last: so dates are written day first only"); return; }
        var readings = string.Join(" or ", possible.Select(o => $"{DateOnly.FromDayNumber(dates[0].Parts.Day(o)!.Value):yyyy-MM-dd} ({LogWords.Of(o)})"));
        var (a, b, c) = dates[0].Parts.Numbers;
        Problems.Add(new("LOG-020", Severity.Error, Invariant($"{_name}, line {dates[0].Line}"), Invariant($"a date {a}{dates[0].Parts.Separator}{b}{dates[0].Parts.Separator}{c} that may be {readings}; no date of the file tells"), "one order of day, month and year",
            "State it with '--date-order'; the time of day is the same in both."));
        (DateOrder, DateEvidence) = (possible[0], "in doubt");
    }

    /// <summary>The most days from one date to the next, or null when they go back.</summary>
    private static int? Steps(List<(int Line, StampParts Parts)> dates, DateOrder order)
    {
        var most = 0;
        var previous = dates[0].Parts.Day(order)!.Value;
        foreach (var (_, parts) in dates)
        {
            var day = parts.Day(order)!.Value;
            if (day < previous) return null;
            most = Math.Max(most, day - previous);
            previous = day;
        }
        return most;
    }
}
