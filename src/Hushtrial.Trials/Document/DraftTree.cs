using System.Text.RegularExpressions;

namespace Hushtrial.Trials.Document;

/// <summary>The tree of a draft in its one order, and the way from it to text. Values stay as they were written, right or wrong.</summary>
internal static partial class DraftTree
{
    /// <summary>A value lies up to four steps down; the parser's limit for the whole is 16.</summary>
    private const int MostDepth = 8;

    public static MapNode EmptyMap { get; } = new(default, []);

    public static TextNode Text(string text) => new(default, text, text.Length == 0);

    /// <summary>The same tree with known keys in the order of the layout, unknown ones behind them, and without known keys that hold nothing.</summary>
    public static DocumentNode Ordered(DocumentNode node, Shape? shape) => node switch
    {
        TextNode text => text.IsEmpty ? text with { Text = "" } : text,
        ListNode list => new ListNode(list.Place, [.. list.Items.Select(i => Ordered(i, (shape as ListShape)?.Entry))]),
        MapNode map when shape is MapShape known => InOrder(map.Place, map.Pairs.Select(p => (Key(p.Key), Ordered(p.Value, known.Find(p.Key.Text)?.Shape))), known),
        MapNode map => new MapNode(map.Place, [.. map.Pairs.Select(p => (Key(p.Key), Ordered(p.Value, null)))]),
        _ => node,
    };

    /// <summary>A map of pairs that are in order themselves.</summary>
    public static MapNode InOrder(Place place, IEnumerable<(TextNode Key, DocumentNode Value)> pairs, MapShape shape) =>
        new(place, [.. pairs.Where(p => shape.Find(p.Key.Text) is not { } field || !HoldsNothing(p.Value, field)).OrderBy(p => shape.IndexOf(p.Key.Text) is var i and >= 0 ? i : int.MaxValue)]);

    /// <summary>The document as tidy text.</summary>
    public static string Write(MapNode root) => root.Pairs.Count == 0 ? "{}\n" : YamlText.Document(Map(root, DocumentShape.Root));

    /// <summary>A value on one line: a text as it is, a list or a map in brackets.</summary>
    public static string Raw(DocumentNode node) => node is TextNode text ? text.Text : Flow(node);

    public static string Flow(DocumentNode node) => node switch
    {
        TextNode text => PlainNumber().IsMatch(text.Text) ? text.Text : YamlText.Scalar(text.Text, inFlow: true),
        ListNode { Items.Count: > 0 } list => $"[{string.Join(", ", list.Items.Select(Flow))}]",
        MapNode { Pairs.Count: > 0 } map => $"{{ {string.Join(", ", map.Pairs.Select(p => $"{YamlText.Scalar(p.Key.Text, inFlow: true)}: {Flow(p.Value)}"))} }}",
        ListNode => "[]",
        _ => "{}",
    };

    /// <summary>Deeper than any value of the layout, so that the whole document would be refused for it.</summary>
    public static bool IsDeep(DocumentNode node, int depth = 0) => depth > MostDepth || node switch
    {
        ListNode list => list.Items.Any(i => IsDeep(i, depth + 1)),
        MapNode map => map.Pairs.Any(p => IsDeep(p.Value, depth + 1)),
        _ => false,
    };

    private static TextNode Key(TextNode key) => key.IsEmpty ? key with { Text = "" } : key;

    private static bool HoldsNothing(DocumentNode node, Field field) => node switch
    {
        TextNode text => text.IsEmpty,
        MapNode map => map.Pairs.Count == 0,
        ListNode list => list.Items.Count == 0 && !(field.Required && field.Shape is ListShape),
        _ => false,
    };

    private static YamlMap Map(MapNode map, MapShape? shape)
    {
        var result = new YamlMap();
        foreach (var (key, value) in map.Pairs)
            result.Pairs.Add((key.Text, Value(value, shape?.Find(key.Text)?.Shape), key.Text != "devices"));
        return result;
    }

    private static object Value(DocumentNode node, Shape? shape) => (node, shape) switch
    {
        (MapNode { Pairs.Count: > 0 } map, MapShape known) => Map(map, known),
        (MapNode { Pairs.Count: > 0 } map, OwnWordsShape) when map.Pairs.All(p => p.Value is TextNode) => Map(map, null),
        (ListNode { Items.Count: > 0 } list, ListShape entries) when list.Items.All(i => i is MapNode) => list.Items.Cast<MapNode>().Select(i => Map(i, entries.Entry)).ToList(),
        (TextNode text, NumberShape or SpanShape or ClockShape) when PlainNumber().IsMatch(text.Text) => new YamlFlow(text.Text),
        (TextNode text, _) => text.Text,
        _ => new YamlFlow(Flow(node)),
    };

    /// <summary>Numbers and times that mean the same with and without quotes.</summary>
    [GeneratedRegex(@"^-?[0-9]+(?:[.:][0-9]+)*\z", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex PlainNumber();
}
