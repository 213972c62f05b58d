using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>Holds the document against its shape and collects everything that does not fit.</summary>
internal sealed class Binder(DocumentProblems problems)
{
    /// <summary>Every reference met, to be resolved when all identities are known.</summary>
    public List<(BoundMap Map, string Key, ReferenceShape Shape)> References { get; } = [];

    /// <summary>Lists of which an entry could not be read as far as its identity: what refers to them is not judged.</summary>
    public HashSet<string> Incomplete { get; } = new(StringComparer.Ordinal);

    /// <summary>The map as far as it fits; null when there is no map.</summary>
    public BoundMap? Map(DocumentNode node, MapShape shape, string path)
    {
        if (node is not MapNode map)
        {
            var hint = node is TextNode { Text: var text } && LooksLikePair(text) ? "Put a space after the colon: 'key: value'."
                : node is ListNode ? "Remove the '- ' in front: there is one of it." : "Write its keys below it, indented by two spaces.";
            problems.Error("DOC-013", node.Place, path, $"{Describe(node)} for {shape.Title}", "'key: value' lines", hint);
            return null;
        }
        var bound = new BoundMap(map.Place, path);
        var seen = new Dictionary<string, Place>(StringComparer.Ordinal);
        var mistyped = new HashSet<string>(StringComparer.Ordinal);
        DocumentNode? previous = null;
        foreach (var (key, value) in map.Pairs)
        {
            if (!seen.TryAdd(key.Text, key.Place))
            {
                problems.Error("DOC-011", key.Place, path, $"the key '{key.Text}' for the second time in {shape.Title}",
                    string.Create(CultureInfo.InvariantCulture, $"each key once; it is already in line {seen[key.Text].Line}"), "Remove one of the two.");
                bound.AddFaulty(key.Text);
            }
            else if (shape.Find(key.Text) is not { } field)
                Unknown(key, value, previous, shape, path, mistyped);
            else if (!IsEmpty(value))
                Bind(bound, field, value, shape);
            previous = value;
        }
        foreach (var key in mistyped.Where(k => !bound.Has(k))) bound.AddFaulty(key);
        foreach (var field in shape.Fields.Where(f => f.Required && !bound.Has(f.Key)))
        {
            problems.Error("DOC-012", seen.GetValueOrDefault(field.Key, map.Place), path, $"no '{field.Key}' in {shape.Title}",
                $"'{field.Key}': {(field.Shape is WordShape words ? DocumentProblems.OneOf(words.Words) : char.ToLowerInvariant(field.Meaning[0]) + field.Meaning[1..].TrimEnd('.'))}", $"Add '{field.Key}: {Example(field.Shape)}'.", field.Key);
            bound.AddFaulty(field.Key);
        }
        return bound;
    }

    private void Bind(BoundMap map, Field field, DocumentNode node, MapShape owner)
    {
        var path = map.PathTo(field.Key);
        var value = field.Shape switch
        {
            MapShape shape => Map(node, shape, path),
            ListShape shape => List(node, shape, field.Key, path),
            BandsShape shape => Bands(node, shape, path),
            ColumnsShape => Columns(node, path),
            TextsShape => Texts(node, path),
            FileNamesShape => FileNames(node, path),
            ChannelFilesShape => ChannelFiles(node, path),
            WordsShape shape => Words(node, shape, path),
            PairsShape => Pairs(node, path),
            OwnWordsShape => OwnWords(node, owner, path),
            _ when node is TextNode text => ScalarReading.Read(field.Shape, text, path, problems),
            _ => NotOneValue(node, path),
        };
        if (value is null)
        {
            map.AddFaulty(field.Key);
            if (field.Shape is ListShape) Incomplete.Add(field.Key);
            return;
        }
        map.Add(field.Key, new Bound(node.Place, value is List<string> several ? string.Join(", ", several) : (node as TextNode)?.Text.Trim() ?? "", value));
        if (field.Shape is ReferenceShape reference) References.Add((map, field.Key, reference));
    }

