namespace Hushtrial.Trials.Document;

/// <summary>What a field holds, for the form that asks for it.</summary>
public enum LayoutKind
{
    /// <summary>A short text.</summary>
    Text,

    /// <summary>A text of several lines.</summary>
    LongText,

    /// <summary>A number; Least, Most, Unit and Whole say which.</summary>
    Number,

    /// <summary>One of Choices.</summary>
    Word,

    /// <summary>One or several of Choices: '[eu, niosh]'.</summary>
    Words,

    /// <summary>yes or no.</summary>
    YesNo,

    /// <summary>2026-05-14, or 2026-05-14 to 2026-05-16.</summary>
    Date,

    /// <summary>A time of day: h:mm or h:mm:ss.</summary>
    Clock,

    /// <summary>A time in a recording: seconds, m:ss or h:mm:ss.</summary>
    Span,

    /// <summary>The identity of an entry of Section; with OrOpen also 'open'.</summary>
    Reference,

    /// <summary>The name by which others refer to the entry.</summary>
    Identity,

    /// <summary>passive, active or another mode of the device.</summary>
    Mode,

    /// <summary>A file beside the document.</summary>
    File,

    /// <summary>Levels by midband frequency: '{ 125: 14.2 }', with WithDeviation also '{ 125: [14.2, 3.1] }'.</summary>
    Bands,

    /// <summary>Words by number: roles of columns '{ 1: time, 2: LAeq }', files of channels '{ 1: left.wav, 2: right.wav }'.</summary>
    Columns,

    /// <summary>One text or several: '[spectacles, cap]'.</summary>
    Texts,

    /// <summary>'all', or pairs of conditions: '[[a, b], [a, c]]'.</summary>
    Pairs,

    /// <summary>Names and texts of one's own.</summary>
    Own,

    /// <summary>Keys of its own, in Children.</summary>
    Group,

    /// <summary>A list of entries whose keys are in Children (the claims of a device).</summary>
    Entries,
}

/// <summary>A word that a field may hold, and what it means.</summary>
public sealed record LayoutChoice(string Word, string Meaning);

/// <summary>A key of the document, as a form shows it.</summary>
/// <param name="Key">As in the document.</param>
/// <param name="Meaning">One or two sentences for people.</param>
/// <param name="Kind">What it holds.</param>
/// <param name="Required">Whether a readable trial needs it.</param>
public sealed record LayoutField(string Key, string Meaning, LayoutKind Kind, bool Required)
{
    /// <summary>Smallest number; null for other kinds.</summary>
    public double? Least { get; init; }

    /// <summary>Largest number; null for other kinds.</summary>
    public double? Most { get; init; }

    /// <summary>Unit of the number, "" when it has none.</summary>
    public string Unit { get; init; } = "";

    /// <summary>Whether the number is a whole one.</summary>
    public bool Whole { get; init; }

    /// <summary>Most characters of a text or name; null for other kinds.</summary>
    public int? MostCharacters { get; init; }

    /// <summary>The words it may hold.</summary>
    public IReadOnlyList<LayoutChoice> Choices { get; init; } = [];

    /// <summary>The section that a reference leads to; null for other kinds.</summary>
    public string? Section { get; init; }

    /// <summary>Whether the reference may be 'open', the open ear.</summary>
    public bool OrOpen { get; init; }

    /// <summary>Whether bands may have a standard deviation each.</summary>
    public bool WithDeviation { get; init; }

    /// <summary>The keys inside it.</summary>
    public IReadOnlyList<LayoutField> Children { get; init; } = [];
}

/// <summary>A section of the document: a map of fields, or a list of entries with these fields.</summary>
/// <param name="Key">As in the document.</param>
/// <param name="Title">What one of it is: 'a device', 'the measuring chain'.</param>
/// <param name="Meaning">One sentence for people.</param>
/// <param name="IsList">Whether it holds entries.</param>
/// <param name="Required">Whether a readable trial needs it.</param>
/// <param name="Fields">Its keys, in the order a person fills them in.</param>
public sealed record LayoutSection(string Key, string Title, string Meaning, bool IsList, bool Required, IReadOnlyList<LayoutField> Fields)
{
    /// <summary>Whether its entries have identities.</summary>
    public bool HasIdentities => IsList && Fields.Any(f => f.Kind == LayoutKind.Identity);
}

