using System.Globalization;
using System.Text.RegularExpressions;

namespace Hushtrial.Trials.Document;

/// <summary>Reads single values. The parser's own idea of types is not used: to it 0:12 may be the number 12 and 'no' a truth value.</summary>
internal static partial class ScalarReading
{
    // These patterns stand in the published schema too. After a colon there are two digits below 60, as on any clock: 1:5 may mean
    // five seconds or fifty.

    /// <summary>Hours, minutes and seconds of a time in a recording.</summary>
    public const string SpanPattern = @"^(?:(?:([0-9]{1,2}):(?=[0-5][0-9]:))?([0-9]{1,4}):(?=[0-5][0-9](?:\.|$)))?([0-9]{1,6}(?:\.[0-9]{1,6})?)$";

    public const string ClockPattern = @"^([01]?[0-9]|2[0-3]):([0-5][0-9])(?::([0-5][0-9](?:\.[0-9]{1,6})?))?$";

    public const string IdentityPattern = @"^[\p{L}\p{Nd}][\p{L}\p{M}\p{Nd}._-]*$";

    public const string DatePattern = "^[0-9]{4}-[0-9]{2}-[0-9]{2}(?: to [0-9]{4}-[0-9]{2}-[0-9]{2})?$";

    /// <summary>The value, or null with the reason collected.</summary>
    public static object? Read(Shape shape, TextNode node, string path, DocumentProblems problems) => shape switch
    {
        TextShape => Text(node, path, problems),
        WordShape words => Word(words, node, path, problems),
        NumberShape number => Number(number, node, path, problems),
        YesNoShape => YesNo(node, path, problems),
        SpanShape => Span(node, path, problems),
        ClockShape => Clock(node, path, problems),
        DateShape => Date(node, path, problems),
        FileNameShape => FileName(node, path, problems),
        PatternShape pattern => OfPattern(pattern, node, path, problems),
        IdentityShape or ReferenceShape or ModeShape => Identity(node, path, problems),
        _ => throw new ArgumentOutOfRangeException(nameof(shape), shape, "This shape is not of a single value."),
    };

    public static object? Number(NumberShape shape, TextNode node, string path, DocumentProblems problems)
    {
        var text = node.Text.Trim().Replace('\u2212', '-');
        var expected = shape.Whole ? Range("a whole number", shape) : Range("a number", shape);
        if (DecimalComma().IsMatch(text))
            problems.Error("DOC-021", node.Place, path, $"{Quote(node)} with a decimal comma", expected, $"Write {text.Replace(',', '.')}: in this document a comma separates entries.");
        else if (NumberWithUnit().Match(text) is { Success: true } unit)
            problems.Error("DOC-022", node.Place, path, $"{Quote(node)}, a number with a unit", expected, $"Write {unit.Groups[1].Value} alone; the unit is fixed by the key.");
        else if (NotFinite().IsMatch(text))
            problems.Error("DOC-023", node.Place, path, $"{Quote(node)}, which is not a finite number", expected, "Leave the key out when the value is not known.");
        else if (!double.TryParse(text, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent, CultureInfo.InvariantCulture, out var value))
            problems.Error("DOC-020", node.Place, path, $"{Quote(node)}, which is not a number", expected, "Leave the key out when the value is not known.");
        else if (shape.Least.Equals(shape.Most) && !value.Equals(shape.Least))
            problems.Error("DOC-015", node.Place, path, $"the layout {Quote(node)}", string.Create(CultureInfo.InvariantCulture, $"layout {shape.Least}"), "A newer program wrote this document: read it with that one.");
        else if (!(value >= shape.Least && value <= shape.Most))
            problems.Error("DOC-024", node.Place, path, $"{Quote(node)}, which is out of range", expected, "Check the value and its unit.");
        else if (shape.Whole && value != Math.Floor(value))
            problems.Error("DOC-025", node.Place, path, $"{Quote(node)}, which is not a whole number", expected, "Write it without a decimal point.");
        else
            return value;
        return null;
    }

    public static string Range(string what, NumberShape shape)
    {
        var unit = shape.Unit.Length > 0 ? " " + shape.Unit : "";
        return shape.Least.Equals(shape.Most) ? string.Create(CultureInfo.InvariantCulture, $"{shape.Least}{unit}")
            : string.Create(CultureInfo.InvariantCulture, $"{what} from {shape.Least} to {shape.Most}{unit}");
    }

