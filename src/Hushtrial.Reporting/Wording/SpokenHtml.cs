using System.Net;
using System.Text;
using System.Text.RegularExpressions;

namespace Hushtrial.Reporting.Wording;

/// <summary>A finished page in the language of a phrasebook: every run of text that the book knows, and the names of its elements.</summary>
public static partial class SpokenHtml
{
    // English words that no German text has two of.
    private static readonly HashSet<string> _english = new(StringComparer.OrdinalIgnoreCase)
    {
        "the", "of", "and", "to", "is", "are", "not", "no", "with", "by", "or", "for", "from", "this", "that", "each", "were", "it", "at", "on", "than", "one", "be",
    };

    /// <summary>The page in a language. Style, scripts, drawings and what a person is writing stay as they are.</summary>
    /// <param name="html">The page in English.</param>
    /// <param name="book">The language.</param>
    /// <param name="missed">Told of every text that looks like English and is not in the book; it is marked as English in the page.</param>
    public static string In(string html, Phrasebook book, Action<string>? missed = null)
    {
        var said = new StringBuilder(html.Length + 1000);
        foreach (Match piece in Piece().Matches(html))
        {
            if (piece.Groups["text"].Success) said.Append(Text(piece.Value, book, missed));
            else if (piece.Groups["tag"].Success) said.Append(Label().Replace(piece.Value, m => "aria-label=\"" + Encoded(Word(WebUtility.HtmlDecode(m.Groups["words"].Value), book)) + "\""));
            else said.Append(piece.Value);
        }
        return HtmlLanguage().Replace(said.ToString(), $"<html lang=\"{book.Tag}\"", 1);
    }

    private static string Text(string piece, Phrasebook book, Action<string>? missed)
    {
        var text = Space().Replace(WebUtility.HtmlDecode(piece), " ");
        var core = text.Trim(' ');
        if (core.Length == 0) return piece;
        if (book.Translate(core) is not { } word)
        {
            if (!IsEnglish(core)) return piece;
            missed?.Invoke(core);
            return $"<span lang=\"en\">{piece}</span>";
        }
        return (text[0] == ' ' ? " " : "") + Encoded(word) + (text[^1] == ' ' ? " " : "");
    }

    /// <summary>Whether a text has two words that only English has.</summary>
    internal static bool IsEnglish(string text) => LatinWord().Matches(text).Count(m => _english.Contains(m.Value)) >= 2;

    private static string Word(string text, Phrasebook book) => book.Translate(text) ?? text;

    private static string Encoded(string text) => text.Replace("&", "&amp;", StringComparison.Ordinal).Replace("<", "&lt;", StringComparison.Ordinal).Replace(">", "&gt;", StringComparison.Ordinal).Replace("\"", "&quot;", StringComparison.Ordinal);

    [GeneratedRegex(@"<(?<skipped>script|style|textarea|svg|select)\b.*?</\k<skipped>>|<title>.*?</title>|<!.*?>|(?<tag><[^>]+>)|(?<text>[^<]+)", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant | RegexOptions.Singleline, matchTimeoutMilliseconds: 5000)]
    private static partial Regex Piece();

    [GeneratedRegex("aria-label=\"(?<words>[^\"]+)\"", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Label();

    [GeneratedRegex("<html lang=\"en\"", RegexOptions.CultureInvariant)]
    private static partial Regex HtmlLanguage();

    [GeneratedRegex(@"[ \t\r\n]+", RegexOptions.CultureInvariant)]
    private static partial Regex Space();

    [GeneratedRegex(@"[A-Za-z]+", RegexOptions.CultureInvariant)]
    private static partial Regex LatinWord();
}
