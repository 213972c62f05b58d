using System.Globalization;
using System.Text;

namespace Hushtrial.Trials.Document;

/// <summary>A value that is written as it stands: a number, a time, a bracketed list.</summary>
internal sealed record YamlFlow(string Text);

/// <summary>Keys and values on their way to text. What is null or empty is left out.</summary>
internal sealed class YamlMap
{
    public List<(string Key, object Value, bool OneLine)> Pairs { get; } = [];

    public YamlMap Add(string key, string? text) => string.IsNullOrWhiteSpace(text) ? this : Put(key, text.Trim());

    public YamlMap Add(string key, YamlFlow? flow) => flow is null ? this : Put(key, flow);

    public YamlMap Add(string key, double? number) => number is { } value ? Put(key, new YamlFlow(YamlText.Number(value))) : this;

    public YamlMap Add(string key, YamlMap? map) => map is null || map.Pairs.Count == 0 ? this : Put(key, map);

    public YamlMap Add(string key, object value) => value is string text ? Add(key, text) : Add(key, (YamlFlow)value);

    public YamlMap Add(string key, IReadOnlyList<string> texts) => texts.Count == 0 ? this : Put(key, new YamlFlow($"[{string.Join(", ", texts.Select(t => YamlText.Scalar(t, inFlow: true)))}]"));

    public YamlMap Add(string key, IEnumerable<YamlMap> entries, bool oneLine = true) => entries.ToList() is { Count: > 0 } list ? Put(key, list, oneLine) : this;

    public YamlMap AddAlways(string key, IEnumerable<YamlMap> entries) => entries.ToList() is { Count: > 0 } list ? Put(key, list) : Put(key, new YamlFlow("[]"));

    public YamlMap AddDetails(IReadOnlyList<KeyValuePair<string, string>> details, MapShape shape)
    {
        var own = new YamlMap();
        foreach (var (key, text) in details)
            if (shape.Find(key) is { Detail: true } field && key != DocumentShape.Other)
            {
                if (field.Shape is TextShape or WordsShape) Add(key, text);
                else Add(key, new YamlFlow(text));
            }
            else own.Add(key, text);
        return Add(DocumentShape.Other, own);
    }

    private YamlMap Put(string key, object value, bool oneLine = true)
    {
        Pairs.Add((key, value, oneLine));
        return this;
    }
}

/// <summary>Lays the document out: sections apart, entries of lists on one line where they fit.</summary>
internal static class YamlText
{
    /// <summary>The widest line that an entry is put on; a wider one gets a line for every key.</summary>
    private const int WidestLine = 200;

    public static string Document(YamlMap root)
    {
        var text = new StringBuilder();
        foreach (var (key, value, oneLine) in root.Pairs)
        {
            if (value is not YamlFlow && text.Length > 0) text.Append('\n');
            Pair(text, "", key, value, oneLine);
        }
        return text.ToString();
    }

    /// <summary>The shortest text that reads back as the same number.</summary>
    public static string Number(double value) => value.ToString("R", CultureInfo.InvariantCulture);

    /// <summary>A text with quotes where it needs them.</summary>
    public static string Scalar(string text, bool inFlow)
    {
        if (IsPlain(text, inFlow)) return text;
        var quoted = new StringBuilder("\"");
        foreach (var ch in text)
            quoted.Append(ch switch
            {
                '"' => "\\\"",
                '\\' => "\\\\",
                '\n' => "\\n",
                '\r' => "\\r",
                '\t' => "\\t",
                '\u00a0' or '\u2028' or '\u2029' or '\ufeff' => Escape(ch),
                _ when char.IsControl(ch) => Escape(ch),
                _ => ch.ToString(),
            });
        return quoted.Append('"').ToString();
    }

    private static string Escape(char ch) => string.Create(CultureInfo.InvariantCulture, $"\\u{(int)ch:x4}");

