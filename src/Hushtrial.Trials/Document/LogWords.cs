namespace Hushtrial.Trials.Document;

/// <summary>The words by which the trial document and the command line name how a log is read.</summary>
public static class LogWords
{
    /// <summary>Words of encodings.</summary>
    public static IReadOnlyList<(string Word, LogEncoding Value)> Encodings { get; } = [("utf-8", LogEncoding.Utf8), ("utf-16-le", LogEncoding.Utf16LittleEndian), ("utf-16-be", LogEncoding.Utf16BigEndian), ("latin-1", LogEncoding.Latin1)];

    /// <summary>Words of delimiters.</summary>
    public static IReadOnlyList<(string Word, LogDelimiter Value)> Delimiters { get; } = [("comma", LogDelimiter.Comma), ("semicolon", LogDelimiter.Semicolon), ("tab", LogDelimiter.Tab), ("bar", LogDelimiter.Bar), ("space", LogDelimiter.Space)];

    /// <summary>Words of decimal marks.</summary>
    public static IReadOnlyList<(string Word, DecimalMark Value)> Decimals { get; } = [("point", DecimalMark.Point), ("comma", DecimalMark.Comma)];

    /// <summary>Words of marks between thousands.</summary>
    public static IReadOnlyList<(string Word, char Value)> Thousands { get; } = [("point", '.'), ("comma", ',')];

    /// <summary>Words of orders of dates.</summary>
    public static IReadOnlyList<(string Word, DateOrder Value)> DateOrders { get; } = [("year-month-day", DateOrder.YearMonthDay), ("day-month-year", DateOrder.DayMonthYear), ("month-day-year", DateOrder.MonthDayYear)];

    /// <summary>Words of stamps.</summary>
    public static IReadOnlyList<(string Word, IntervalStamp Value)> Stamps { get; } = [("start", IntervalStamp.Start), ("end", IntervalStamp.End)];

    /// <summary>Words of clock changes.</summary>
    public static IReadOnlyList<(string Word, ClockChange Value)> ClockChanges { get; } = [("summer-time", ClockChange.SummerTime), ("gap", ClockChange.Gap)];

    /// <summary>Words of halves of the day.</summary>
    public static IReadOnlyList<(string Word, HalfOfDay Value)> HalvesOfDay { get; } = [("morning", HalfOfDay.Morning), ("afternoon", HalfOfDay.Afternoon)];

    /// <summary>The value of a word, or null.</summary>
    public static T? Find<T>(IReadOnlyList<(string Word, T Value)> words, string? word) where T : struct
    {
        ArgumentNullException.ThrowIfNull(words);
        foreach (var (known, value) in words)
            if (known == word) return value;
        return null;
    }

    /// <summary>The word of a value.</summary>
    public static string Of<T>(IReadOnlyList<(string Word, T Value)> words, T value) where T : struct => words.First(w => w.Value.Equals(value)).Word;

    internal static string Of(DateOrder order) => Of(DateOrders, order);

    /// <summary>An offset from UTC as '+02:00'.</summary>
    public static string Zone(int minutes) => FormattableString.Invariant($"{(minutes < 0 ? '-' : '+')}{Math.Abs(minutes) / 60:00}:{Math.Abs(minutes) % 60:00}");

    /// <summary>Minutes of '+02:00' or '-03:30', or null.</summary>
    public static int? ZoneMinutes(string? text) => text is ['+' or '-', >= '0' and <= '1', >= '0' and <= '9', ':', >= '0' and <= '5', >= '0' and <= '9'] ? (text[0] == '-' ? -1 : 1) * ((600 * (text[1] - '0')) + (60 * (text[2] - '0')) + (10 * (text[4] - '0')) + text[5] - '0') : null;
}
