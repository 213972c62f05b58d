using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>Applies edits to the tree of a draft. What is not touched is shared between the old tree and the new.</summary>
internal static class DraftChange
{
    public static DraftEditResult Apply(TrialDraft draft, DraftEdit edit)
    {
        if (edit is DraftEdit.Several several)
        {
            var current = draft;
            foreach (var part in several.Edits ?? [])
            {
                var step = part is null ? new(null, DraftRefusals.NoPlace("")) : Apply(current, part);
                if (step.Draft is null) return step;
                current = step.Draft;
            }
            return new(current, null);
        }
        if (edit is DraftEdit.Replace replace)
        {
            var (read, problems) = TrialDraft.FromText(replace.Text ?? "", draft.DisplayName);
            return new(read, read is null ? problems[0] : null);
        }
        var (root, problem) = edit switch
        {
            DraftEdit.Set set => Set(draft.Root, set.Path, set.Value),
            DraftEdit.Add add => Add(draft.Root, add),
            DraftEdit.Remove remove => InList(draft.Root, remove.Section, remove.Entry, (items, i) => items.RemoveAt(i)),
            DraftEdit.Move move => InList(draft.Root, move.Section, move.Entry, (items, i) =>
            {
                var item = items[i];
                items.RemoveAt(i);
                items.Insert(Math.Clamp(move.To, 0, items.Count), item);
            }),
            DraftEdit.Rename rename => DraftRename.Apply(draft.Root, rename),
            _ => throw new ArgumentOutOfRangeException(nameof(edit), edit, "This kind of edit is not known."),
        };
        return problem is null ? new(new TrialDraft(root!, draft.DisplayName), null) : new(null, problem);
    }

    private static (MapNode? Root, Problem? Problem) Set(MapNode root, string? path, string? value)
    {
        if (path is null || DraftPath.Parse(path) is not { Steps.Count: > 0 } place || place.Steps[^1].IsEntry) return (null, DraftRefusals.NoPlace(path ?? ""));
        if (string.IsNullOrWhiteSpace(value)) return place.Find(root) is null && place.Shape is null ? (null, DraftRefusals.UnknownKey(place)) : Change(root, place, _ => null);
        if (place.Shape is null) return (null, DraftRefusals.UnknownKey(place));
        if (DraftRefusals.Text(path, value) is { } problem) return (null, problem);
        // A name of one's own comes from outside; all other keys are the layout's.
        if (!DraftRefusals.IsKey(place.Steps[^1].Name)) return (null, DraftRefusals.Key(place));
        var node = Node(value, place.Shape);
        return Change(root, place, _ => node);
    }

    private static (MapNode? Root, Problem? Problem) Add(MapNode root, DraftEdit.Add add)
    {
        if (List(add.Section) is not { } place) return (null, DraftRefusals.NoPlace(add.Section ?? ""));
        var found = place.Find(root);
        if (found is not (null or ListNode or TextNode { IsEmpty: true })) return (null, DraftRefusals.Occupied(place.Text));
        var list = found as ListNode ?? new ListNode(default, []);
        var index = add.Before is null ? list.Items.Count : DraftPath.IndexOf(list, add.Before);
        if (index < 0) return (null, DraftRefusals.NoEntry(add.Section!, add.Before!));
        if (add.Id is { } id && list.Items.Any(i => string.Equals(DraftPath.IdOf(i), id, StringComparison.OrdinalIgnoreCase))) return (null, DraftRefusals.Taken(add.Section!, id));
        // The entry is filled in as a document of its own would be, below a place that is its own.
        var section = (ListShape)place.Shape!;
        DocumentNode entry = DraftTree.EmptyMap;
        foreach (var (key, value) in add.Fields ?? [])
        {
            var path = $"{add.Section}[#0].{key}";
            if (DraftPath.Parse(path) is not { } at || at.Steps.Count <= place.Steps.Count + 1 || at.Steps[^1].IsEntry) return (null, DraftRefusals.NoPlace($"{add.Section}.{key}"));
            if (at.Shape is null) return (null, DraftRefusals.UnknownKey(at));
            if (string.IsNullOrWhiteSpace(value)) continue;
            if (DraftRefusals.Text(path, value) is { } problem) return (null, problem);
            if (!DraftRefusals.IsKey(at.Steps[^1].Name)) return (null, DraftRefusals.Key(at));
            var node = Node(value, at.Shape);
            Problem? refusal = null;
            entry = Change(entry, section.Entry, at, place.Steps.Count + 1, _ => node, ref refusal) ?? DraftTree.EmptyMap;
            if (refusal is not null) return (null, refusal);
        }
        return Change(root, place, _ => new ListNode(list.Place, [.. list.Items.Take(index), entry, .. list.Items.Skip(index)]));
    }

