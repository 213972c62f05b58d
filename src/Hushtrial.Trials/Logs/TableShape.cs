using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>Where the table of a log begins, how its fields are parted, and what its columns are headed with.</summary>
/// <param name="Delimiter">Between fields.</param>
/// <param name="DelimiterEvidence">How it is known.</param>
/// <param name="Count">Number of columns.</param>
/// <param name="FirstLine">First line with values, from 1.</param>
/// <param name="HeaderLine">Line of the header, from 1; null without one.</param>
/// <param name="Names">Header of every column, several header rows joined; empty without one.</param>
/// <param name="HeaderFields">Number of fields of the header row; 0 without one.</param>
/// <param name="Preamble">The lines in front of the header.</param>
internal sealed record TableShape(LogDelimiter Delimiter, string DelimiterEvidence, int Count, int FirstLine, int? HeaderLine, IReadOnlyList<string> Names, int HeaderFields, IReadOnlyList<string> Preamble)
{
    private static readonly LogDelimiter[] _candidates = [LogDelimiter.Tab, LogDelimiter.Semicolon, LogDelimiter.Bar, LogDelimiter.Comma, LogDelimiter.Space];

    /// <summary>The shape, or null where no lines look like rows of values.</summary>
    internal static TableShape? Of(IReadOnlyList<string> head, LogDelimiter? stated, int? firstLine)
    {
        (LogDelimiter Delimiter, int Lines, int Count)? best = null;
        foreach (var delimiter in stated is { } s ? [s] : _candidates)
        {
            var counts = head.Select(l => LogFields.Texts(l, delimiter)).Where(f => f.Count > 1 && IsRow(f)).GroupBy(Width).Select(g => (Count: g.Key, Lines: g.Count())).OrderByDescending(c => c.Lines).ThenByDescending(c => c.Count).ToList();
            // An earlier candidate holds its place unless another explains clearly more lines.
            if (counts.Count > 0 && (best is null || counts[0].Lines > best.Value.Lines * 1.2)) best = (delimiter, counts[0].Lines, counts[0].Count);
        }
        if (best is not { } chosen) return null;
        var first = firstLine is { } f1 ? f1 - 1 : head.Select(l => LogFields.Texts(l, chosen.Delimiter)).ToList().FindIndex(f => Width(f) == chosen.Count && IsRow(f));
        if (first < 0 || first >= head.Count) return null;
        var (header, names, fields) = Header(head, first, chosen.Delimiter, chosen.Count);
        return new(chosen.Delimiter, stated is not null ? "stated" : FormattableString.Invariant($"{chosen.Lines} lines with {chosen.Count} fields each, which are numbers, times or markers"),
            chosen.Count, first + 1, header, names, fields, [.. head.Take(header - 1 ?? first)]);
    }

    /// <summary>Number of fields, an empty one behind a last delimiter not counted.</summary>
    private static int Width(List<string> fields) => fields.Count > 2 && fields[^1].Length == 0 ? fields.Count - 1 : fields.Count;

    /// <summary>Whether most fields are numbers, times or markers, and at least one a number.</summary>
    internal static bool IsRow(List<string> fields)
    {
        if (AreFrequencies(fields)) return false;
        var (fit, filled, numbers) = (0, 0, 0);
        foreach (var field in fields)
        {
            if (field.Length == 0) continue;
            filled++;
            var number = IsNumber(field);
            if (number) numbers++;
            if (number || CellReading.IsMarker(field) || field[0] is '<' or '>' || StampReading.Read(field, clockExpected: true, out _)) fit++;
        }
        return filled > 1 && fit >= 0.6 * filled && numbers + fit > fit / 2 && (numbers > 0 || fields.Exists(f => StampReading.Read(f, clockExpected: false, out _)));
    }

