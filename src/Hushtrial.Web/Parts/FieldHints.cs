namespace Hushtrial.Web.Parts;

/// <summary>What stands in small type below a field: 'Mass.' below 'Mass' is noise.</summary>
internal static class FieldHints
{
    private static readonly HashSet<string> _little = new(StringComparer.OrdinalIgnoreCase) { "the", "a", "an", "of", "its", "it", "is", "was", "to", "by", "in", "at", "and", "or", "which", "what", "how", "when", "whom", "for", "this", "type", "kind", "name" };

    private static readonly char[] _between = [' ', ',', '.', ':', ';', '(', ')'];

    /// <summary>Whether the first sentence has no word that the label has not.</summary>
    public static bool Repeats(string meaning, string label)
    {
        var first = Rest(meaning) is { Length: > 0 } rest ? meaning[..^rest.Length] : meaning;
        var known = label.Split(_between, StringSplitOptions.RemoveEmptyEntries).ToHashSet(StringComparer.OrdinalIgnoreCase);
        return first.Split(_between, StringSplitOptions.RemoveEmptyEntries).All(w => _little.Contains(w) || known.Contains(w));
    }

    /// <summary>All sentences but the first.</summary>
    public static string Rest(string text) => text.IndexOf(". ", StringComparison.Ordinal) is >= 0 and var at ? text[(at + 2)..] : "";
}
