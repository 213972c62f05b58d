using System.Globalization;

namespace Hushtrial.Trials.Document;

/// <summary>One step down a draft: to a key of a map, or to an entry of a list by its identity or as '#ordinal'.</summary>
internal readonly record struct DraftStep(string Name, bool IsEntry);

/// <summary>A place in a draft, 'devices[alder].published.bands': the steps there and what the layout holds there.</summary>
/// <param name="Text">As given.</param>
/// <param name="Steps">From the root.</param>
/// <param name="Shape">What may stand there; null for a key that the layout does not know.</param>
/// <param name="Owner">The map that holds the last key; null when the last step is to an entry.</param>
internal sealed record DraftPath(string Text, IReadOnlyList<DraftStep> Steps, Shape? Shape, MapShape? Owner)
{
    /// <summary>The way to a place, or null when the words cannot lead anywhere.</summary>
    public static DraftPath? Parse(string path)
    {
        var steps = new List<DraftStep>();
        Shape? shape = DocumentShape.Root;
        MapShape? owner = null;
        for (var rest = path.AsSpan(); ;)
        {
            if (shape is ListShape list && rest.StartsWith("["))
            {
                var end = rest.IndexOf(']');
                if (end < 2) return null;
                steps.Add(new(rest[1..end].ToString(), IsEntry: true));
                (shape, owner) = (list.Entry, null);
                rest = rest[(end + 1)..];
            }
            else if (rest.Length == 0)
            {
                return new(path, steps, shape, owner);
            }
            else if (steps.Count > 0 && rest[0] != '.')
            {
                return null;
            }
            else
            {
                if (steps.Count > 0) rest = rest[1..];
                if (rest.Length == 0) return null;
                var end = rest.IndexOfAny('.', '[');
                var key = end < 0 ? rest.ToString() : rest[..end].ToString();
                switch (shape)
                {
                    case MapShape map when map.Find(key) is { } field:
                        (shape, owner) = (field.Shape, map);
                        break;
                    // A name of one's own, a band or an unknown key may hold dots: it is all the rest.
                    case MapShape map:
                        return new(path, [.. steps, new(rest.ToString(), IsEntry: false)], null, map);
                    case OwnWordsShape:
                        return new(path, [.. steps, new(rest.ToString(), IsEntry: false)], new TextShape(), null);
                    case BandsShape bands:
                        return new(path, [.. steps, new(rest.ToString(), IsEntry: false)], bands.WithDeviation ? new BandLevelShape() : new NumberShape(bands.Least, bands.Most, "dB"), null);
                    case ColumnsShape:
                        return new(path, [.. steps, new(rest.ToString(), IsEntry: false)], new TextShape(), null);
                    default:
                        return null;
                }
                steps.Add(new(key, IsEntry: false));
                rest = rest[key.Length..];
            }
        }
    }

    /// <summary>The node there, or null when there is none.</summary>
    public DocumentNode? Find(DocumentNode root)
    {
        DocumentNode? node = root;
        foreach (var step in Steps)
            node = node switch
            {
                MapNode map when !step.IsEntry => map.Pairs.FirstOrDefault(p => p.Key.Text == step.Name).Value,
                ListNode list when step.IsEntry && IndexOf(list, step.Name) is var i and >= 0 => list.Items[i],
                _ => null,
            };
        return node;
    }

    /// <summary>Index of the entry that a name or '#ordinal' leads to; -1 when none.</summary>
    public static int IndexOf(ListNode list, string entry)
    {
        if (entry.StartsWith('#'))
            return int.TryParse(entry.AsSpan(1), NumberStyles.None, CultureInfo.InvariantCulture, out var ordinal) && ordinal < list.Items.Count ? ordinal : -1;
        for (var i = 0; i < list.Items.Count; i++)
            if (IdOf(list.Items[i]) == entry) return i;
        return -1;
    }

    /// <summary>Name by which an entry is found: its identity, or '#ordinal' when it has none, one that brackets cannot hold, or one that an earlier entry has.</summary>
    public static string NameOf(ListNode list, int index) => IdOf(list.Items[index]) is { } id && !id.StartsWith('#') && !id.Contains('[', StringComparison.Ordinal)
        && !id.Contains(']', StringComparison.Ordinal) && IndexOf(list, id) == index ? id : string.Create(CultureInfo.InvariantCulture, $"#{index}");

    /// <summary>The identity as written; null when none is.</summary>
    public static string? IdOf(DocumentNode node) => node is MapNode map && map.Pairs.FirstOrDefault(p => p.Key.Text == "id").Value is TextNode { IsEmpty: false } id ? id.Text : null;
}

/// <summary>The value of one published band: a number, or mean and standard deviation in brackets.</summary>
internal sealed record BandLevelShape : Shape;
