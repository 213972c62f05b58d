namespace Hushtrial.Trials.Document;

/// <summary>Reads the text of a draft and finds the key that each problem is about.</summary>
internal static class DraftReading
{
    public static (TrialDocument?, IReadOnlyList<DraftProblem>) Read(string text, string displayName)
    {
        var problems = new DocumentProblems(displayName);
        var document = TrialDocumentReader.Read(text, problems);
        var placed = problems.Placed();
        if (placed.Count == 0) return (document, []);
        var paths = new Dictionary<Place, string>();
        if (DocumentComposer.Compose(text, new DocumentProblems(displayName)) is { } root) Collect(root, DocumentShape.Root, "", paths);
        return (document, [.. placed.Select(p => new DraftProblem(p.Problem, PathOf(p.Place, p.Key, paths)))]);
    }

    /// <summary>Collects keys that could not be written again.</summary>
    public static void Refuse(DocumentNode node, DocumentProblems problems)
    {
        foreach (var child in (node as ListNode)?.Items ?? []) Refuse(child, problems);
        foreach (var (key, value) in (node as MapNode)?.Pairs ?? [])
        {
            if (key.Text.Length > TrialDraft.LongestKey)
                problems.Error("DOC-033", key.Place, "", FormattableString.Invariant($"a key of {key.Text.Length} characters"), FormattableString.Invariant($"at most {TrialDraft.LongestKey}"), "Write the long text behind the colon.");
            Refuse(value, problems);
        }
    }

    private static string PathOf(Place place, string? key, Dictionary<Place, string> paths)
    {
        if (place == default || !paths.TryGetValue(place, out var path)) return "";
        // An unknown key, or one without a value, lies at its own place already.
        return key is null || path == key || path.EndsWith("." + key, StringComparison.Ordinal) ? path : path.Length == 0 ? key : $"{path}.{key}";
    }

    // A map begins where its first key does: what is said of that place is about the map, unless a key is named with it.
    // Inside a value of several (pairs, words, texts) the place is that of the whole value.
    private static void Collect(DocumentNode node, Shape? shape, string path, Dictionary<Place, string> paths)
    {
        paths.TryAdd(node.Place, path);
        switch (node)
        {
            case ListNode list:
                for (var i = 0; i < list.Items.Count; i++)
                    Collect(list.Items[i], (shape as ListShape)?.Entry, shape is ListShape ? $"{path}[{DraftPath.NameOf(list, i)}]" : path, paths);
                break;
            case MapNode map:
                foreach (var (key, value) in map.Pairs)
                {
                    var inner = shape is not (MapShape or OwnWordsShape or BandsShape) ? path : path.Length == 0 ? key.Text : $"{path}.{key.Text}";
                    Collect(value, (shape as MapShape)?.Find(key.Text)?.Shape, inner, paths);
                    paths.TryAdd(key.Place, inner);
                }
                break;
        }
    }
}
