namespace Hushtrial.Trials.Document;

/// <summary>Identities are unique, and every reference leads to one.</summary>
internal static class IdentityChecks
{
    public static void Resolve(BoundMap root, Binder binder, DocumentProblems problems)
    {
        foreach (var section in Draft.Sections) Unique(root, section, problems);
        var ids = Draft.Sections.ToDictionary(s => s, s => Ids(root, s), StringComparer.Ordinal);
        foreach (var (map, key, shape) in binder.References)
        {
            // A fit needs no entry of its own: takes name it, and that is all there is to know of most fits.
            if (shape.Section == "fits" || map.Find(key) is not { } reference) continue;
            if (shape.OrOpen && reference.Text == TrialDocument.OpenEar) continue;
            var known = ids[shape.Section];
            if (known.Contains(reference.Text)) continue;
            if (!binder.Incomplete.Contains(shape.Section) && !root.IsFaulty(shape.Section))
                NotListed(reference.Text, reference.Place, map.PathTo(key), shape, known, problems);
            map.AddFaulty(key);
        }
        Pairs(root, binder, problems);
    }

    private static void Unique(BoundMap root, string section, DocumentProblems problems)
    {
        var seen = new Dictionary<string, Bound>(StringComparer.OrdinalIgnoreCase);
        foreach (var entry in root.List<BoundMap>(section))
        {
            if (entry.Find("id") is not { } id) continue;
            if (section == "conditions" && id.Text.Equals(TrialDocument.OpenEar, StringComparison.OrdinalIgnoreCase))
                problems.Error("DOC-042", id.Place, entry.PathTo("id"), "a condition with the name 'open'", "another name", "'open' is the open ear, without any device; it needs no entry.");
            if (seen.TryAdd(id.Text, id)) continue;
            var alike = seen[id.Text].Text == id.Text ? "" : $", which differs from '{seen[id.Text].Text}' in capitals only";
            problems.Error("DOC-040", id.Place, entry.PathTo("id"), FormattableString.Invariant($"the name '{id.Text}' for the second time in '{section}'{alike}"),
                FormattableString.Invariant($"a name of its own for each; it is already in line {seen[id.Text].Place.Line}"), "Rename one of the two, and what refers to it.");
        }
    }

    private static void Pairs(BoundMap root, Binder binder, DocumentProblems problems)
    {
        if (root.Map("trial") is not { } trial) return;
        var shape = new ReferenceShape("conditions");
        var known = Ids(root, shape.Section);
        var complete = !binder.Incomplete.Contains(shape.Section) && !root.IsFaulty(shape.Section);
        var seen = new HashSet<(string, string)>();
        var path = trial.PathTo("compare");
        foreach (var (first, second) in trial.List<(TextNode First, TextNode Second)>("compare"))
        {
            foreach (var member in new[] { first, second })
                if (complete && !known.Contains(member.Text)) NotListed(member.Text, member.Place, path, shape, known, problems);
            if (first.Text == second.Text)
                problems.Error("DOC-043", second.Place, path, $"'{first.Text}' compared with itself", "two different conditions", "Name the condition it is to be compared with.");
            else if (!seen.Add((first.Text, second.Text)) || seen.Contains((second.Text, first.Text)))
                problems.Error("DOC-043", first.Place, path, $"the pair '{first.Text}' and '{second.Text}' for the second time", "each pair once, in either order", "Remove one of the two.");
        }
    }

    private static void NotListed(string text, Place place, string path, ReferenceShape shape, IReadOnlyCollection<string> known, DocumentProblems problems)
    {
        IReadOnlyList<string> all = shape.OrOpen ? [TrialDocument.OpenEar, .. known] : [.. known];
        problems.Error("DOC-041", place, path, $"the name {DocumentProblems.Quote(text)}, which is not in '{shape.Section}'",
            all.Count == 0 ? $"an entry of '{shape.Section}', where there is none" : all.Count > 12 ? $"one of the {all.Count} names in '{shape.Section}'" : DocumentProblems.OneOf(all),
            problems.IsFull ? "" : DocumentProblems.DidYouMean(text, all, $"Add it to '{shape.Section}', or use a name that is there."));
    }

    private static HashSet<string> Ids(BoundMap root, string section) =>
        [.. root.List<BoundMap>(section).Select(e => e.Text("id")).OfType<string>()];
}
