using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>A place in the document, both counted from 1 as editors do.</summary>
internal readonly record struct Place(int Line, int Column) : IComparable<Place>
{
    public int CompareTo(Place other) => Line != other.Line ? Line.CompareTo(other.Line) : Column.CompareTo(other.Column);
}

/// <summary>Collects what is wrong with one document. Reading goes on after each, so that a person sees all of it at once.</summary>
internal sealed class DocumentProblems(string displayName)
{
    /// <summary>A file with thousands of faults is the wrong file; a page of them is enough to see that.</summary>
    private const int Most = 200;

    private readonly List<(Place Place, string? Key, Problem Problem)> _found = [];
    private int _leftOut;

    /// <summary>Whether further problems are only counted, so that nobody reads their words.</summary>
    public bool IsFull => _found.Count >= Most;

    public bool AnyError { get; private set; }

    /// <summary>In the order of the document; at one place, the worst first.</summary>
    public IReadOnlyList<Problem> InOrder() => [.. Placed().Select(p => p.Problem)];

    /// <summary>As above, each with its place and, where it is about a key of the map at that place (a missing or unknown one), with that key.</summary>
    public IReadOnlyList<(Place Place, string? Key, Problem Problem)> Placed()
    {
        var ordered = _found.OrderBy(p => p.Place).ThenByDescending(p => p.Problem.Severity).ToList();
        if (_leftOut > 0)
            ordered.Add((default, null, new Problem("DOC-009", Severity.Error, displayName, string.Create(CultureInfo.InvariantCulture, $"{_leftOut} further problems, not listed"),
                "a trial document", "Mend the first ones and read the document again.")));
        return ordered;
    }

    public void Error(string code, Place place, string path, string found, string expected, string remedy, string? key = null) =>
        Add(Severity.Error, code, place, path, found, expected, remedy, key: key);

    public void Warning(string code, Place place, string path, string found, string expected, string remedy, double? effect = null) =>
        Add(Severity.Warning, code, place, path, found, expected, remedy, effect);

    public void Note(string code, Place place, string path, string found, string expected, string remedy) =>
        Add(Severity.Note, code, place, path, found, expected, remedy);

    /// <summary>File, line, column and, where there is one, the way of keys that leads there.</summary>
    public string Where(Place place, string path = "") => string.Create(CultureInfo.InvariantCulture,
        $"{displayName}, line {place.Line}, column {place.Column}{(path.Length > 0 ? $" ({path})" : "")}");

    /// <summary>'Did you mean …?' for a word with a near relative, else the advice given.</summary>
    public static string DidYouMean(string word, IEnumerable<string> known, string otherwise) =>
        KnownWords.Nearest(word, known) is { } near ? $"Did you mean '{near}'?" : otherwise;

    /// <summary>Text as found, shortened so that a message stays one line.</summary>
    public static string Quote(string text)
    {
        var line = text.ReplaceLineEndings(" ");
        return line.Length <= 60 ? $"'{line}'" : $"'{line[..57]}…'";
    }

    /// <summary>'a, b or c'.</summary>
    public static string OneOf(IReadOnlyList<string> words) => words.Count switch
    {
        0 => "none",
        1 => words[0],
        _ => $"{string.Join(", ", words.Take(words.Count - 1))} or {words[^1]}",
    };

    private void Add(Severity severity, string code, Place place, string path, string found, string expected, string remedy, double? effect = null, string? key = null)
    {
        AnyError |= severity == Severity.Error;
        if (IsFull) { _leftOut++; return; }
        _found.Add((place, key, new Problem(code, severity, Where(place, path), found, expected, remedy, effect)));
    }
}
