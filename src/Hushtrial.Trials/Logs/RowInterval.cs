using System.Text;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Logs;

/// <summary>The interval of a log, from the times of the sample's rows.</summary>
internal static class RowInterval
{
    /// <summary>The interval in s with how it is known; null where the times do not tell.</summary>
    internal static (double? Seconds, string Why) Of(LogSample sample, LogLayout layout, double? stated)
    {
        if (stated is { } s) return (s, "stated");
        if (layout.Columns.Values.Any(r => r.Kind is ColumnKind.Interval) && !layout.Columns.Values.Any(r => r.Kind is ColumnKind.Stamp or ColumnKind.Clock or ColumnKind.Elapsed)) return (null, "a column holds the lengths");
        var times = Times(sample, layout);
        if (times.Count < 2) return (null, "no two times");
        var steps = times.Zip(times.Skip(1), (a, b) => b - a).Where(d => d >= 0).ToList();
        if (steps.Count == 0) return (null, "no two times that grow");
        var repeated = steps.Count(d => d == 0);
        // Rows that stand years apart tell of a broken date, not of an interval.
        var forward = steps.Where(d => d is > 0 and <= StampReading.Day).Order().ToList();
        if (forward.Count == 0) return (null, "no two times that differ by a day at most");
        if (repeated > steps.Count / 3 && forward[forward.Count / 2] % StampReading.Second == 0)
        {
            // Stamps in whole seconds, several rows each: the usual number of rows a second, the first and the last second aside.
            var groups = Groups(times);
            var usual = groups.Skip(1).SkipLast(1).DefaultIfEmpty(groups[0]).GroupBy(g => g).OrderByDescending(g => g.Count()).First().Key;
            var second = forward[forward.Count / 2] / (double)StampReading.Second;
            return (second / usual, Invariant($"{usual} rows for each {second:0.###} s"));
        }
        // The most frequent step: where rows are missing the median would still do, but an average of two steps would not.
        var step = forward.GroupBy(d => d).OrderByDescending(g => g.Count()).ThenBy(g => g.Key).First();
        return (step.Key / (double)StampReading.Second, Invariant($"{step.Count()} of {steps.Count} steps"));
    }

    /// <summary>The elapsed time of the first row beside a clock or alone, s; null without such a column.</summary>
    internal static double? FirstElapsed(LogSample sample, LogLayout layout)
    {
        if (layout.Columns.FirstOrDefault(c => c.Value.Kind == ColumnKind.Elapsed) is not { Value: not null } column) return null;
        var only = layout with { Columns = new Dictionary<int, ColumnRole> { [column.Key] = column.Value }, IntervalSeconds = null, Stamp = null };
        return Times(sample, only) is [var first, ..] ? first / (double)StampReading.Second : null;
    }

    private static List<long> Times(LogSample sample, LogLayout layout)
    {
        using var stream = new MemoryStream(Encoding.UTF8.GetBytes(string.Join('\n', sample.Head)));
        var clock = layout.Columns.Values.Any(r => r.Kind is ColumnKind.Stamp or ColumnKind.Clock);
        if (!clock && !layout.Columns.Values.Any(r => r.Kind == ColumnKind.Elapsed)) return [];
        // Every row counts here, repeated times too.
        var rows = new LogRows(stream, layout with { Encoding = LogEncoding.Utf8, Stamp = IntervalStamp.Start }, _ => false, asWritten: true);
        var times = new List<long>();
        while (rows.Next()) times.Add(rows.Start);
        return times;
    }

    private static List<int> Groups(List<long> times)
    {
        var groups = new List<int>();
        for (var i = 0; i < times.Count; i++)
            if (i > 0 && times[i] == times[i - 1]) groups[^1]++;
            else groups.Add(1);
        return groups;
    }
}
