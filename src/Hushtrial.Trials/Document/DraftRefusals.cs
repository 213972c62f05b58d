using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Document;

/// <summary>Why an edit cannot be done.</summary>
internal static class DraftRefusals
{
    /// <summary>Far more than any field of the layout holds, so that a mistaken paste does not fill the document.</summary>
    private const int MostCharacters = 100_000;

    public static Problem NoPlace(string path) => Error("EDT-001", path, "a place that the layout of the document does not have", "a path like devices[alder].kind", "Use a section and a key of the layout.");

    public static Problem UnknownKey(DraftPath place)
    {
        var key = place.Steps[^1].Name;
        return Error("EDT-002", place.Text, $"the unknown key {DocumentProblems.Quote(key)} in {place.Owner?.Title}", DocumentProblems.OneOf(place.Owner?.Keys ?? []),
            DocumentProblems.DidYouMean(key, place.Owner?.Keys ?? [], place.Owner?.Find(DocumentShape.Other) is not null ? $"Put names of your own below '{DocumentShape.Other}'." : "Use a key of the layout."));
    }

    public static Problem NoEntry(string section, string entry) => Error("EDT-003", section, $"no entry {DocumentProblems.Quote(entry)} in '{section}'", "an entry that is there", "It may have been removed or renamed meanwhile. Look at the list again.");

    public static Problem Taken(string section, string id) => Error("EDT-004", section, $"the name {DocumentProblems.Quote(id)}, which is taken in '{section}'", "a name of its own for each entry", "Choose another name.");

    public static Problem NoName(string where, string name, DocumentProblems reasons)
    {
        var reason = (reasons.InOrder() is [var first, ..] ? first : null);
        return Error("EDT-005", where, reason?.Found ?? $"{DocumentProblems.Quote(name)}, which is no short name", reason?.Expected ?? "a short name", reason?.Remedy ?? "Write it like birch-active.");
    }

    public static Problem Occupied(string path) => Error("EDT-007", path, "a value where keys or entries belong", "a map of keys, or a list of entries", "Remove that value first; the page of the document's text shows it.");

    public static Problem Key(DraftPath place) => Error("EDT-008", place.Text, $"the name {DocumentProblems.Quote(place.Steps[^1].Name)}", Invariant($"a name of up to {TrialDraft.LongestKey} characters on one line"), "Choose a shorter, plain name.");

    /// <summary>Whether a key can be written and read again.</summary>
    public static bool IsKey(string key) => key.Length is > 0 and <= TrialDraft.LongestKey && key.Trim() == key && key != "<<" && !key.Any(char.IsControl) && WhyNot(key) is null;

    /// <summary>Why a document cannot hold a text; null when it can.</summary>
    public static Problem? Text(string path, string text)
    {
        if (text.Length > MostCharacters) return Error("EDT-006", path, Invariant($"a text of {text.Length} characters"), Invariant($"at most {MostCharacters}"), "Keep the long text in a file of its own and name it here.");
        return WhyNot(text) is { } found ? Error("EDT-006", path, found, "plain text", "Type the text anew, or paste it without formatting.") : null;
    }

    private static string? WhyNot(string text)
    {
        for (var i = 0; i < text.Length; i++)
        {
            var ch = text[i];
            if ((char.IsControl(ch) && ch is not ('\n' or '\r' or '\t' or '\u0085')) || ch is '\ufffe' or '\uffff') return Invariant($"the control character U+{(int)ch:X4}");
            if (char.IsHighSurrogate(ch) && i + 1 < text.Length && char.IsLowSurrogate(text[i + 1])) i++;
            else if (char.IsSurrogate(ch)) return "half a character";
        }
        return null;
    }

    private static Problem Error(string code, string where, string found, string expected, string remedy) => new(code, Severity.Error, where.Length == 0 ? "the document" : where, found, expected, remedy);
}
