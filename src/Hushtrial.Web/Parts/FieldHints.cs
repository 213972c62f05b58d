namespace Hushtrial.Web.Parts;

/// <summary>What stands in small type below a field: 'Mass.' below 'Mass' is noise.</summary>
internal static class FieldHints
{
    private static readonly HashSet<string> _little = new(StringComparer.OrdinalIgnoreCase) { "the", "a", "an", "of", "its", "it", "is", "was", "to", "by", "in", "at", "and", "or", "which", "what", "how", "when", "whom", "for", "this", "type", "kind", "name" };

    private static readonly char[] _between = [' ', ',', '.', ':', ';', '(', ')'];

    // So short a sentence that begins with the label's own word adds nothing: 'Title of the trial.'
    private const int Short = 32;

    /// <summary>Whether the first sentence says no more than the label.</summary>
    public static bool Repeats(string meaning, string label)
    {
        if (meaning.Length <= Short && (!meaning.Contains(' ', StringComparison.Ordinal) || meaning.StartsWith(label.Split(' ')[0], StringComparison.OrdinalIgnoreCase))) return true;
        var first = Rest(meaning) is { Length: > 0 } rest ? meaning[..^rest.Length] : meaning;
        var known = label.Split(_between, StringSplitOptions.RemoveEmptyEntries).ToHashSet(StringComparer.OrdinalIgnoreCase);
        return first.Split(_between, StringSplitOptions.RemoveEmptyEntries).All(w => _little.Contains(w) || known.Contains(w));
    }

    /// <summary>All sentences but the first.</summary>
    public static string Rest(string text) => text.IndexOf(". ", StringComparison.Ordinal) is >= 0 and var at ? text[(at + 2)..] : "";
}
