using System.Collections.Concurrent;
using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace Hushtrial.Reporting.Wording;

/// <summary>The words of figures, tables, reports and findings in another language.</summary>
/// <remarks>
/// Sentences are formed once, in English, where their numbers are known. A phrasebook holds the English pattern of each, with places for what varies, and what
/// it says in its language: '{n1}' is a number and gets that language's decimal mark, '{t1}' is a name and stays but for the words that the house puts into names ('in names: (active'), '{p1}' is a phrase that the book must know too.
/// A text is translated whole or stays English; nothing is translated by halves. A file for machines never passes through a phrasebook.
/// </remarks>
public sealed partial class Phrasebook
{
    private const string InNames = "in names:";
    private const int MostKept = 20_000;

    private static readonly AsyncLocal<Phrasebook?> _current = new();
    private readonly Dictionary<string, string> _texts = new(StringComparer.Ordinal);
    private readonly List<(string English, string Other)> _inNames = [];
    private readonly List<Pattern> _patterns = [];
    private readonly ConcurrentDictionary<string, string?> _known = new(StringComparer.Ordinal);
    private readonly string _decimalMark;

    private Phrasebook(string tag, string decimalMark, IReadOnlyDictionary<string, string> phrases)
    {
        (Tag, _decimalMark, Phrases) = (tag, decimalMark, phrases);
        foreach (var (english, other) in phrases)
        {
            if (english.StartsWith(InNames, StringComparison.Ordinal)) _inNames.Add((english[InNames.Length..], other));
            else if (Place().IsMatch(english)) _patterns.Add(Pattern.Of(english, other));
            else _texts.Add(english, other);
        }
        // The pattern that says most itself comes first.
        _patterns.Sort((a, b) => b.Letters.CompareTo(a.Letters));
    }

    /// <summary>German.</summary>
    public static Phrasebook German { get; } = new("de", ",", Read("de"));

    /// <summary>The book of the work under way; null: English.</summary>
    public static Phrasebook? Current => _current.Value;

    /// <summary>Its language tag.</summary>
    public string Tag { get; }

    /// <summary>The phrases by their English patterns.</summary>
    public IReadOnlyDictionary<string, string> Phrases { get; }

    /// <summary>Makes a book the one of the work under way, until the answer is disposed of; null: English.</summary>
    public static IDisposable Use(Phrasebook? book)
    {
        var before = _current.Value;
        _current.Value = book;
        return new Ended(() => _current.Value = before);
    }

    /// <summary>A text in the language of the work under way; the text itself where the book does not know it.</summary>
    public static string Say(string english) => Current?.Translate(english) ?? english;

    /// <summary>A text in this language; null where the book does not know it whole.</summary>
    public string? Translate(string english)
    {
        if (english.Length == 0) return null;
        if (_known.TryGetValue(english, out var known)) return known;
        var plain = english.Replace('\u00A0', ' ').Trim();
        var said = Find(plain, 0);
        if (said is not null && english.Contains('\u00A0', StringComparison.Ordinal)) said = BeforeUnit().Replace(said, "\u00A0");
        if (_known.Count > MostKept) _known.Clear();
        _known[english] = said;
        return said;
    }

    private string? Find(string text, int depth)
    {
        if (depth > 8 || text.Length == 0) return null;
        if (_texts.TryGetValue(text, out var exact)) return exact;
        if (OnlyNumbers().IsMatch(text)) return Numbers(text);
        foreach (var pattern in _patterns)
            if (text.Contains(pattern.Anchor, StringComparison.Ordinal) && pattern.Expression.Match(text) is { Success: true } match && Filled(pattern, match, depth) is { } filled)
                return filled;
        return Sentences(text, depth) ?? Joined(text, "; ", depth) ?? Bent(text, depth);
    }

    private string? Filled(Pattern pattern, Match match, int depth)
    {
        var said = pattern.Other;
        foreach (var place in pattern.Places)
        {
            var found = match.Groups[place].Value;
            var word = place[0] switch { 'n' => Numbers(found), 'p' => Find(found, depth + 1), _ => Name(found) };
            if (word is null) return null;
            said = said.Replace("{" + place + "}", word, StringComparison.Ordinal);
        }
        return said;
    }

