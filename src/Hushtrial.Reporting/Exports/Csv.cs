using System.Globalization;
using System.Text;

namespace Hushtrial.Reporting.Exports;

/// <summary>Writes a table of text and numbers as CSV: comma, CR LF, quotes where needed, '.' as decimal sign.</summary>
/// <remarks>Source: RFC 4180, section 2, rules 1 to 7. UTF-8 without byte order mark.</remarks>
internal sealed class Csv
{
    private readonly StringBuilder _text = new();
    private readonly int _columns;

    /// <summary>Starts with the header.</summary>
    public Csv(params string[] header)
    {
        _columns = header.Length;
        Row(header);
    }

    /// <summary>Adds a record.</summary>
    /// <exception cref="ArgumentException">The number of fields is not that of the header.</exception>
    public void Row(params object?[] fields)
    {
        if (fields.Length != _columns) throw new ArgumentException($"{fields.Length} fields, but the header has {_columns}.", nameof(fields));
        _text.AppendJoin(',', fields.Select(Field)).Append("\r\n");
    }

    /// <summary>The file.</summary>
    public override string ToString() => _text.ToString();

    private static string Field(object? value) => value switch
    {
        null => "",
        double d => double.IsFinite(d) ? (Math.Round(d, 6) + 0.0).ToString("0.######", CultureInfo.InvariantCulture) : "",
        bool b => b ? "true" : "false",
        IFormattable f => f.ToString(null, CultureInfo.InvariantCulture),
        _ => Quote(Plain(value.ToString() ?? "")),
    };

    /// <summary>A text that a spreadsheet would take for a formula gets an apostrophe in front; numbers never do.</summary>
    /// <remarks>Source: OWASP, "CSV Injection" (from memory): cells beginning with = + - @, tab or carriage return; an apostrophe in front makes them text.</remarks>
    private static string Plain(string text) => text is ['=' or '+' or '-' or '@' or '\t' or '\r', ..] ? "'" + text : text;

    private static string Quote(string text) => text.AsSpan().IndexOfAny(",\"\r\n") >= 0 ? "\"" + text.Replace("\"", "\"\"", StringComparison.Ordinal) + "\"" : text;
}