    private List<BoundMap>? List(DocumentNode node, ListShape shape, string section, string path)
    {
        if (node is not ListNode list)
        {
            problems.Error("DOC-013", node.Place, path, $"{Describe(node)} for a list", $"a list, one '- ' for {shape.Entry.Title}", "Put '- ' in front of every entry, even if there is but one.");
            return null;
        }
        if (list.Items.Count < shape.Least)
            problems.Error("DOC-016", node.Place, path, "an empty list", $"at least {shape.Entry.Title}", "Add one.");
        var entries = new List<BoundMap>();
        var number = 0;
        foreach (var item in list.Items)
        {
            number++;
            var name = item is MapNode map && map.Pairs.FirstOrDefault(p => p.Key.Text == "id").Value is TextNode { IsEmpty: false } id ? id.Text
                : string.Create(CultureInfo.InvariantCulture, $"entry {number}");
            if (IsEmpty(item))
                problems.Error("DOC-016", item.Place, path, "an empty entry", shape.Entry.Title, "Remove the '- ' or fill the entry in.");
            else if (Map(item, shape.Entry, $"{path}, {name}") is { } entry)
            {
                entries.Add(entry);
                if (entry.IsFaulty("id") || !entry.Has("id")) Incomplete.Add(section);
                continue;
            }
            Incomplete.Add(section);
        }
        return entries;
    }

    private List<BandValue>? Bands(DocumentNode node, BandsShape shape, string path)
    {
        if (node is not MapNode map)
        {
            problems.Error("DOC-013", node.Place, path, $"{Describe(node)} for bands", "a map of frequencies", $"Write it like {{ 125: {(shape.WithDeviation ? "[14.2, 3.1]" : "95.5")} }}.");
            return null;
        }
        var value = new NumberShape(shape.Least, shape.Most, "dB");
        var deviation = new NumberShape(0, 30, "dB");
        var bands = new List<BandValue>();
        var midbands = new HashSet<double>();
        var complete = true;
        foreach (var (key, band) in map.Pairs)
        {
            var bandPath = $"{path}, {key.Text}";
            if (ScalarReading.Number(new NumberShape(10, 40_000, "Hz"), key, path, problems) is not double hertz) { complete = false; continue; }
            if (!midbands.Add(hertz))
            {
                problems.Error("DOC-011", key.Place, path, $"the band '{key.Text}' for the second time", "each band once", "Remove one of the two.");
                complete = false;
                continue;
            }
            if (band is TextNode { IsEmpty: false } text)
            {
                if (ScalarReading.Number(value, text, bandPath, problems) is double level) bands.Add(new BandValue(hertz, level, null, key.Place));
                else complete = false;
                continue;
            }
            var good = complete;
            complete = false;
            if (shape.WithDeviation && band is ListNode { Items: [TextNode { IsEmpty: false } first, TextNode { IsEmpty: false } second] })
            {
                var mean = ScalarReading.Number(value, first, bandPath, problems);
                if (ScalarReading.Number(deviation, second, bandPath, problems) is not double spread || mean is not double m) continue;
                bands.Add(new BandValue(hertz, m, spread, key.Place));
                complete = good;
            }
            else
                problems.Error("DOC-013", band.Place, bandPath, $"{Describe(band)} for a band", shape.WithDeviation ? "a number, or [mean, standard deviation]" : "a number",
                    shape.WithDeviation ? "Write it like [14.2, 3.1]." : "Write the level alone.");
        }
        return complete ? bands : null;
    }

    private Dictionary<int, ColumnRole>? Columns(DocumentNode node, string path)
    {
        if (node is not MapNode map)
        {
            problems.Error("DOC-013", node.Place, path, $"{Describe(node)} for columns", "a map of column numbers to roles", "Write it like { 1: time, 2: LAeq }; 'hushtrial log' prints it.");
            return null;
        }
        var roles = new Dictionary<int, ColumnRole>();
        var complete = true;
        foreach (var (key, value) in map.Pairs)
        {
            if (ScalarReading.Number(new NumberShape(1, ColumnsShape.Most, "", Whole: true), key, path, problems) is not double number) complete = false;
            else if (ColumnRole.FromWord((value as TextNode)?.Text.Trim() ?? "") is not { } role)
            {
                var word = (value as TextNode)?.Text ?? "";
                problems.Error("DOC-111", value.Place, $"{path}, {key.Text}", value is TextNode ? $"{DocumentProblems.Quote(word)}, an unknown role" : Describe(value), $"{DocumentProblems.OneOf(ColumnRole.Words)}; or a level such as LAeq, LAFmax, LCpeak, LAF90, LZeq 125 Hz third",
                    DocumentProblems.DidYouMean(word, [.. ColumnRole.Words, "LAeq", "LCeq", "LZeq", "LAFmax", "LAFmin", "LCpeak", "LAE", "LAF", "LAS"], "A band has its frequency and its width: LZeq 125 Hz octave."));
                complete = false;
            }
            else if (!roles.TryAdd((int)number, role))
            {
                problems.Error("DOC-011", key.Place, path, $"the column '{key.Text}' for the second time", "each column once", "Remove one of the two.");
                complete = false;
            }
        }
        return complete ? roles : null;
    }

