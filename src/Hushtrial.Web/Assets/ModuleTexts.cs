using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.RegularExpressions;
using Hushtrial.Web.Language;

namespace Hushtrial.Web.Assets;

/// <summary>The texts that modules say: found in their sources, handed to a page as data.</summary>
internal static partial class ModuleTexts
{
    // '<' stays escaped, so that no text can end the element it stands in.
    private static readonly JsonSerializerOptions _safe = new() { Encoder = JavaScriptEncoder.Create(System.Text.Unicode.UnicodeRanges.All) };

    /// <summary>Every text that a module asks for, in English.</summary>
    public static IReadOnlyList<string> All { get; } = [.. EmbeddedAssets.Modules().SelectMany(m => Said().Matches(m)).SelectMany(m => m.Groups["text"].Captures).Select(c => c.Value.Replace("\\'", "'", StringComparison.Ordinal)).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal)];

    /// <summary>The texts of a language as a JSON object; empty for English, whose texts are their own keys.</summary>
    public static string Json(Tongue tongue) => JsonSerializer.Serialize(All.Where(tongue.Texts.ContainsKey).ToDictionary(k => k, k => tongue[k], StringComparer.Ordinal), _safe);

    // A text alone, or a choice of texts: say('…'), say(a ? '…' : b ? '…' : '…').
    [GeneratedRegex(@"\bsay\((?:[^'""`()]*\?\s*)?'(?<text>(?:[^'\\]|\\.)*)'(?:\s*:\s*(?:[^'""`():]*\?\s*)?'(?<text>(?:[^'\\]|\\.)*)')*", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 2000)]
    private static partial Regex Said();
}
