using System.Collections.Concurrent;
using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace Hushtrial.Reporting.Wording;

/// <summary>The words of figures, tables, reports and findings in another language.</summary>
/// <remarks>
/// Sentences are formed once, in English, where their numbers are known. A phrasebook holds the English pattern of each, with places for what varies, and what
/// it says in its language: '{n1}' is a number and gets that language's decimal mark, '{t1}' is a name and stays but for the words that the house puts into names ('in names: (active'), '{p1}' is a phrase that the book must know too, '{x1}' whatever a message puts there:
/// a number, a phrase, a list or a name. The messages of problems have a book of their own, for they are many.
/// A text is translated whole or stays English; nothing is translated by halves. A file for machines never passes through a phrasebook.
/// </remarks>
public sealed partial class Phrasebook
{
    private const string InNames = "in names:";
    private const int MostKept = 20_000;
    private const int MostDepth = 8;

    // A name seldom reaches over the end of a sentence into the next: that is tried last.
    private const string InSentence = @"(?:(?![^\s.]{2}[.!?:] \p{Lu}).)";

    private const string InClause = @"(?:(?!; |[^\s.]{2}[.!?] \p{Lu}).)";

    private static readonly AsyncLocal<Phrasebook?> _current = new();
    private readonly Dictionary<string, string> _texts = new(StringComparer.Ordinal);
    private readonly List<(string English, string Other)> _inNames = [];
    private readonly List<Pattern> _patterns = [];
    private readonly List<Pattern> _loose = [];
    private readonly ConcurrentDictionary<string, string?> _known = new(StringComparer.Ordinal);
    private readonly ConcurrentDictionary<(string Text, bool Loose), (string? Said, int Depth)> _parts = new();
    private readonly string _decimalMark;

    private Phrasebook(string tag, string decimalMark, IReadOnlyDictionary<string, string> phrases)
    {
        (Tag, _decimalMark, Phrases) = (tag, decimalMark, phrases);
        foreach (var (english, other) in phrases)
        {
            if (english.StartsWith(InNames, StringComparison.Ordinal)) _inNames.Add((english[InNames.Length..], other));
            else if (Place().IsMatch(english))
            {
                _patterns.Add(Pattern.Of(english, other, loose: false));
                if (english.Contains("{t", StringComparison.Ordinal) || english.Contains("{x", StringComparison.Ordinal)) _loose.Add(Pattern.Of(english, other, loose: true));
            }
            else _texts.Add(english, other);
        }
        // The pattern that says most itself comes first.
        _patterns.Sort((a, b) => b.Letters.CompareTo(a.Letters));
        _loose.Sort((a, b) => b.Letters.CompareTo(a.Letters));
    }