    private static string? Text(TextNode node, string path, DocumentProblems problems)
    {
        if (node.Text.Length <= TextShape.MostCharacters) return node.Text.Trim();
        problems.Error("DOC-033", node.Place, path, string.Create(CultureInfo.InvariantCulture, $"a text of {node.Text.Length} characters"),
            string.Create(CultureInfo.InvariantCulture, $"at most {TextShape.MostCharacters}"), "Keep the long text in a file of its own and name it here.");
        return null;
    }

    private static string? Word(WordShape shape, TextNode node, string path, DocumentProblems problems)
    {
        if (shape.Words.Contains(node.Text)) return node.Text;
        problems.Error("DOC-027", node.Place, path, $"{Quote(node)}, an unknown word", DocumentProblems.OneOf(shape.Words),
            DocumentProblems.DidYouMean(node.Text, shape.Words, "Use one of these words as it stands."));
        return null;
    }

    private static string? OfPattern(PatternShape shape, TextNode node, string path, DocumentProblems problems)
    {
        if (Regex.IsMatch(node.Text, shape.Pattern, RegexOptions.NonBacktracking)) return node.Text;
        problems.Error("DOC-110", node.Place, path, Quote(node), shape.What, $"Write it like {shape.Example}.");
        return null;
    }

    private static object? YesNo(TextNode node, string path, DocumentProblems problems)
    {
        switch (node.Text)
        {
            case "yes" or "true": return true;
            case "no" or "false": return false;
        }
        problems.Error("DOC-026", node.Place, path, Quote(node), "yes or no", "Write yes or no.");
        return null;
    }

    private static object? Span(TextNode node, string path, DocumentProblems problems)
    {
        if (Sexagesimal(node.Text.Trim()) is { } seconds && seconds <= SpanShape.MostHours * 3600) return seconds;
        problems.Error("DOC-028", node.Place, path, $"{Quote(node)}, which is not a time in a recording", SpanText.Forms, SpanRemedy(node.Text.Trim()));
        return null;
    }

    private static object? Clock(TextNode node, string path, DocumentProblems problems)
    {
        if (ClockTime().Match(node.Text.Trim()) is { Success: true } m)
        {
            var (hours, minutes) = (Whole(m.Groups[1].Value), Whole(m.Groups[2].Value));
            var seconds = m.Groups[3].Success ? decimal.Parse(m.Groups[3].Value, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture) : 0;
            return (hours * 3600) + (minutes * 60) + seconds;
        }
        problems.Error("DOC-029", node.Place, path, $"{Quote(node)}, which is not a clock time", "h:mm or h:mm:ss on the 24-hour clock, from 0:00 to 23:59:59.999999",
            node.Text.Contains('m', StringComparison.OrdinalIgnoreCase) ? "Write 14:05 for 2:05 in the afternoon." : "Write it like 9:05 or 14:05:30.");
        return null;
    }

    private static string? Date(TextNode node, string path, DocumentProblems problems)
    {
        var parts = node.Text.Trim().Split(" to ");
        var dates = parts.Select(p => DateOnly.TryParseExact(p, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var d) ? d : (DateOnly?)null).ToList();
        if (dates.Count <= 2 && dates.TrueForAll(d => d is not null) && dates[0] <= dates[^1]) return node.Text.Trim();
        var remedy = dates.Count == 2 && dates.TrueForAll(d => d is not null) ? "Write the earlier date first."
            : dates.Count == 1 && OtherDate().IsMatch(node.Text) && !IsoDate().IsMatch(node.Text.Trim()) ? "Write year, month, day with hyphens: the order of day and month differs between countries."
            : "Write it like 2026-05-14, with a day that exists.";
        problems.Error("DOC-030", node.Place, path, $"{Quote(node)}, which is not a date in this form", "2026-05-14, or 2026-05-14 to 2026-05-16", remedy);
        return null;
    }