/// <summary>The layout of the trial document for forms: the same table that reader, schema and template use.</summary>
public static class DocumentLayout
{
    private static readonly HashSet<string> _long = new(StringComparer.Ordinal) { "purpose", "interests", "remarks", "departures", "not_covered", "safety", "rejects", "comfort", "alarms", "proof" };

    /// <summary>All sections in the order of the document; the version of the layout is not among them.</summary>
    public static IReadOnlyList<LayoutSection> Sections { get; } = [.. DocumentShape.Root.Fields.Where(f => f.Shape is MapShape or ListShape).Select(Section)];

    /// <summary>A section by its key; null when there is none.</summary>
    public static LayoutSection? Find(string section) => Sections.FirstOrDefault(s => s.Key == section);

    private static LayoutSection Section(Field field)
    {
        var entry = field.Shape as MapShape ?? ((ListShape)field.Shape).Entry;
        return new(field.Key, entry.Title, field.Meaning, field.Shape is ListShape, field.Required, [.. entry.Fields.Select(Of)]);
    }

    private static LayoutField Of(Field field)
    {
        var bare = new LayoutField(field.Key, field.Meaning, Kind(field), field.Required);
        return field.Shape switch
        {
            TextShape => bare with { MostCharacters = TextShape.MostCharacters },
            IdentityShape or ModeShape => bare with { MostCharacters = IdentityShape.MostCharacters },
            NumberShape number => bare with { Least = number.Least, Most = number.Most, Unit = number.Unit, Whole = number.Whole },
            BandsShape bands => bare with { Least = bands.Least, Most = bands.Most, Unit = "dB", WithDeviation = bands.WithDeviation },
            WordShape words => bare with { Choices = Choices(words.Choices) },
            WordsShape words => bare with { Choices = Choices(words.Choices) },
            ReferenceShape reference => bare with { Section = reference.Section, OrOpen = reference.OrOpen },
            MapShape map => bare with { Children = [.. map.Fields.Select(Of)] },
            ListShape list => bare with { Children = [.. list.Entry.Fields.Select(Of)] },
            _ => bare,
        };
    }

    private static LayoutKind Kind(Field field) => field.Shape switch
    {
        TextShape => _long.Contains(field.Key) ? LayoutKind.LongText : LayoutKind.Text,
        NumberShape => LayoutKind.Number,
        WordShape => LayoutKind.Word,
        WordsShape => LayoutKind.Words,
        YesNoShape => LayoutKind.YesNo,
        DateShape => LayoutKind.Date,
        ClockShape => LayoutKind.Clock,
        SpanShape => LayoutKind.Span,
        ReferenceShape => LayoutKind.Reference,
        IdentityShape => LayoutKind.Identity,
        ModeShape => LayoutKind.Mode,
        FileNameShape => LayoutKind.File,
        FileNamesShape => LayoutKind.Texts,
        ChannelFilesShape => LayoutKind.Columns,
        BandsShape => LayoutKind.Bands,
        ColumnsShape => LayoutKind.Columns,
        PatternShape => LayoutKind.Text,
        TextsShape => LayoutKind.Texts,
        PairsShape => LayoutKind.Pairs,
        OwnWordsShape => LayoutKind.Own,
        MapShape => LayoutKind.Group,
        ListShape => LayoutKind.Entries,
        _ => throw new ArgumentOutOfRangeException(nameof(field), field.Shape, "This shape has no kind."),
    };

    private static IReadOnlyList<LayoutChoice> Choices(IReadOnlyList<(string Word, string Meaning)> choices) => [.. choices.Select(c => new LayoutChoice(c.Word, c.Meaning))];
}
