using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;

namespace Hushtrial.Tests.Wording;

/// <summary>The string literals of a source file, those inside the places of others too.</summary>
/// <remarks>A place of an interpolated literal is '{}', whatever stands in it: 'the file ends after {} bytes'. Raw literals are passed over.</remarks>
internal sealed partial class SourceTexts
{
    private readonly string _source;
    private readonly List<(int At, string Text)> _found = [];

    private SourceTexts(string source)
    {
        _source = source;
        Code(0, '\0');
    }

    /// <summary>The literals of words that a person may read: not those of exceptions and patterns.</summary>
    public static IEnumerable<string> Of(string source) =>
        new SourceTexts(source)._found.Where(f => Words().IsMatch(f.Text) && f.Text.Trim().Contains(' ', StringComparison.Ordinal) && !ForProgrammers().IsMatch(Statement(source, f.At))).Select(f => f.Text);

    private static string Statement(string source, int at) =>
        source[Math.Max(0, Math.Max(source.LastIndexOf(';', at), source.LastIndexOf("{\n", at, StringComparison.Ordinal)))..at];

    // Up to the end of the source, or to the bracket that ends a place.
    private int Code(int at, char end)
    {
        for (var depth = 0; at < _source.Length; at++)
        {
            var c = _source[at];
            if (c == '/' && At(at, "//")) at = _source.IndexOf('\n', at) is var line && line < 0 ? _source.Length : line;
            else if (c == '\'' && Character().Match(_source, at) is { Success: true } character) at += character.Length - 1;
            else if (c is '"' or '$' or '@' && Opening().Match(_source, at) is { Success: true } opening) at = Literal(at + opening.Length, opening.Value) - 1;
            else if (depth == 0 && c == end) return at;
            else if (c is '(' or '[' or '{') depth++;
            else if (c is ')' or ']' or '}') depth--;
        }
        return at;
    }

    private int Literal(int at, string opening)
    {
        if (At(at, "\"\"")) return _source.IndexOf("\"\"\"", at + 2, StringComparison.Ordinal) is var raw && raw < 0 || opening.Length > 1 ? at + 1 : raw + 3;
        var (from, text) = (at, new StringBuilder());
        for (; _source[at] != '"' || (opening.Contains('@', StringComparison.Ordinal) && At(at, "\"\"")); at++)
        {
            var c = _source[at];
            if (c == '"') at++;
            else if (c == '\\' && !opening.Contains('@', StringComparison.Ordinal))
            {
                if (_source[++at] == 'u') (c, at) = ((char)int.Parse(_source.AsSpan(at + 1, 4), NumberStyles.HexNumber, CultureInfo.InvariantCulture), at + 4);
                else c = _source[at];
            }
            else if (opening[0] == '$' && c is '{' or '}')
            {
                if (At(at, "{{") || At(at, "}}")) at++;
                else
                {
                    at = Code(at + 1, '}');
                    text.Append("{}");
                    continue;
                }
            }
            text.Append(c);
        }
        _found.Add((from, text.ToString()));
        return at + 1;
    }

    private bool At(int at, string text) => string.CompareOrdinal(_source, at, text, 0, text.Length) == 0;

    [GeneratedRegex("[a-z]{2}", RegexOptions.CultureInvariant)]
    private static partial Regex Words();

    [GeneratedRegex(@"throw |Exception\(|GeneratedRegex|SuppressMessage", RegexOptions.CultureInvariant)]
    private static partial Regex ForProgrammers();

    [GeneratedRegex(@"\G'(?:\\[^']*.|[^\\'])'", RegexOptions.CultureInvariant)]
    private static partial Regex Character();

    [GeneratedRegex("\\G[$@]{0,2}\"", RegexOptions.CultureInvariant)]
    private static partial Regex Opening();
}
