using System.Globalization;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>A date, a time of day or both, as written: the order of day and month is not decided here.</summary>
internal readonly record struct StampParts
{
    /// <summary>Whether there is a date.</summary>
    public bool HasDate { get; init; }

    /// <summary>The three numbers of the date in the order written; with a month's name already year, month, day.</summary>
    public (int First, int Second, int Third) Numbers { get; init; }

    /// <summary>Whether the order cannot be in doubt: four digits of year in front, or a month's name.</summary>
    public bool OrderIsPlain { get; init; }

    /// <summary>Whether the last number has four digits, so that it is the year.</summary>
    public bool YearIsLast { get; init; }

    /// <summary>What stands between the numbers of the date.</summary>
    public char Separator { get; init; }

    /// <summary>Whether there is a time of day.</summary>
    public bool HasClock { get; init; }

    /// <summary>Time of day, µs since midnight; with AM or PM already on the 24-hour clock.</summary>
    public long Clock { get; init; }

    /// <summary>Whether AM or PM was written.</summary>
    public bool HasHalf { get; init; }

    /// <summary>Minutes ahead of UTC, where written.</summary>
    public int? Zone { get; init; }

    /// <summary>Days since 1 January 0001 under an order; null when there is no such date, or when the order would have to be guessed.</summary>
    public int? Day(DateOrder? order)
    {
        if (!HasDate) return null;
        var (a, b, c) = Numbers;
        var (year, month, day) = OrderIsPlain ? (a, b, c) : order switch
        {
            DateOrder.DayMonthYear => (c, b, a),
            DateOrder.MonthDayYear => (c, a, b),
            DateOrder.YearMonthDay => (YearIsLast ? -1 : a, b, c),
            _ => (-1, 0, 0),
        };
        if (year < 0) return null;
        if (year < 100) year += 2000;
        return year is >= 1900 and <= 9998 && month is >= 1 and <= 12 && day >= 1 && day <= DateTime.DaysInMonth(year, month) ? new DateOnly(year, month, day).DayNumber : null;
    }
}

/// <summary>Reads dates, times of day and elapsed times.</summary>
internal static class StampReading
{
    internal const long Second = 1_000_000;

    internal const long Day = 86_400 * Second;

    /// <summary>A date and time of day in either order, a date, or a time of day with colons (with points too, where a clock is expected).</summary>
    internal static bool Read(ReadOnlySpan<char> text, bool clockExpected, out StampParts parts)
    {
        parts = default;
        var at = 0;
        SkipWords(text, ref at);
        if (at >= text.Length) return false;
        var begin = at;
        if (LooksLikeClock(text[at..], clockExpected))
        {
            if (Clock(text, ref at, ref parts))
            {
                SkipSpaces(text, ref at);
                if (at == text.Length || (Date(text, ref at, ref parts) && at == text.Length)) return true;
            }
            (at, parts) = (begin, default);
        }
        if (!Date(text, ref at, ref parts)) return false;
        while (at < text.Length && text[at] is ' ' or 'T' or 't' or ',' or '_' or ';') at++;
        if (at == text.Length) return true;
        if (text[at] == '-') at++;
        return Clock(text, ref at, ref parts) && at == text.Length;
    }

    /// <summary>An elapsed time: seconds with a decimal mark, or h:mm:ss with fractions and any number of hours, with days in front.</summary>
    internal static bool Elapsed(ReadOnlySpan<char> text, DecimalMark mark, char? thousands, out long microseconds)
    {
        microseconds = 0;
        long days = 0;
        var dayEnd = text.IndexOfAny('d', ' ');
        if (dayEnd > 0 && text.Contains(':') && int.TryParse(text[..dayEnd], NumberStyles.None, CultureInfo.InvariantCulture, out var whole))
        {
            days = whole;
            text = text[(dayEnd + 1)..].TrimStart();
        }
        if (!text.Contains(':'))
        {
            if (text.EndsWith(" s", StringComparison.Ordinal)) text = text[..^2];
            if (!CellReading.Number(text, mark, thousands, out var seconds) || seconds < 0 || seconds > 1e9) return false;
            microseconds = (long)Math.Round(seconds * Second);
            return true;
        }
        var at = 0;
        long total = 0;
        var parts = 0;
        while (true)
        {
            if (!Digits(text, ref at, out var value, out var count) || count > 5 || (parts > 0 && (count != 2 || value > 59))) return false;
            total = (60 * total) + value;
            parts++;
            if (at < text.Length && text[at] == ':' && parts < 3) { at++; continue; }
            break;
        }
        if (parts < 2) return false;
        microseconds = (days * Day) + (total * Second) + Fraction(text, ref at);
        return at == text.Length;
    }

