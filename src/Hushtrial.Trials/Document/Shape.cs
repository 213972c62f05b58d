namespace Hushtrial.Trials.Document;

/// <summary>What a place in the document may hold. One table of shapes (<see cref="DocumentShape"/>) is read by the binder, the
/// published schema, the template and the writer, so that they cannot disagree.</summary>
internal abstract record Shape;

/// <summary>Free text on one or several lines.</summary>
internal sealed record TextShape : Shape
{
    /// <summary>About a printed page; a longer text is a report of its own.</summary>
    public const int MostCharacters = 4000;
}

/// <summary>One of a few words.</summary>
internal sealed record WordShape(IReadOnlyList<(string Word, string Meaning)> Choices) : Shape
{
    public IReadOnlyList<string> Words { get; } = [.. Choices.Select(c => c.Word)];
}

/// <summary>One or several of a few words: as a list, or with commas between.</summary>
internal sealed record WordsShape(IReadOnlyList<(string Word, string Meaning)> Choices) : Shape
{
    public IReadOnlyList<string> Words { get; } = [.. Choices.Select(c => c.Word)];
}

/// <summary>A number in a closed range, in the unit that the key's meaning names.</summary>
internal sealed record NumberShape(double Least, double Most, string Unit, bool Whole = false) : Shape;

/// <summary>yes or no.</summary>
internal sealed record YesNoShape : Shape;

/// <summary>A time in a recording: seconds, m:ss or h:mm:ss.</summary>
internal sealed record SpanShape : Shape
{
    public const int MostHours = 48;
}

/// <summary>A time of day: h:mm or h:mm:ss.</summary>
internal sealed record ClockShape : Shape;

/// <summary>A date, or two with 'to' between.</summary>
internal sealed record DateShape : Shape;

/// <summary>A file beside the document.</summary>
internal sealed record FileNameShape : Shape;

/// <summary>Files beside the document, in order.</summary>
internal sealed record FileNamesShape : Shape;

/// <summary>Files of single channels, by number of their first channel: a file, or a list of files in order.</summary>
internal sealed record ChannelFilesShape : Shape
{
    public const int MostChannels = 64;
}

/// <summary>The name by which other places of the document refer to an entry.</summary>
internal sealed record IdentityShape : Shape
{
    public const int MostCharacters = 40;
}

/// <summary>The identity of an entry of another section, or the word for the open ear.</summary>
internal sealed record ReferenceShape(string Section, bool OrOpen = false) : Shape;

/// <summary>A mode of a device: one word of the user's own.</summary>
internal sealed record ModeShape : Shape;

/// <summary>Levels or attenuations by nominal midband frequency; with a deviation also as [mean, sd].</summary>
internal sealed record BandsShape(double Least, double Most, bool WithDeviation) : Shape;

/// <summary>A text of a fixed form.</summary>
internal sealed record PatternShape(string Pattern, string What, string Example) : Shape;

/// <summary>Roles of the columns of a level log, by number of the column from 1.</summary>
internal sealed record ColumnsShape : Shape
{
    public const int Most = 1024;
}

/// <summary>One text or a list of texts.</summary>
internal sealed record TextsShape : Shape;

/// <summary>'all', or a list of pairs of conditions.</summary>
internal sealed record PairsShape : Shape;

/// <summary>Names and texts of the user's own.</summary>
internal sealed record OwnWordsShape : Shape;

/// <summary>Known keys, each with its shape.</summary>
internal sealed record MapShape(string Title, IReadOnlyList<Field> Fields) : Shape
{
    public IReadOnlyList<string> Keys { get; } = [.. Fields.Select(f => f.Key)];

    public Field? Find(string key) => Fields.FirstOrDefault(f => f.Key == key);

    /// <summary>Place of a key in the layout; -1 for an unknown one.</summary>
    public int IndexOf(string key)
    {
        for (var i = 0; i < Fields.Count; i++)
            if (Fields[i].Key == key) return i;
        return -1;
    }
}

/// <summary>A list of entries of one shape.</summary>
internal sealed record ListShape(MapShape Entry, int Least = 0) : Shape;

/// <summary>A key with its shape.</summary>
/// <param name="Key">As written.</param>
/// <param name="Shape">What it may hold.</param>
/// <param name="Meaning">One sentence for the schema, the template and the guide.</param>
/// <param name="Required">Whether it must be there.</param>
/// <param name="Detail">Whether it is kept as text under its name, for the report, rather than in a member of its own.</param>
internal sealed record Field(string Key, Shape Shape, string Meaning, bool Required = false, bool Detail = false);
