using System.Globalization;

namespace Hushtrial.Trials.Document;

/// <summary>Places and values of a draft in words, for the history.</summary>
internal static class DraftWords
{
    private const int LongestValue = 40;

    /// <summary>'Device alder' and 'published.source' of a path.</summary>
    public static (string Place, string Key) Place(string path)
    {
        if (DraftPath.Parse(path) is not { Steps.Count: > 0 } parsed) return ("", path);
        var last = -1;
        for (var i = 0; i < parsed.Steps.Count; i++)
            if (parsed.Steps[i].IsEntry) last = i;
        if (last >= 0)
        {
            var end = path.LastIndexOf(']', path.Length - 1);
            var depth = parsed.Steps.Take(last + 1).Count(s => s.IsEntry);
            for (var (i, seen) = (0, 0); i < path.Length; i++)
                if (path[i] == ']' && ++seen == depth) { end = i; break; }
            return (Entry(path[..path[..end].LastIndexOf('[')], parsed.Steps[last].Name), path[(end + 1)..].TrimStart('.') is { Length: > 0 } key ? key : "all of it");
        }
        return DocumentShape.Root.Find(parsed.Steps[0].Name)?.Shape is MapShape map ? (Capital(Bare(map.Title)), path.Length > parsed.Steps[0].Name.Length ? path[(parsed.Steps[0].Name.Length + 1)..] : "all of it") : ("", path);
    }

    /// <summary>'Device alder', 'Calibration 1' (from 1, as people count).</summary>
    public static string Entry(string section, string entry)
    {
        var title = DraftPath.Parse(section)?.Shape is ListShape list ? Capital(Bare(list.Entry.Title)) : section;
        var name = entry.StartsWith('#') && int.TryParse(entry.AsSpan(1), NumberStyles.None, CultureInfo.InvariantCulture, out var ordinal)
            ? string.Create(CultureInfo.InvariantCulture, $"{ordinal + 1L}") : entry;
        return $"{title} {Short(name)}";
    }

    /// <summary>A value on one line, shortened.</summary>
    public static string Short(string? text)
    {
        var line = (text ?? "").ReplaceLineEndings(" ").Trim();
        if (line.Length <= LongestValue) return line;
        var cut = char.IsHighSurrogate(line[LongestValue - 2]) ? LongestValue - 2 : LongestValue - 1;
        return line[..cut] + "…";
    }

    public static string Capital(string text) => text.Length == 0 ? text : char.ToUpperInvariant(text[0]) + text[1..];

    /// <summary>The lists that a path goes through by ordinal: where another entry came or went, the ordinal means something else.</summary>
    public static IEnumerable<string> Ordinals(string path)
    {
        for (var at = path.IndexOf("[#", StringComparison.Ordinal); at >= 0; at = path.IndexOf("[#", at + 1, StringComparison.Ordinal))
            yield return path[..at];
    }

    private static string Bare(string title) => title.StartsWith("the ", StringComparison.Ordinal) ? title[4..] : title.StartsWith("a ", StringComparison.Ordinal) ? title[2..] : title;
}