    private List<string>? Texts(DocumentNode node, string path)
    {
        if (node is TextNode one) return [one.Text.Trim()];
        if (node is ListNode list && list.Items.All(i => i is TextNode { IsEmpty: false }))
            return [.. list.Items.Cast<TextNode>().Select(t => t.Text.Trim())];
        problems.Error("DOC-013", node.Place, path, Describe(node), "a text or a list of texts", "Write it like spectacles, or [spectacles, cap].");
        return null;
    }

    /// <summary>One file or several in order.</summary>
    private List<string>? FileNames(DocumentNode node, string path)
    {
        var names = node switch { TextNode one => [one], ListNode { Items.Count: > 0 } list when list.Items.All(i => i is TextNode { IsEmpty: false }) => list.Items.Cast<TextNode>().ToList(), _ => null };
        if (names is null)
        {
            problems.Error("DOC-013", node.Place, path, Describe(node), "a list of files in order", "Write it like [f1-1.wav, f1-2.wav].");
            return null;
        }
        var shape = new FileNameShape();
        var read = names.ConvertAll(n => ScalarReading.Read(shape, n, path, problems) as string);
        return read.Contains(null) ? null : [.. read.OfType<string>()];
    }

    private List<TrackFiles>? ChannelFiles(DocumentNode node, string path)
    {
        if (node is not MapNode { Pairs.Count: > 0 } map)
        {
            problems.Error("DOC-013", node.Place, path, $"{Describe(node)} for files of channels", "a map of channel numbers to files", "Write it like { 1: left.wav, 2: right.wav }.");
            return null;
        }
        var tracks = new List<TrackFiles>();
        var complete = true;
        foreach (var (key, value) in map.Pairs)
        {
            var names = FileNames(value, $"{path}, {key.Text}");
            if (ScalarReading.Number(new NumberShape(1, ChannelFilesShape.MostChannels, "", Whole: true), key, path, problems) is not double number || names is null) complete = false;
            else if (tracks.Exists(t => t.Number == (int)number))
            {
                problems.Error("DOC-011", key.Place, path, $"the channel '{key.Text}' for the second time", "each channel once", "Remove one of the two, or write its parts as a list.");
                complete = false;
            }
            else tracks.Add(new((int)number, names));
        }
        return complete ? [.. tracks.OrderBy(t => t.Number)] : null;
    }

    private List<string>? Words(DocumentNode node, WordsShape shape, string path)
    {
        if (node is MapNode || (node is ListNode { Items: var items } && !items.All(i => i is TextNode { IsEmpty: false })))
        {
            problems.Error("DOC-013", node.Place, path, Describe(node), "one word or a list of words", $"Write it like [{string.Join(", ", shape.Words.Take(2))}].");
            return null;
        }
        var nodes = node is ListNode list ? list.Items.Cast<TextNode>()
            : ((TextNode)node).Text.Split(',', StringSplitOptions.TrimEntries).Select(t => new TextNode(node.Place, t, t.Length == 0));
        var single = new WordShape(shape.Choices);
        var words = nodes.Select(n => ScalarReading.Read(single, n, path, problems) as string).ToList();
        return words.Contains(null) ? null : [.. words.OfType<string>().Distinct(StringComparer.Ordinal)];
    }

    private List<(TextNode First, TextNode Second)>? Pairs(DocumentNode node, string path)
    {
        if (node is TextNode { Text: "all" }) return [];
        if (node is ListNode { Items.Count: > 0 } list && list.Items.All(i => i is ListNode { Items: [TextNode { IsEmpty: false }, TextNode { IsEmpty: false }] }))
            return [.. list.Items.Cast<ListNode>().Select(p => ((TextNode)p.Items[0], (TextNode)p.Items[1]))];
        problems.Error("DOC-035", node.Place, path, $"{Describe(node)} for the pairs to compare", "all, or a list of pairs", "Write it like [[birch-active, cedar-active], [alder, birch-passive]].");
        return null;
    }