    /// <summary>German.</summary>
    public static Phrasebook German { get; } = new("de", ",", Read("de", "de.problems"));

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
        var said = Find(plain, 0, loose: true);
        if (said is not null && english.Contains('\u00A0', StringComparison.Ordinal)) said = BeforeUnit().Replace(said, "\u00A0");
        if (_known.Count > MostKept) _known.Clear();
        _known[english] = said;
        return said;
    }

    // What fills a place is known by itself; only a text of its own, or a sentence of it, may hold names that look like sentences.
    private string? Find(string text, int depth, bool loose)
    {
        if (depth > MostDepth || text.Length == 0) return null;
        // The same part is asked for again and again in the places of different patterns. What was not found with more depth left is not found with less.
        if (_parts.TryGetValue((text, loose), out var known) && (known.Said is not null || known.Depth <= depth)) return known.Said;
        var said = Search(text, depth, loose);
        if (_parts.Count > MostKept) _parts.Clear();
        _parts[(text, loose)] = (said, depth);
        return said;
    }

    private string? Search(string text, int depth, bool loose)
    {
        if (_texts.TryGetValue(text, out var exact)) return exact;
        if (OnlyNumbers().IsMatch(text)) return Numbers(text);
        // Sentences that are all known go first: the places of a pattern may reach over several of them.
        return Sentences(text, depth, loose) ?? Joined(text, "; ", depth, loose) ?? Patterned(text, depth, loose) ?? Bent(text, depth, loose) ?? (text.Contains(',', StringComparison.Ordinal) && Listed().IsMatch(text) ? Choice(text) : null) ?? Alone(text) ?? (loose ? Matched(_loose, text, depth) : null);
    }

    // A pattern with the full stop says more of a text with one than the open pattern of a mere connection: 'a to b'.
    private string? Patterned(string text, int depth, bool loose) => text[^1] != '.' ? Matched(_patterns, text, depth)
        : Matched(_patterns, text, depth, stopped: true) ?? Open(text, depth, loose) ?? Matched(_patterns, text, depth, stopped: false);

    private string? Matched(List<Pattern> patterns, string text, int depth, bool? stopped = null)
    {
        foreach (var pattern in patterns)
            if ((stopped is null || pattern.Stopped == stopped) && text.Contains(pattern.Anchor, StringComparison.Ordinal) && pattern.Expression.Match(text) is { Success: true } match && (patterns == _loose || HoldsNames(pattern, match)) && Filled(pattern, match, depth, strict: patterns != _loose) is { } filled)
                return filled;
        return null;
    }

    // Words or measured values in the place of a name: another pattern says more of this text.
    private static bool HoldsNames(Pattern pattern, Match match) => pattern.Places.All(p => p[0] != 't' || (match.Groups[p].Value is var name && !Measured().IsMatch(name) && !SpokenHtml.IsEnglish(name)));

    private string? Filled(Pattern pattern, Match match, int depth, bool strict)
    {
        var said = pattern.Other;
        foreach (var place in pattern.Places)
        {
            var found = match.Groups[place].Value;
            var word = place[0] switch { 'n' => Numbers(found[0] == '-' ? "−" + found[1..] : found), 'p' => Find(found, depth + 1, loose: false), 'x' => Anything(found, depth + 1, strict), _ => Name(found) };
            if (word is null) return null;
            said = said.Replace("{" + place + "}", word, StringComparison.Ordinal);
        }
        return said;
    }

    // What stands in a message: nothing, what the book knows, short names in a list, or a name.
    private string? Anything(string text, int depth, bool strict)
    {
        if (text.Length == 0) return text;
        if (Find(text, depth, loose: false) is { } said) return said;
        if (Listed().IsMatch(text) || NamesListed().IsMatch(text)) return Choice(text);
        // A measured value in it: another pattern says more of this text.
        if (strict && Measured().IsMatch(text)) return null;
        return SpokenHtml.IsEnglish(text) ? null : Quoted().Replace(Name(text), "„${inside}“");
    }

    // A name by itself with what the house adds to it: 'Birch (active)'.
    private string? Alone(string text) => text.EndsWith(')') && text.IndexOfAny([':', ';']) < 0 && text.LastIndexOf('(') is > 0 and var open
        && _inNames.Any(n => n.English.Contains('(', StringComparison.Ordinal) && text.AsSpan(open).StartsWith(n.English.AsSpan().Trim(), StringComparison.Ordinal)) && !SpokenHtml.IsEnglish(text) ? Name(text) : null;

    private string Choice(string text) => Conjunction().Replace(Quoted().Replace(Name(text), "„${inside}“"), m => " " + _texts.GetValueOrDefault(m.Groups["word"].Value, m.Groups["word"].Value) + " ");

    private string? Sentences(string text, int depth, bool loose)
    {
        var parts = SentenceEnd().Split(text);
        if (parts.Length < 2) return null;
        var said = parts.Select(p => Find(p, depth + 1, loose)).ToList();
        return said.Contains(null) ? null : string.Join(' ', said);
    }

    private string? Joined(string text, string by, int depth, bool loose)
    {
        if (!text.Contains(by, StringComparison.Ordinal)) return null;
        var said = text.Split(by).Select(p => Find(p, depth + 1, loose)).ToList();
        return said.Contains(null) ? null : string.Join(by, said);
    }

    // The same words with a full stop that the place asked for.
    private string? Open(string text, int depth, bool loose) =>
        text[^1] == '.' && !text.EndsWith("..", StringComparison.Ordinal) && Find(text[..^1], depth + 1, loose) is { } open ? open.EndsWith('.') ? open : open + "." : null;

    // The same words with a capital that the place asked for.
    private string? Bent(string text, int depth, bool loose) =>
        char.IsUpper(text[0]) && Find(char.ToLowerInvariant(text[0]) + text[1..], depth + 4, loose) is { } low ? char.ToUpperInvariant(low[0]) + low[1..] : null;

    private string Name(string text) => _inNames.Aggregate(text, (name, part) => name.Replace(part.English, part.Other, StringComparison.Ordinal));

    private string Numbers(string text) => DecimalPoint().Replace(text, _decimalMark);

    private static Dictionary<string, string> Read(params string[] books)
    {
        var phrases = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (var book in books)
        {
            using var stream = typeof(Phrasebook).Assembly.GetManifestResourceStream($"wording/{book}.json") ?? throw new InvalidOperationException($"The phrases of '{book}' are missing from the assembly.");
            foreach (var (english, other) in JsonSerializer.Deserialize<Dictionary<string, string>>(stream) ?? throw new InvalidOperationException($"The phrases of '{book}' are empty."))
                phrases.Add(english, other);
        }
        return phrases;
    }

    [GeneratedRegex(@"\{(?<place>[ntpx]\d)\}", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Place();

    [GeneratedRegex(@"(?<=[\d)%][.!?]|[^\d\W][.!?]|[.!?]’|\)\.) (?=[\p{Lu}‘])", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex SentenceEnd();

    // Numbers with their units and marks alone.
    [GeneratedRegex(@"^(?=.*\d)(?:[\d.,\s()±+−–≥≤<>=:/%-]|dB|dB\([ACZ]\)|kHz|Hz|min|ft|kPa|°C|µPa|(?<=\d)k|\b[hsgN]\b|re)+$", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex OnlyNumbers();

    // 'a, b or c' of short names, and 'text as found'.
    [GeneratedRegex(@"^[^\s,]+(?:, [^\s,]+)* (?:or|and) [^\s,]+$", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Listed();

    // The same of device names, every word with a capital or in brackets: 'Alder, Birch (passive) and Cedar II'.
    [GeneratedRegex(@"^[\p{Lu}\d][^\s,;:]*(?: [\p{Lu}\d][^\s,;:]*)*(?: \([^()]*\))?(?:, [\p{Lu}\d][^\s,;:]*(?: [\p{Lu}\d][^\s,;:]*)*(?: \([^()]*\))?)* (?:or|and) [\p{Lu}\d][^\s,;:]*(?: [\p{Lu}\d][^\s,;:]*)*(?: \([^()]*\))?$", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex NamesListed();

    [GeneratedRegex(" (?<word>or|and) ", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Conjunction();

    [GeneratedRegex("(?<![\\w])'(?<inside>[^']*)'(?!\\w)", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Quoted();

    [GeneratedRegex(@"(?<=(?<![\d.:-])\d+)\.(?=\d+(?![\d.:-]))", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex DecimalPoint();

    [GeneratedRegex(@"\d\.\d", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Measured();

    [GeneratedRegex(@"(?<=\d) (?=(?:dB|%|Hz|kHz)(?!\w))", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex BeforeUnit();

    private sealed record Pattern(Regex Expression, string Other, string Anchor, int Letters, IReadOnlyList<string> Places, bool Stopped)
    {
        public static Pattern Of(string english, string other, bool loose)
        {
            var places = Place().Matches(english).Select(m => m.Groups["place"].Value).Distinct(StringComparer.Ordinal).ToList();
            // Split by the pattern itself would hand back the places too.
            var fixedParts = Place().Replace(english, "\0").Split('\0');
            var expression = "^" + string.Concat(Pieces(english, loose)) + "$";
            return new(new Regex(expression, RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture | RegexOptions.Singleline, TimeSpan.FromSeconds(1)), other,
                fixedParts.MaxBy(p => p.Length) ?? "", fixedParts.Sum(p => p.Length), places, english[^1] == '.');
        }

        private static IEnumerable<string> Pieces(string english, bool loose)
        {
            var at = 0;
            foreach (Match place in Place().Matches(english))
            {
                yield return Regex.Escape(english[at..place.Index]);
                var name = place.Groups["place"].Value;
                var found = name[0] switch { 'n' => "[±+−-]?\\d+(?:[.,]\\d+)*k?", 'x' => InClause + "*?", 't' when !loose => InSentence + "+?", _ => ".+?" };
                yield return string.Create(CultureInfo.InvariantCulture, $"(?<{name}>{found})");
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
