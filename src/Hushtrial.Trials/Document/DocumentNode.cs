using YamlDotNet.Core;
using YamlDotNet.Core.Events;

namespace Hushtrial.Trials.Document;

/// <summary>The document as written: maps, lists and texts, each with its place. Nothing is interpreted yet; '0:12' is a text.</summary>
internal abstract record DocumentNode(Place Place);

/// <summary>A single value. Empty: nothing was written, or null.</summary>
internal sealed record TextNode(Place Place, string Text, bool IsEmpty) : DocumentNode(Place);

internal sealed record ListNode(Place Place, IReadOnlyList<DocumentNode> Items) : DocumentNode(Place);

/// <summary>Pairs in the order written; a key written twice is still there twice.</summary>
internal sealed record MapNode(Place Place, IReadOnlyList<(TextNode Key, DocumentNode Value)> Pairs) : DocumentNode(Place);

/// <summary>Composes the nodes from the parser's events. The parser's own node model throws at the first duplicate key and follows
/// aliases; from the events all of them can be collected.</summary>
internal sealed class DocumentComposer
{
    /// <summary>The deepest place of a real document is at six (devices, device, published, claims, claim, value).</summary>
    private const int MostDepth = 16;

    private readonly Parser _parser;
    private readonly DocumentProblems _problems;
    private Place _last = new(1, 1);

    private DocumentComposer(string text, DocumentProblems problems) => (_parser, _problems) = (new Parser(new StringReader(text)), problems);

    /// <summary>The root of the one document in the text, or null with the reasons collected.</summary>
    public static DocumentNode? Compose(string text, DocumentProblems problems)
    {
        var composer = new DocumentComposer(DocumentText.WithoutStrayTabs(text), problems);
        // The parser (18.1.0) takes a minute over a line that begins so and is no directive.
        if (UnknownDirective(text) is { } line)
        {
            composer.Syntax(new Place(line, 1), "cannot start any token");
            return null;
        }
        try
        {
            return composer.Document();
        }
        catch (YamlException e)
        {
            var place = PlaceOf(e.Start);
            composer.Syntax(place.CompareTo(composer._last) < 0 ? composer._last : place, e.Message);
        }
        catch (InvalidOperationException)
        {
            // The parser (18.1.0) ends so on a bracket that is not closed before the next key.
            composer.Syntax(composer._last, "a '[' or '{' that is not closed");
        }
        return null;
    }

    /// <summary>Line, from 1, of the first '%' at the start of a line that is neither a version nor a tag directive; null without one.</summary>
    private static int? UnknownDirective(string text)
    {
        var line = 1;
        foreach (var written in text.AsSpan().EnumerateLines())
        {
            if (written.StartsWith("%", StringComparison.Ordinal) && !written.StartsWith("%YAML ", StringComparison.Ordinal) && !written.StartsWith("%TAG ", StringComparison.Ordinal)) return line;
            line++;
        }
        return null;
    }

    private DocumentNode? Document()
    {
        Next();
        if (Next() is not DocumentStart)
        {
            _problems.Error("DOC-008", new Place(1, 1), "", "an empty file", "a trial document", "'hushtrial new FOLDER' writes one with every field explained.");
            return null;
        }
        Next();
        var root = Node(0);
        Next();
        if (Next() is DocumentStart second)
        {
            _problems.Error("DOC-006", PlaceOf(second.Start), "", "a second document in the same file (after '---' or '...')", "one document",
                "Give every trial a folder and a file of its own.");
            return null;
        }
        return root;
    }

