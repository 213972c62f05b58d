using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Library;

/// <summary>Whether an edit made at one revision still means the same at another.</summary>
internal static class EditConflict
{
    /// <summary>The first place at which it does not, or null.</summary>
    /// <param name="seen">What the editor saw.</param>
    /// <param name="head">The trial now.</param>
    /// <param name="edit">The edit.</param>
    /// <param name="applied">The edit applied to the head; null when it cannot be.</param>
    public static (string Path, string? Theirs, string? Yours)? Between(TrialDraft seen, TrialDraft head, DraftEdit edit, TrialDraft? applied)
    {
        var mine = seen.Apply(edit).Draft;
        // Wrong at both: then it is no conflict, but wrong.
        if (mine is null) return null;
        // Somebody had the same thought.
        if (applied is not null && applied.Text == head.Text && mine.Text == head.Text) return null;
        foreach (var path in edit.Touches(seen))
        {
            // A comment kept in one text and not in the other is no difference; for the whole document it is all there is.
            var theirs = head.Value(path);
            if (theirs == seen.Value(path) || theirs == mine.Value(path)) continue;
            return (path, theirs, mine.Value(path));
        }
        if (applied is not null) return null;
        var place = edit switch
        {
            DraftEdit.Add { Id: { } id } add => $"{add.Section}[{id}]",
            DraftEdit.Rename rename => $"{rename.Section}[{rename.NewId}]",
            _ => edit.Touches(seen) is [var first, ..] ? first : "",
        };
        return (place, head.Value(place), mine.Value(place));
    }
}
