using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>The fields of one row, trimmed, without the quotes around them. One object serves row after row.</summary>
internal sealed class LogFields
{
    /// <summary>More columns than any table of levels has.</summary>
    internal const int Most = 1024;

    private readonly (int From, int To)[] _fields = new (int, int)[Most];

    /// <summary>Number of fields; those beyond <see cref="Most"/> are not kept.</summary>
    internal int Count { get; private set; }

    /// <summary>One field of the line that was split; empty where the line has too few.</summary>
    internal ReadOnlySpan<char> Of(ReadOnlySpan<char> line, int index) => index < Count ? line[_fields[index].From.._fields[index].To] : default;

    /// <summary>Splits a line.</summary>
    internal void Split(ReadOnlySpan<char> line, LogDelimiter delimiter)
    {
        Count = 0;
        if (delimiter == LogDelimiter.Space) SplitAtSpaces(line);
        else SplitAt(line, Character(delimiter));
    }

    /// <summary>The character of a delimiter.</summary>
    internal static char Character(LogDelimiter delimiter) => delimiter switch
    {
        LogDelimiter.Comma => ',',
        LogDelimiter.Semicolon => ';',
        LogDelimiter.Tab => '\t',
        LogDelimiter.Bar => '|',
        _ => ' ',
    };

    /// <summary>The fields as texts.</summary>
    internal static List<string> Texts(string line, LogDelimiter delimiter)
    {
        var fields = new LogFields();
        fields.Split(line, delimiter);
        return [.. Enumerable.Range(0, fields.Count).Select(i => fields.Of(line, i).ToString())];
    }

    private void SplitAt(ReadOnlySpan<char> line, char delimiter)
    {
        var quoted = line.Contains('"');
        var from = 0;
        while (true)
        {
            int length;
            if (quoted && line[from..].TrimStart(' ') is ['"', ..])
            {
                // RFC 4180: a quoted field ends at a quote that is followed by a delimiter or the end; "" inside is a quote.
                var open = from + line[from..].IndexOf('"');
                var close = open + 1;
                while (close < line.Length && !(line[close] == '"' && (close + 1 == line.Length || line[close + 1] != '"')))
                    close += line[close] == '"' ? 2 : 1;
                close = Math.Min(close, line.Length);
                var after = close < line.Length ? line[close..].IndexOf(delimiter) : -1;
                Add(line, open + 1, close);
                if (after < 0) return;
                from = close + after + 1;
                continue;
            }
            length = line[from..].IndexOf(delimiter);
            if (length < 0) { Add(line, from, line.Length); return; }
            Add(line, from, from + length);
            from += length + 1;
        }
    }

    private void SplitAtSpaces(ReadOnlySpan<char> line)
    {
        var at = 0;
        while (true)
        {
            while (at < line.Length && IsSpace(line[at])) at++;
            if (at == line.Length) return;
            var from = at;
            while (at < line.Length && !IsSpace(line[at])) at++;
            Add(line, from, at);
        }
    }

    private void Add(ReadOnlySpan<char> line, int from, int to)
    {
        if (Count == Most) return;
        while (from < to && IsSpace(line[from])) from++;
        while (to > from && IsSpace(line[to - 1])) to--;
        _fields[Count++] = (from, to);
    }

    private static bool IsSpace(char c) => c is ' ' or '\t' or '\u00a0' or '\u202f' or '\u2009';
}