    private string? Sentences(string text, int depth)
    {
        var parts = SentenceEnd().Split(text);
        if (parts.Length < 2) return null;
        var said = parts.Select(p => Find(p, depth + 1)).ToList();
        return said.Contains(null) ? null : string.Join(' ', said);
    }

    private string? Joined(string text, string by, int depth)
    {
        if (!text.Contains(by, StringComparison.Ordinal)) return null;
        var said = text.Split(by).Select(p => Find(p, depth + 1)).ToList();
        return said.Contains(null) ? null : string.Join(by, said);
    }

    // The same words with a full stop or a capital that the place asked for.
    private string? Bent(string text, int depth)
    {
        if (text[^1] == '.' && !text.EndsWith("..", StringComparison.Ordinal) && Find(text[..^1], depth + 1) is { } open) return open.EndsWith('.') ? open : open + ".";
        return char.IsUpper(text[0]) && Find(char.ToLowerInvariant(text[0]) + text[1..], depth + 4) is { } low ? char.ToUpperInvariant(low[0]) + low[1..] : null;
    }

    private string Name(string text) => _inNames.Aggregate(text, (name, part) => name.Replace(part.English, part.Other, StringComparison.Ordinal));

    private string Numbers(string text) => DecimalPoint().Replace(text, _decimalMark);

    private static Dictionary<string, string> Read(string tag)
    {
        using var stream = typeof(Phrasebook).Assembly.GetManifestResourceStream($"wording/{tag}.json") ?? throw new InvalidOperationException($"The phrases of '{tag}' are missing from the assembly.");
        return JsonSerializer.Deserialize<Dictionary<string, string>>(stream) ?? throw new InvalidOperationException($"The phrases of '{tag}' are empty.");
    }

    [GeneratedRegex(@"\{(?<place>[ntp]\d)\}", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Place();

    [GeneratedRegex(@"(?<=[\d)%][.!?]|[^\d\W][.!?]|[.!?]’|\)\.) (?=[\p{Lu}‘])", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex SentenceEnd();

    // Numbers with their units and marks alone.
    [GeneratedRegex(@"^(?=.*\d)(?:[\d.,\s()±+−–≥≤<>=:/%-]|dB|dB\([ACZ]\)|kHz|Hz|min|ft|kPa|°C|µPa|(?<=\d)k|\b[hsgN]\b|re)+$", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex OnlyNumbers();

    [GeneratedRegex(@"(?<=(?<![\d.:-])\d+)\.(?=\d+(?![\d.:-]))", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex DecimalPoint();

    [GeneratedRegex(@"(?<=\d) (?=(?:dB|%|Hz|kHz)(?!\w))", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex BeforeUnit();

    private sealed record Pattern(Regex Expression, string Other, string Anchor, int Letters, IReadOnlyList<string> Places)
    {
        public static Pattern Of(string english, string other)
        {
            var places = Place().Matches(english).Select(m => m.Groups["place"].Value).Distinct(StringComparer.Ordinal).ToList();
            // Split by the pattern itself would hand back the places too.
            var fixedParts = Place().Replace(english, "\0").Split('\0');
            var expression = "^" + string.Concat(Pieces(english)) + "$";
            return new(new Regex(expression, RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture | RegexOptions.Singleline, TimeSpan.FromSeconds(1)), other,
                fixedParts.MaxBy(p => p.Length) ?? "", fixedParts.Sum(p => p.Length), places);
        }

        private static IEnumerable<string> Pieces(string english)
        {
            var at = 0;
            foreach (Match place in Place().Matches(english))
            {
                yield return Regex.Escape(english[at..place.Index]);
                var name = place.Groups["place"].Value;
                yield return name[0] == 'n' ? string.Create(CultureInfo.InvariantCulture, $"(?<{name}>[±+−-]?\\d+(?:[.,]\\d+)*k?)") : string.Create(CultureInfo.InvariantCulture, $"(?<{name}>.+?)");
                at = place.Index + place.Length;
            }
            yield return Regex.Escape(english[at..]);
        }
    }

    private sealed class Ended(Action end) : IDisposable
    {
        public void Dispose() => end();
    }
}