    private static bool LooksLikeClock(ReadOnlySpan<char> text, bool clockExpected)
    {
        var digits = text.IndexOfAnyExceptInRange('0', '9');
        return digits is 1 or 2 && (text[digits] == ':' || (clockExpected && text[digits] is '.' or 'h'));
    }

    private static bool Clock(ReadOnlySpan<char> text, ref int at, ref StampParts parts)
    {
        if (!Digits(text, ref at, out var hour, out var count)) return false;
        long minute = 0, second = 0, fraction = 0;
        if (count == 6) (hour, minute, second) = (hour / 10_000, hour / 100 % 100, hour % 100);
        else
        {
            if (count > 2 || at >= text.Length || text[at] is not (':' or '.' or 'h')) return false;
            var separator = text[at++];
            if (!Digits(text, ref at, out minute, out count) || count != 2) return false;
            if (at < text.Length && (text[at] == separator || text[at] == ':'))
            {
                at++;
                if (!Digits(text, ref at, out second, out count) || count != 2) return false;
                fraction = Fraction(text, ref at);
            }
        }
        if (hour > 24 || minute > 59 || second > 60 || (hour == 24 && minute + second > 0)) return false;
        Half(text, ref at, out var half);
        if (half is not null)
        {
            if (hour is < 1 or > 12) return false;
            hour = (hour % 12) + (half.Value ? 12 : 0);
        }
        var zone = Zone(text, ref at);
        parts = parts with { HasClock = true, Clock = (((hour * 60) + minute) * 60 * Second) + (second * Second) + fraction, HasHalf = half is not null, Zone = zone };
        return true;
    }

    private static bool Date(ReadOnlySpan<char> text, ref int at, ref StampParts parts)
    {
        var named = 0;
        if (Letters(text, at) is { Length: > 0 } lead)
        {
            named = MonthNames.Of(lead);
            if (named == 0) return false;
            at += lead.Length;
            SkipSeparators(text, ref at);
        }
        if (!Digits(text, ref at, out var a, out var digitsA)) return false;
        if (digitsA == 8 && named == 0)
        {
            parts = parts with { HasDate = true, OrderIsPlain = true, Numbers = ((int)(a / 10_000), (int)(a / 100 % 100), (int)(a % 100)) };
            return true;
        }
        if (digitsA > 4) return false;
        var separatorAt = at;
        SkipSeparators(text, ref at);
        if (separatorAt == at || at >= text.Length) return false;
        var separator = text[separatorAt];
        if (named > 0) return Digits(text, ref at, out var year, out _) && Named((int)year, named, (int)a, ref parts);
        if (Letters(text, at) is { Length: > 0 } name)
        {
            named = MonthNames.Of(name);
            if (named == 0) return false;
            at += name.Length;
            SkipSeparators(text, ref at);
            if (!Digits(text, ref at, out var last, out _)) return false;
            return digitsA > 2 ? Named((int)a, named, (int)last, ref parts) : Named((int)last, named, (int)a, ref parts);
        }
        if (separator is not ('-' or '/' or '.') || !Digits(text, ref at, out var b, out var digitsB) || digitsB > 2) return false;
        if (at >= text.Length || text[at] != separator) return false;
        at++;
        if (!Digits(text, ref at, out var c, out var digitsC) || digitsC is 3 or > 4 || digitsA == 3) return false;
        if (at < text.Length && text[at] == separator && separator == '.') at++;
        parts = parts with { HasDate = true, Numbers = ((int)a, (int)b, (int)c), OrderIsPlain = digitsA == 4, YearIsLast = digitsC == 4, Separator = separator };
        return true;
    }

