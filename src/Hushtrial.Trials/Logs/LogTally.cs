namespace Hushtrial.Trials.Logs;

/// <summary>A thing that happened in some rows: how often, where first, and an example.</summary>
internal sealed class Occurrence
{
    internal long Count { get; private set; }

    internal int FirstLine { get; private set; }

    internal string Example { get; private set; } = "";

    internal void Add(int line, ReadOnlySpan<char> example = default, long count = 1)
    {
        if (Count == 0) (FirstLine, Example) = (line, example.Length <= 40 ? example.ToString() : $"{example[..37]}…");
        Count += count;
    }

    internal void Add(Occurrence other)
    {
        if (other.Count > 0) Add(other.FirstLine, other.Example, other.Count);
    }
}

/// <summary>What was met while a log was read; bounded, however long the log.</summary>
internal sealed class LogTally
{
    internal long Rows { get; set; }

    internal int FirstRowLine { get; set; }

    internal int LastRowLine { get; set; }

    internal Occurrence RepeatedHeaders { get; } = new();

    /// <summary>Lines between rows that are no rows.</summary>
    internal Occurrence Foreign { get; } = new();

    /// <summary>Lines behind the last row.</summary>
    internal Occurrence Trailing { get; set; } = new();

    internal Occurrence Short { get; } = new();

    internal Occurrence MissingRows { get; } = new();

    internal Occurrence Duplicates { get; } = new();

    internal Occurrence Backwards { get; } = new();

    internal Occurrence Restarts { get; } = new();

    internal Occurrence Midnights { get; } = new();

    internal Occurrence StuckDates { get; } = new();

    internal Occurrence HourForward { get; } = new();

    internal Occurrence HourBack { get; } = new();

    internal Occurrence HalfDayWraps { get; } = new();

    internal Occurrence Zones { get; } = new();

    internal Occurrence Irregular { get; } = new();

    internal Occurrence OrderNeeded { get; } = new();

    internal Occurrence MissingCells { get; } = new();

    internal Occurrence Overload { get; } = new();

    internal Occurrence UnderRange { get; } = new();

    internal Occurrence Implausible { get; } = new();

    internal Occurrence Unreadable { get; } = new();

    internal Occurrence Flagged { get; } = new();

    /// <summary>Fewest fields of a row, for columns that are not there.</summary>
    internal int MostFields { get; set; }

    internal bool Overlong { get; set; }

    /// <summary>Whether stamps carry dates, and the first and last day (days since 1 January 0001).</summary>
    internal (int First, int Last)? Days { get; set; }
}