    private static string? FileName(TextNode node, string path, DocumentProblems problems)
    {
        var name = node.Text;
        var (found, remedy) =
            name.Contains('\\', StringComparison.Ordinal) ? ("a backslash", $"Write {Quote(name.Replace('\\', '/'))}, if that is a path from this document's folder.")
            : name.Contains(':', StringComparison.Ordinal) ? ("a drive or an address", "Copy the file beside this document and write its name.")
            : name.StartsWith('/') || name.StartsWith('~') ? ("a path from outside this document's folder", "Copy the file beside this document and write its name.")
            : name.Split('/').Any(p => p is ".." or "." or "") ? ("'.', '..' or an empty part", "Write the way from this document's folder down to the file.")
            : name.Split('/').Any(p => p.EndsWith('.') || p.EndsWith(' ') || p.StartsWith(' ')) ? ("a part that ends in a dot, or begins or ends with a space", "Rename the file: not every system can open it.")
            : name.IndexOfAny(['*', '?', '"', '<', '>', '|', '\n']) >= 0 ? ("a character that file names cannot have everywhere", "Rename the file without * ? \" < > |.")
            : name.Length > 200 ? ("more than 200 characters", "Rename the file.")
            : ((string?)null, "");
        if (found is null) return name;
        problems.Error("DOC-031", node.Place, path, $"the file name {Quote(node)} with {found}", "a file beside this document or in a folder below it, with forward slashes", remedy);
        return null;
    }

    private static string? Identity(TextNode node, string path, DocumentProblems problems)
    {
        if (node.Text.Length <= IdentityShape.MostCharacters && IdentityText().IsMatch(node.Text) && !node.Text.EndsWith('\n')) return node.Text;
        problems.Error("DOC-032", node.Place, path, $"{Quote(node)}, which is no short name",
            string.Create(CultureInfo.InvariantCulture, $"letters, digits, '-', '_' and '.', at most {IdentityShape.MostCharacters}, without spaces"), "Write it like birch-active; the name for readers may be longer.");
        return null;
    }

    /// <summary>Seconds of 12, 12.5, 0:12.5 or 1:02:03, exact; null when it is none of these.</summary>
    internal static decimal? Sexagesimal(string text)
    {
        if (SpanTime().Match(text) is not { Success: true } m) return null;
        var seconds = decimal.Parse(m.Groups[3].Value, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture);
        if (!m.Groups[2].Success) return seconds;
        var minutes = Whole(m.Groups[2].Value);
        return (m.Groups[1].Success ? Whole(m.Groups[1].Value) * 3600 : 0) + (minutes * 60) + seconds;
    }

    private static string SpanRemedy(string text) => text.Contains(',', StringComparison.Ordinal) ? "Write a decimal point for the comma."
        : NumberWithUnit().Match(text) is { Success: true } unit ? $"Write {unit.Groups[1].Value} alone; the unit is seconds."
        : text.StartsWith('-') ? "Times count from the start of the recording."
        : text.Contains(':', StringComparison.Ordinal) ? "After a colon, minutes and seconds have two digits and stay below 60."
        : "Write it like 0:12.";

    private static decimal Whole(string digits) => decimal.Parse(digits, NumberStyles.None, CultureInfo.InvariantCulture);

    private static string Quote(TextNode node) => DocumentProblems.Quote(node.Text);

    private static string Quote(string text) => DocumentProblems.Quote(text);

    [GeneratedRegex(@"^[+-]?\d+,\d+$")]
    private static partial Regex DecimalComma();

    [GeneratedRegex(@"^([+-]?\d+(?:\.\d+)?)\s*(?:[A-Za-z°µ%][A-Za-z()/°²³]*)$")]
    private static partial Regex NumberWithUnit();

    [GeneratedRegex(@"^[+-]?\.?(?:nan|inf|infinity|∞)$", RegexOptions.IgnoreCase)]
    private static partial Regex NotFinite();

    [GeneratedRegex(SpanPattern)]
    private static partial Regex SpanTime();

    [GeneratedRegex(ClockPattern)]
    private static partial Regex ClockTime();

    [GeneratedRegex(@"^\s*\d{1,4}\s*[./-]\s*\d{1,2}\s*[./-]\s*\d{1,4}\s*$")]
    private static partial Regex OtherDate();

    [GeneratedRegex(DatePattern)]
    private static partial Regex IsoDate();

    [GeneratedRegex(IdentityPattern)]
    private static partial Regex IdentityText();
}