    /// <summary>Whether the numbers of a row are midband frequencies that rise: a header.</summary>
    private static bool AreFrequencies(List<string> fields)
    {
        var numbers = fields.Where(IsNumber).ToList();
        return numbers.Count >= 3 && numbers.TrueForAll(HeaderWords.IsFrequency) && numbers.Select(n => HeaderWords.Read(n).Hertz).OfType<double>().ToList() is var hertz && hertz.Zip(hertz.Skip(1), (a, b) => b > a).All(rises => rises);
    }

    internal static bool IsNumber(string field) => CellReading.Number(field, DecimalMark.Point, ',', out _) || CellReading.Number(field, DecimalMark.Comma, '.', out _)
        || CellReading.Level(field, DecimalMark.Point, null).Kind == CellKind.Value || CellReading.Level(field, DecimalMark.Comma, null).Kind == CellKind.Value;

    private static (int? Line, IReadOnlyList<string> Names, int Fields) Header(IReadOnlyList<string> head, int first, LogDelimiter delimiter, int count)
    {
        var names = Enumerable.Repeat("", count).ToArray();
        var at = first - 1;
        while (at >= 0 && head[at].Trim().Length == 0) at--;
        List<string>? units = null;
        if (at >= 0 && Split(head[at], delimiter, count) is { } below && below.Count >= Math.Max(2, count - 2) && HeaderWords.AreUnits(below))
        {
            units = below;
            at--;
        }
        // A line of dashes under the header.
        while (at >= 0 && head[at].Trim().Length > 0 && head[at].All(c => c is '-' or '=' or '_' or ' ' or '\t' or '+' or '|' or ';' or ',')) at--;
        if (at < 0 || Split(head[at], delimiter, count) is not { } row || row.Count < 2 || row.Count(f => f.Length > 0) < 2 || row.Count(IsNumber) > 0.6 * row.Count && !row.Exists(HeaderWords.IsFrequency))
            return (null, names, 0);
        Place(row, names, delimiter);
        if (at > 0 && count >= 4 && Split(head[at - 1], delimiter, count) is { } group && group.Count >= count / 2 && group.Count(f => f.Length > 0) >= 2 && !IsRow(group) && IsGroup(group, row)) Join(group, names);
        if (units is not null)
            for (var i = 0; i < Math.Min(units.Count, count); i++) names[i] = $"{names[i]} {units[i]}".Trim();
        return (at + 1, names, row.Count);
    }

    /// <summary>A header row's fields; a row parted by single spaces is tried at double spaces when it does not fit.</summary>
    private static List<string>? Split(string line, LogDelimiter delimiter, int count)
    {
        if (line.Trim().Length == 0) return null;
        var fields = LogFields.Texts(line, delimiter);
        if (delimiter != LogDelimiter.Space || fields.Count == count) return fields;
        var wide = line.Split("  ", StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries).ToList();
        return wide.Count <= count && wide.Count > 1 ? wide : fields;
    }

    private static void Place(List<string> row, string[] names, LogDelimiter delimiter)
    {
        // In a table parted by spaces a date and its time of day have one name: the names fit from the right.
        var shift = delimiter == LogDelimiter.Space && row.Count < names.Length ? names.Length - row.Count : 0;
        for (var i = 0; i < row.Count && i + shift < names.Length; i++) names[i + shift] = row[i];
    }

    /// <summary>A row above the header names groups when it has gaps or says the same several times.</summary>
    private static bool IsGroup(List<string> group, List<string> row) => group.Count <= row.Count + 1
        && (group.Exists(f => f.Length == 0) || group.Where(f => f.Length > 0).Distinct(StringComparer.OrdinalIgnoreCase).Count() < group.Count(f => f.Length > 0));

    private static void Join(List<string> group, string[] names)
    {
        var above = "";
        for (var i = 0; i < names.Length; i++)
        {
            if (i < group.Count && group[i].Length > 0) above = group[i];
            names[i] = $"{above} {names[i]}".Trim();
        }
    }
}