    private static bool Named(int year, int month, int day, ref StampParts parts)
    {
        parts = parts with { HasDate = true, OrderIsPlain = true, Numbers = (year, month, day) };
        return true;
    }

    /// <summary>A fraction of a second after a point, a comma or, with three digits, a colon.</summary>
    private static long Fraction(ReadOnlySpan<char> text, ref int at)
    {
        if (at >= text.Length || text[at] is not ('.' or ',' or ':')) return 0;
        var from = at + 1;
        var end = from;
        while (end < text.Length && char.IsAsciiDigit(text[end])) end++;
        if (end == from || end - from > 9 || (text[at] == ':' && end - from != 3)) return 0;
        at = end;
        long value = 0;
        for (var i = 0; i < 6; i++) value = (10 * value) + (from + i < end ? text[from + i] - '0' : 0);
        return value;
    }

    private static void Half(ReadOnlySpan<char> text, ref int at, out bool? afternoon)
    {
        afternoon = null;
        var i = at;
        SkipSpaces(text, ref i);
        if (i >= text.Length || text[i] is not ('a' or 'A' or 'p' or 'P')) return;
        var isAfternoon = text[i] is 'p' or 'P';
        i++;
        while (i < text.Length && text[i] is '.' or ' ' or '\u00a0') i++;
        if (i >= text.Length || text[i] is not ('m' or 'M')) return;
        i++;
        if (i < text.Length && text[i] == '.') i++;
        (at, afternoon) = (i, isAfternoon);
    }

    private static int? Zone(ReadOnlySpan<char> text, ref int at)
    {
        var i = at;
        SkipSpaces(text, ref i);
        if (i >= text.Length) return null;
        if (Letters(text, i) is { Length: > 0 } name)
        {
            int? minutes = name switch { "Z" or "z" or "UTC" or "GMT" => 0, "CET" or "MEZ" => 60, "CEST" or "MESZ" => 120, _ => null };
            if (minutes is null) return null;
            i += name.Length;
            if (i >= text.Length || text[i] is not ('+' or '-' or '−')) { at = i; return minutes; }
        }
        if (text[i] is not ('+' or '-' or '−')) return null;
        var sign = text[i] == '+' ? 1 : -1;
        i++;
        if (!Digits(text, ref i, out var hours, out var count)) return null;
        long rest = 0;
        if (count == 4) (hours, rest) = (hours / 100, hours % 100);
        else if (count > 2) return null;
        else if (i < text.Length && text[i] == ':')
        {
            i++;
            if (!Digits(text, ref i, out rest, out count) || count != 2) return null;
        }
        if (hours > 14 || rest > 59) return null;
        at = i;
        return sign * (int)((60 * hours) + rest);
    }

    private static bool Digits(ReadOnlySpan<char> text, ref int at, out long value, out int count)
    {
        (value, count) = (0, 0);
        while (at < text.Length && char.IsAsciiDigit(text[at]) && count < 12)
        {
            value = (10 * value) + (text[at++] - '0');
            count++;
        }
        return count > 0;
    }

    private static ReadOnlySpan<char> Letters(ReadOnlySpan<char> text, int at)
    {
        var end = at;
        while (end < text.Length && char.IsLetter(text[end])) end++;
        return text[at..end];
    }

    /// <summary>The name of a weekday in front.</summary>
    private static void SkipWords(ReadOnlySpan<char> text, ref int at)
    {
        if (Letters(text, 0) is not { Length: > 0 } word || MonthNames.Of(word) > 0) return;
        at = word.Length;
        while (at < text.Length && text[at] is ' ' or ',' or '.' or '\u00a0') at++;
    }

    private static void SkipSpaces(ReadOnlySpan<char> text, ref int at)
    {
        while (at < text.Length && text[at] is ' ' or '\u00a0' or '\u202f') at++;
    }

    private static void SkipSeparators(ReadOnlySpan<char> text, ref int at)
    {
        while (at < text.Length && text[at] is '-' or '/' or '.' or ' ' or ',') at++;
    }
}
