using System.Text.RegularExpressions;

namespace Hushtrial.Reporting.Wording;

/// <summary>A finished page in which no line ends between a number and its unit, or within a word like A-weighted.</summary>
public static partial class UnbrokenLines
{
    /// <summary>The page with spaces and hyphens that keep together what belongs together. Style, scripts, drawings and what a person is writing stay as they are.</summary>
    /// <param name="html">The page.</param>
    public static string In(string html) => Piece().Replace(html, piece => piece.Groups["text"].Success ? Hyphen().Replace(Space().Replace(piece.Value, "\u00A0"), "\u2011") : piece.Value);

    [GeneratedRegex(@"<(?<skipped>script|style|textarea|svg|select|code|pre)\b.*?</\k<skipped>>|<title>.*?</title>|<!.*?>|<[^>]+>|(?<text>[^<]+)", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant | RegexOptions.Singleline, matchTimeoutMilliseconds: 5000)]
    private static partial Regex Piece();

    [GeneratedRegex(@"(?<=[0-9]) (?=(?:%|dB|Hz|kHz|h|min|s)(?![A-Za-z]))", RegexOptions.CultureInvariant)]
    private static partial Regex Space();

    [GeneratedRegex(@"(?<=\b[ACZ])-(?=[a-z])", RegexOptions.CultureInvariant)]
    private static partial Regex Hyphen();
}
