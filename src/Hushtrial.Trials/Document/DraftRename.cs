using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>Gives an entry another identity and follows every reference to it.</summary>
internal static class DraftRename
{
    public static (MapNode? Root, Problem? Problem) Apply(MapNode root, DraftEdit.Rename rename)
    {
        var (section, from, to) = (rename.Section, rename.Id, rename.NewId);
        if (section is null || from is null || DraftPath.Parse(section) is not { Shape: ListShape { Entry: var shape } } place || shape.Find("id") is null) return (null, DraftRefusals.NoPlace(section ?? ""));
        var list = place.Find(root) as ListNode ?? new ListNode(default, []);
        var index = DraftPath.IndexOf(list, from);
        var old = index < 0 ? from : DraftPath.IdOf(list.Items[index]);
        // A fit needs no entry: takes name it.
        var named = section == "fits" ? References(root, DocumentShape.Root, section).ToHashSet(StringComparer.OrdinalIgnoreCase) : [];
        if (index < 0 && !(old is not null && named.Contains(old))) return (null, DraftRefusals.NoEntry(section, from));
        var problems = new DocumentProblems($"{section}[{from}]");
        if (to is null || ScalarReading.Read(new IdentityShape(), new TextNode(new Place(1, 1), to, to.Length == 0), "", problems) is null)
            return (null, DraftRefusals.NoName($"{section}[{from}]", to ?? "", problems));
        if (to == old) return (root, null);
        if (list.Items.Where((_, i) => i != index).Any(i => string.Equals(DraftPath.IdOf(i), to, StringComparison.OrdinalIgnoreCase))
            || (section == "conditions" && to.Equals(TrialDocument.OpenEar, StringComparison.OrdinalIgnoreCase))
            || (!to.Equals(old, StringComparison.OrdinalIgnoreCase) && named.Contains(to)))
            return (null, DraftRefusals.Taken(section, to));
        var renamed = (MapNode)(old is null ? root : Follow(root, DocumentShape.Root, section, old, to));
        if (index < 0) return (renamed, null);
        var result = DraftChange.Apply(new TrialDraft(renamed, ""), new DraftEdit.Set(FormattableString.Invariant($"{section}[#{index}].id"), to));
        return (result.Draft?.Root, result.Problem);
    }

    private static DocumentNode Follow(DocumentNode node, Shape? shape, string section, string from, string to) => (node, shape) switch
    {
        (TextNode text, ReferenceShape reference) when reference.Section == section && text.Text == from && !(reference.OrOpen && from == TrialDocument.OpenEar) => text with { Text = to },
        (MapNode map, MapShape known) => new MapNode(map.Place, [.. map.Pairs.Select(p => (p.Key, Follow(p.Value, known.Find(p.Key.Text)?.Shape, section, from, to)))]),
        (ListNode list, ListShape entries) => new ListNode(list.Place, [.. list.Items.Select(i => Follow(i, entries.Entry, section, from, to))]),
        (ListNode list, PairsShape) when section == "conditions" => new ListNode(list.Place, [.. list.Items.Select(p => p is ListNode pair
            ? new ListNode(pair.Place, [.. pair.Items.Select(m => m is TextNode text && text.Text == from ? text with { Text = to } : m)]) : p)]),
        _ => node,
    };

    private static IEnumerable<string> References(DocumentNode node, Shape? shape, string section) => (node, shape) switch
    {
        (TextNode text, ReferenceShape reference) when reference.Section == section => [text.Text],
        (MapNode map, MapShape known) => map.Pairs.SelectMany(p => References(p.Value, known.Find(p.Key.Text)?.Shape, section)),
        (ListNode list, ListShape entries) => list.Items.SelectMany(i => References(i, entries.Entry, section)),
        _ => [],
    };
}