    private List<KeyValuePair<string, string>>? OwnWords(DocumentNode node, MapShape owner, string path)
    {
        if (node is not MapNode map)
        {
            problems.Error("DOC-013", node.Place, path, $"{Describe(node)} for names and texts of your own", "'name: text' lines", "Write it like other: { colour of the cups: green }.");
            return null;
        }
        var words = new List<KeyValuePair<string, string>>();
        var names = new HashSet<string>(StringComparer.Ordinal);
        var complete = true;
        foreach (var (key, value) in map.Pairs)
        {
            if (owner.Find(key.Text.Trim()) is not null)
                problems.Error("DOC-017", key.Place, path, $"the known key '{key.Text}' below '{DocumentShape.Other}'", "only names of your own there", "Move it one step up, out of 'other'.");
            else if (!names.Add(key.Text.Trim()))
                problems.Error("DOC-011", key.Place, path, $"the key '{key.Text}' for the second time", "each key once", "Remove one of the two.");
            else if (value is not TextNode text)
                problems.Error("DOC-013", value.Place, path, $"{Describe(value)} for '{key.Text}'", "a text", "Write the text on one line.");
            else if (key.Text.Length > 80 || text.Text.Length > TextShape.MostCharacters)
                problems.Error("DOC-033", key.Place, path, "a text too long", string.Create(CultureInfo.InvariantCulture, $"names up to 80 and texts up to {TextShape.MostCharacters} characters"), "Keep the long text in a file of its own and name it here.");
            else
            {
                if (!text.IsEmpty && !key.IsEmpty) words.Add(new(key.Text.Trim(), text.Text.Trim()));
                continue;
            }
            complete = false;
        }
        return complete ? words : null;
    }

    private object? NotOneValue(DocumentNode node, string path)
    {
        problems.Error("DOC-013", node.Place, path, Describe(node), "a single value", "Text that begins with '[' or '{' needs quotes.");
        return null;
    }

    private void Unknown(TextNode key, DocumentNode value, DocumentNode? previous, MapShape shape, string path, HashSet<string> mistyped)
    {
        var near = problems.IsFull ? null : KnownWords.Nearest(key.Text.Split(':')[0], shape.Keys);
        if (near is not null) mistyped.Add(near);
        var remedy =
            LooksLikePair(key.Text) && IsEmpty(value) ? "Put a space after the colon: 'key: value'."
            : IsEmpty(value) && key.Text.Length > 0 && key.Text.All(char.IsAsciiDigit) && previous is TextNode before && double.TryParse(before.Text, CultureInfo.InvariantCulture, out _)
                ? $"Write {before.Text}.{key.Text} with a decimal point: a comma separates entries."
            : near is not null ? $"Did you mean '{near}'?"
            : shape.Find(DocumentShape.Other) is not null ? $"Put names of your own below '{DocumentShape.Other}:'." : "Remove it, or put the text into 'remarks'.";
        problems.Error("DOC-010", key.Place, path, $"the unknown key {DocumentProblems.Quote(key.Text)} in {shape.Title}", DocumentProblems.OneOf(shape.Keys), remedy, key.Text);
    }

    private static bool LooksLikePair(string text) => text.IndexOf(':', StringComparison.Ordinal) is > 0 and < 30 and var at && text[..at].All(c => char.IsLetter(c) || c is '_' or '-');

    private static bool IsEmpty(DocumentNode node) => node is TextNode { IsEmpty: true };

    private static string Describe(DocumentNode node) => node switch
    {
        TextNode { IsEmpty: true } => "nothing",
        TextNode text => $"the text {DocumentProblems.Quote(text.Text)}",
        ListNode => "a list",
        _ => "a map of keys",
    };

    private static string Example(Shape shape) => shape switch
    {
        WordShape words => words.Words[0],
        NumberShape number => number.Least.ToString(CultureInfo.InvariantCulture),
        ListShape => "…",
        MapShape => "…",
        SpanShape => "0:12",
        IdentityShape => "a-short-name",
        FileNameShape => "flight-1.wav",
        FileNamesShape => "[f1-1.wav, f1-2.wav]",
        ColumnsShape => "{ 1: time, 2: LAeq }",
        PatternShape pattern => pattern.Example,
        _ => "…",
    };
}
