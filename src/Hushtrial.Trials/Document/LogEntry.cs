namespace Hushtrial.Trials.Document;

/// <summary>How the characters of a log are coded.</summary>
public enum LogEncoding
{
    /// <summary>UTF-8, with or without byte-order mark.</summary>
    Utf8,

    /// <summary>UTF-16, low byte first.</summary>
    Utf16LittleEndian,

    /// <summary>UTF-16, high byte first.</summary>
    Utf16BigEndian,

    /// <summary>One byte a character, ISO 8859-1.</summary>
    Latin1,
}

/// <summary>What stands between the fields of a row.</summary>
public enum LogDelimiter
{
    /// <summary>A comma.</summary>
    Comma,

    /// <summary>A semicolon.</summary>
    Semicolon,

    /// <summary>A tab.</summary>
    Tab,

    /// <summary>A vertical bar.</summary>
    Bar,

    /// <summary>One or more spaces or tabs.</summary>
    Space,
}

/// <summary>The decimal mark.</summary>
public enum DecimalMark
{
    /// <summary>A point.</summary>
    Point,

    /// <summary>A comma.</summary>
    Comma,
}

/// <summary>The order of day, month and year in a date of digits.</summary>
public enum DateOrder
{
    /// <summary>Year, month, day.</summary>
    YearMonthDay,

    /// <summary>Day, month, year.</summary>
    DayMonthYear,

    /// <summary>Month, day, year.</summary>
    MonthDayYear,
}

/// <summary>Which end of its interval a row's time stands for.</summary>
public enum IntervalStamp
{
    /// <summary>The start.</summary>
    Start,

    /// <summary>The end.</summary>
    End,
}

/// <summary>What a jump of one hour in the clock of a log is.</summary>
public enum ClockChange
{
    /// <summary>The change of summer time: the intervals follow each other.</summary>
    SummerTime,

    /// <summary>As written: an hour is missing.</summary>
    Gap,
}

/// <summary>The half of the day of the first row of a 12-hour clock without AM and PM.</summary>
public enum HalfOfDay
{
    /// <summary>Before noon.</summary>
    Morning,

    /// <summary>After noon.</summary>
    Afternoon,
}

/// <summary>How a log is read: what was confirmed of its text, its columns and its clock. Null: not stated, and asked for where it matters.</summary>
public sealed record LogLayout
{
    /// <summary>Coding of its characters.</summary>
    public LogEncoding Encoding { get; init; }

    /// <summary>Between fields.</summary>
    public LogDelimiter Delimiter { get; init; }

    /// <summary>Decimal mark.</summary>
    public DecimalMark Decimal { get; init; }

    /// <summary>Mark between thousands; null for none.</summary>
    public char? Thousands { get; init; }

    /// <summary>Line of the header, from 1; null when there is none. The same line further down is a repeated header.</summary>
    public int? HeaderLine { get; init; }

    /// <summary>First line with values, from 1.</summary>
    public int FirstLine { get; init; } = 1;

    /// <summary>Last line to read; null for the whole file.</summary>
    public int? LastLine { get; init; }

    /// <summary>Roles by number of the column, from 1; a column without a role is not read.</summary>
    public IReadOnlyDictionary<int, ColumnRole> Columns { get; init; } = new Dictionary<int, ColumnRole>();

    /// <summary>Order of day, month and year.</summary>
    public DateOrder? DateOrder { get; init; }

    /// <summary>Start or end of the interval.</summary>
    public IntervalStamp? Stamp { get; init; }

    /// <summary>Length of every interval, s; null when a column holds it.</summary>
    public double? IntervalSeconds { get; init; }

    /// <summary>Minutes that the run's clock is ahead of UTC; needed where the stamps of the log carry their zone.</summary>
    public int? RunZoneMinutes { get; init; }

    /// <summary>What a jump of one hour is.</summary>
    public ClockChange? ClockChange { get; init; }

    /// <summary>The half of the day of the first row, for a 12-hour clock without marks.</summary>
    public HalfOfDay? HalfOfDay { get; init; }

    /// <summary>Equal when every member is, columns compared one by one.</summary>
    public bool Equals(LogLayout? other) => other is not null && Encoding == other.Encoding && Delimiter == other.Delimiter && Decimal == other.Decimal && Thousands == other.Thousands
        && HeaderLine == other.HeaderLine && FirstLine == other.FirstLine && LastLine == other.LastLine && DateOrder == other.DateOrder && Stamp == other.Stamp
        && Nullable.Equals(IntervalSeconds, other.IntervalSeconds) && RunZoneMinutes == other.RunZoneMinutes && ClockChange == other.ClockChange && HalfOfDay == other.HalfOfDay
        && Columns.Count == other.Columns.Count && Columns.All(c => other.Columns.TryGetValue(c.Key, out var role) && role == c.Value);

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Encoding, Delimiter, Decimal, FirstLine, Columns.Count);
}

/// <summary>One level log beside the document: a table of levels that a meter or logger wrote.</summary>
/// <param name="Id">Identity used by takes.</param>
/// <param name="File">Relative file name with forward slashes; never leaves the folder.</param>
/// <param name="Outside">True when its microphone was outside the device; false at the ear.</param>
/// <param name="Ear">'left' or 'right' for a microphone at the ear; null when not stated.</param>
/// <param name="Run">The run it belongs to, or null.</param>
/// <param name="Sha256">Hash of the file for which the layout was confirmed, 64 hexadecimal digits; null when not stated.</param>
/// <param name="Layout">How it is read.</param>
/// <param name="StartClock">For a log with elapsed time alone: clock at which its elapsed time is 0, s on the clock of its run; null when not stated.</param>
/// <param name="ClockOffset">Seconds to add to its clock to have the clock of the run.</param>
/// <param name="Uncertainty">Standard uncertainty of its levels, dB, when the instrument was calibrated; null: levels serve for differences only.</param>
/// <param name="MostLostPercent">Largest share of a take's time that may be missing or overloaded, %.</param>
/// <param name="Details">Instrument, position …: free fields in order.</param>
/// <param name="Where">Line and column in the document, for problems.</param>
public sealed record LogEntry(string Id, string File, bool Outside, string? Ear, string? Run, string? Sha256, LogLayout Layout, double? StartClock = null, double ClockOffset = 0,
    double? Uncertainty = null, double MostLostPercent = LogEntry.UsualMostLostPercent, IReadOnlyList<KeyValuePair<string, string>>? Details = null, string Where = "")
{
    /// <summary>Parts per million by which its clock is slow, from its first row on.</summary>
    public double ClockDrift { get; init; }

    /// <summary>Share of a take's time that may be missing or overloaded without being asked for, % (common practice, no source).</summary>
    public const double UsualMostLostPercent = 5;
}
