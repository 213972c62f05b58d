namespace Hushtrial.Trials.Document;

/// <summary>Finds the known word that a mistyped one most likely meant.</summary>
public static class KnownWords
{
    /// <summary>The nearest known word, or null when none is near enough to be worth naming.</summary>
    /// <param name="word">The word as found; capitals, and '-', '_' or ' ' between its parts, do not count.</param>
    /// <param name="known">The words that are allowed; of equally near ones the first is taken.</param>
    /// <returns>A word at most a third of its letters (never more than three) away in insertions, deletions, replacements and
    /// swaps of neighbours; failing that, a word that begins as the found one does, or the other way round ('mass' → 'mass_g').</returns>
    public static string? Nearest(string word, IEnumerable<string> known)
    {
        ArgumentNullException.ThrowIfNull(word);
        ArgumentNullException.ThrowIfNull(known);
        var found = Plain(word);
        string? nearest = null, beginsAlike = null;
        var least = int.MaxValue;
        foreach (var candidate in known)
        {
            var plain = Plain(candidate);
            var distance = Distance(found, plain);
            if (distance <= Math.Clamp(Math.Max(found.Length, plain.Length) / 3, 1, 3) && distance < Math.Max(found.Length, plain.Length)
                && distance < least)
                (nearest, least) = (candidate, distance);
            if (Math.Min(found.Length, plain.Length) >= 3
                && (plain.StartsWith(found, StringComparison.Ordinal) || found.StartsWith(plain, StringComparison.Ordinal)))
                beginsAlike ??= candidate;
        }
        return least <= 1 ? nearest : beginsAlike ?? nearest;
    }

    /// <summary>Number of single-letter insertions, deletions, replacements and swaps of neighbours that turn one word into the other
    /// (optimal string alignment: no part is edited twice).</summary>
    public static int Distance(string a, string b)
    {
        ArgumentNullException.ThrowIfNull(a);
        ArgumentNullException.ThrowIfNull(b);
        // A pasted paragraph is no typing mistake: do not spend a table on it.
        if (Math.Abs(a.Length - b.Length) > 40) return Math.Max(a.Length, b.Length);
        var (before, previous, current) = (new int[b.Length + 1], new int[b.Length + 1], new int[b.Length + 1]);
        for (var j = 0; j <= b.Length; j++) previous[j] = j;
        for (var i = 1; i <= a.Length; i++)
        {
            current[0] = i;
            for (var j = 1; j <= b.Length; j++)
            {
                var replaced = previous[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
                current[j] = Math.Min(Math.Min(current[j - 1], previous[j]) + 1, replaced);
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) current[j] = Math.Min(current[j], before[j - 2] + 1);
            }
            (before, previous, current) = (previous, current, before);
        }
        return previous[b.Length];
    }

    private static string Plain(string word) => word.Trim().ToLowerInvariant().Replace('_', '-').Replace(' ', '-');
}