    private static void Pair(StringBuilder text, string indent, string key, object value, bool oneLine)
    {
        text.Append(indent).Append(Scalar(key, inFlow: true)).Append(':');
        switch (value)
        {
            case YamlMap map:
                text.Append('\n');
                foreach (var pair in map.Pairs) Pair(text, indent + "  ", pair.Key, pair.Value, pair.OneLine);
                break;
            case List<YamlMap> entries:
                text.Append('\n');
                foreach (var entry in entries) Entry(text, indent + "  ", entry, oneLine);
                break;
            case string several when IsLiteral(several):
                text.Append(" |-\n");
                foreach (var line in several.Split('\n')) text.Append(line.Length > 0 ? indent + "  " : "").Append(line).Append('\n');
                break;
            default:
                text.Append(' ').Append(Inline(value)).Append('\n');
                break;
        }
    }

    /// <summary>Adds one entry of a list.</summary>
    public static void Entry(StringBuilder text, string indent, YamlMap entry, bool oneLine)
    {
        var line = oneLine && !entry.Pairs.Exists(p => p.Value is List<YamlMap> || (p.Value is string s && s.Contains('\n', StringComparison.Ordinal))) ? Inline(entry) : null;
        if (line is not null && line.Length <= WidestLine)
        {
            text.Append(indent).Append("- ").Append(line).Append('\n');
            return;
        }
        if (entry.Pairs.Count == 0)
        {
            text.Append(indent).Append("- {}\n");
            return;
        }
        var block = new StringBuilder();
        foreach (var pair in entry.Pairs) Pair(block, indent + "  ", pair.Key, pair.Value, pair.OneLine);
        text.Append(indent).Append("- ").Append(block.ToString().AsSpan(indent.Length + 2));
    }

    private static string Inline(object value) => value switch
    {
        YamlMap map => $"{{ {string.Join(", ", map.Pairs.Select(p => $"{Scalar(p.Key, inFlow: true)}: {Inline(p.Value, inFlow: true)}"))} }}",
        _ => Inline(value, inFlow: false),
    };

    private static string Inline(object value, bool inFlow) => value switch
    {
        YamlFlow flow => flow.Text,
        string text => Scalar(text, inFlow),
        _ => Inline(value),
    };

    /// <summary>Lines that a '|' block can hold: no spaces at the start of the first or at the end of any, no empty line at either end.</summary>
    private static bool IsLiteral(string text) => text.Contains('\n', StringComparison.Ordinal) && text[0] != '\n' && text[^1] != '\n'
        && text.Split('\n').All(l => !l.EndsWith(' ') && !l.StartsWith(' ') && !l.Any(c => char.IsControl(c) || c is '\u00a0' or '\u0085' or '\u2028' or '\u2029' or '\ufeff'));

    private static bool IsPlain(string text, bool inFlow)
    {
        if (text.Length == 0 || text is "~" or "null" or "Null" or "NULL" || text[0] == ' ' || text[^1] is ' ' or ':') return false;
        if (!char.IsLetterOrDigit(text[0]) && text[0] is not ('(' or '/' or '+' or '°' or '–' or '…' or '.')) return false;
        if (text.StartsWith("...", StringComparison.Ordinal)) return false;
        if (text.Contains(": ", StringComparison.Ordinal) || text.Contains(" #", StringComparison.Ordinal)) return false;
        foreach (var ch in text)
            if (char.IsControl(ch) || char.IsSurrogate(ch) || ch is '\u00a0' or '\u0085' or '\u2028' or '\u2029' or '\ufeff' || (inFlow && !IsSafeInBrackets(ch))) return false;
        return true;
    }

    // Between brackets the parser trips over signs that the standard allows in the middle of a plain text (a '*' behind a space, for one).
    private static bool IsSafeInBrackets(char ch) => char.IsLetterOrDigit(ch) || ch is ' ' or '-' or '_' or '.' or '/' or '(' or ')' or '+' or ';' or '%' or '\'' or '°' or '–' or '…' or '−' or '×';
}