    /// <summary>The node that begins at the current event.</summary>
    private DocumentNode? Node(int depth)
    {
        // The parser (18.1.0) ends without an error behind some empty keys, and leaves the map open.
        if (_parser.Current is null) throw new YamlException("a ':' without a key");
        var place = PlaceOf(_parser.Current.Start);
        if (depth > MostDepth) throw new SemanticErrorException(_parser.Current.Start, _parser.Current.End, "brackets inside brackets, far too many");
        Refuse(_parser.Current, place);
        switch (_parser.Current)
        {
            case Scalar scalar:
                var plain = scalar.Style == ScalarStyle.Plain;
                return new TextNode(place, scalar.Value, scalar.Value.Length == 0 || (plain && scalar.Value is "~" or "null" or "Null" or "NULL"));
            case SequenceStart:
                var items = new List<DocumentNode>();
                while (Next() is not SequenceEnd)
                    if (Node(depth + 1) is { } item) items.Add(item);
                return new ListNode(place, items);
            case MappingStart:
                var pairs = new List<(TextNode, DocumentNode)>();
                while (Next() is not MappingEnd)
                {
                    var keyPlace = _parser.Current is { } first ? PlaceOf(first.Start) : _last;
                    var key = Node(depth + 1);
                    Next();
                    var value = Node(depth + 1);
                    if (key is TextNode { Text: "<<" })
                        _problems.Error("DOC-007", keyPlace, "", "a merge key '<<'", "every value written where it belongs", "Write the values out.");
                    else if (key is not TextNode)
                        _problems.Error("DOC-014", keyPlace, "", "a list or a map as a key", "a word as a key", "Put text that begins with '[' or '{' in quotes.");
                    else if (value is not null)
                        pairs.Add(((TextNode)key, value));
                }
                return new MapNode(place, pairs);
            default:
                return null;
        }
    }

    /// <summary>Anchors, aliases and tags: a few lines of aliases can stand for gigabytes, and a reader cannot see the values.</summary>
    private void Refuse(ParsingEvent current, Place place)
    {
        if (current is AnchorAlias alias)
            _problems.Error("DOC-007", place, "", $"an alias '*{alias.Value}'", "every value written where it belongs", "Write the value out; put text that begins with '*' in quotes.");
        if (current is not NodeEvent node) return;
        if (!node.Anchor.IsEmpty)
            _problems.Error("DOC-007", place, "", $"an anchor '&{node.Anchor.Value}'", "every value written where it belongs", "Remove it; put text that begins with '&' in quotes.");
        if (!node.Tag.IsEmpty)
            _problems.Error("DOC-007", place, "", "a tag that begins with '!'", "plain values", "Remove it; put text that begins with '!' in quotes.");
    }

    private ParsingEvent? Next()
    {
        if (!_parser.MoveNext()) return null;
        _last = PlaceOf(_parser.Current!.Start);
        return _parser.Current;
    }

    private void Syntax(Place place, string reason) => _problems.Error("DOC-005", place, "", $"the layout breaks off here ({Plain(reason)})",
        "'key: value' lines, lists of '- ' lines, and brackets and quotes that are closed",
        "Look at this line and the one above: a bracket or quote left open, an indentation unlike its neighbours', or text with ': ' or ' #' in it that needs quotes.");

    private static string Plain(string reason) => reason.Contains("invalid mapping", StringComparison.Ordinal) ? "a ': ' inside a text, or an indented line below a value"
        : reason.Contains("cannot start any token", StringComparison.Ordinal) ? "a text that begins with '@', '`' or '%' needs quotes"
        : reason.Contains("unknown escape", StringComparison.Ordinal) ? "a backslash inside double quotes"
        : reason.Contains("quoted scalar", StringComparison.Ordinal) ? "a quote that is not closed"
        : reason.Contains("flow", StringComparison.Ordinal) ? "a '[' or '{' that is not closed, or a missing comma"
        : reason.Contains("expected key", StringComparison.Ordinal) ? "this is not a 'key: value' at the indentation of its neighbours"
        : reason.Contains("block collection", StringComparison.Ordinal) ? "this is not a '- ' at the indentation of its neighbours"
        : reason.Contains("sequence entries", StringComparison.Ordinal) ? "a list begins on the line below its key"
        : reason.TrimEnd('.');

    private static Place PlaceOf(Mark mark) => new((int)mark.Line, (int)mark.Column);
}