    private static (MapNode? Root, Problem? Problem) InList(MapNode root, string? section, string? entry, Action<List<DocumentNode>, int> change)
    {
        if (List(section) is not { } place || entry is null) return (null, DraftRefusals.NoPlace(section ?? ""));
        if (place.Find(root) is not ListNode list || DraftPath.IndexOf(list, entry) is not (var index and >= 0)) return (null, DraftRefusals.NoEntry(section!, entry));
        var items = list.Items.ToList();
        change(items, index);
        return Change(root, place, _ => new ListNode(list.Place, items));
    }

    private static DraftPath? List(string? section) => section is not null && DraftPath.Parse(section) is { Shape: ListShape } place ? place : null;

    private static (MapNode? Root, Problem? Problem) Change(MapNode root, DraftPath place, Func<DocumentNode?, DocumentNode?> leaf)
    {
        Problem? problem = null;
        var changed = Change(root, DocumentShape.Root, place, 0, leaf, ref problem);
        return problem is null ? ((MapNode?)changed ?? DraftTree.EmptyMap, null) : (null, problem);
    }

    /// <summary>The node with one place below it changed; null when nothing is left of it.</summary>
    private static DocumentNode? Change(DocumentNode? node, Shape? shape, DraftPath place, int depth, Func<DocumentNode?, DocumentNode?> leaf, ref Problem? problem)
    {
        if (depth == place.Steps.Count) return leaf(node);
        var step = place.Steps[depth];
        if (step.IsEntry)
        {
            if (node is not ListNode list || DraftPath.IndexOf(list, step.Name) is not (var index and >= 0))
            {
                problem = DraftRefusals.NoEntry(string.Concat(place.Steps.Take(depth).Select((s, i) => s.IsEntry ? $"[{s.Name}]" : i == 0 ? s.Name : "." + s.Name)), step.Name);
                return node;
            }
            var items = list.Items.ToList();
            items[index] = Change(items[index], (shape as ListShape)?.Entry, place, depth + 1, leaf, ref problem) ?? DraftTree.EmptyMap;
            return new ListNode(list.Place, items);
        }
        if (node is not (null or MapNode or TextNode { IsEmpty: true }))
        {
            problem = DraftRefusals.Occupied(place.Text);
            return node;
        }
        var map = node as MapNode ?? DraftTree.EmptyMap;
        var known = shape as MapShape;
        var at = map.Pairs.Select((p, i) => (p.Key.Text, i)).Where(p => p.Text == step.Name).Select(p => p.i).ToList();
        var value = Change(at.Count > 0 ? map.Pairs[at[0]].Value : null, known?.Find(step.Name)?.Shape, place, depth + 1, leaf, ref problem);
        var pairs = map.Pairs.Where((_, i) => at.Count == 0 || i == at[0] || !at.Contains(i)).ToList();
        if (at.Count > 0 && value is not null) pairs[at[0]] = (pairs[at[0]].Key, value);
        else if (at.Count > 0) pairs.RemoveAt(at[0]);
        else if (value is not null) pairs.Add((DraftTree.Text(step.Name), value));
        return known is not null ? DraftTree.InOrder(map.Place, pairs, known) : pairs.Count == 0 ? null : new MapNode(map.Place, pairs);
    }

    /// <summary>The value as the layout holds it; what is in the middle of being typed stays a text.</summary>
    private static DocumentNode Node(string value, Shape shape)
    {
        var text = value.ReplaceLineEndings("\n");
        if (shape is not (MapShape or ListShape or BandsShape or ColumnsShape or BandLevelShape or TextsShape or FileNamesShape or ChannelFilesShape or WordsShape or PairsShape or OwnWordsShape) || text.TrimStart() is not ['[' or '{', ..]) return DraftTree.Text(text);
        var problems = new DocumentProblems("");
        if (!DocumentText.IsReadable(text, problems)) return DraftTree.Text(text);
        var node = DocumentComposer.Compose(text, problems);
        if (node is null or TextNode || problems.AnyError) return DraftTree.Text(text);
        DraftReading.Refuse(node, problems);
        return problems.AnyError || DraftTree.IsDeep(node) ? DraftTree.Text(text) : DraftTree.Ordered(node, shape);
    }
}
