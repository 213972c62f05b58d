using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>What is wrong with a draft, and where a form shows it.</summary>
/// <param name="Problem">As the reader says it.</param>
/// <param name="Path">The place: 'devices[alder].kind', also when the key is missing; "" when it is about no key.</param>
public sealed record DraftProblem(Problem Problem, string Path);

/// <summary>What became of an edit: the new draft, or why there is none.</summary>
public sealed record DraftEditResult(TrialDraft? Draft, Problem? Problem);

/// <summary>A trial in the making: a document tree that may not be a readable trial yet.</summary>
/// <remarks>Immutable and pure. The tree and its text are one: what is read from <see cref="Text"/> is the same draft. Comments and
/// layout of a text that was read are kept until the first edit.</remarks>
public sealed class TrialDraft
{
    /// <summary>A key is a name, not a text; the parser takes no key of more than 1024 characters on one line.</summary>
    internal const int LongestKey = 100;

    private readonly Lazy<string> _text;
    private readonly Lazy<(TrialDocument?, IReadOnlyList<DraftProblem>)> _read;

    internal TrialDraft(MapNode root, string displayName, string? asWritten = null)
    {
        (Root, DisplayName) = (root, displayName);
        _text = asWritten is null ? new(() => DraftTree.Write(Root)) : new(asWritten);
        _read = new(() => DraftReading.Read(Text, DisplayName));
    }

    /// <summary>The name in messages.</summary>
    public string DisplayName { get; }

    /// <summary>The document as YAML. After an edit it is tidy, in the order of the layout: equal trees give equal text.</summary>
    public string Text => _text.Value;

    internal MapNode Root { get; }

    /// <summary>A draft with a title and nothing else: what is measured, how, and with which devices is left open.</summary>
    public static TrialDraft Empty(string title)
    {
        ArgumentNullException.ThrowIfNull(title);
        var bare = new TrialDraft(new MapNode(default, [(DraftTree.Text("hushtrial"), DraftTree.Text("1")), (DraftTree.Text("takes"), new ListNode(default, []))]), "trial.yaml");
        return bare.Apply(new DraftEdit.Set("trial.title", title)).Draft ?? bare;
    }

    /// <summary>A draft from text: any map of keys that the parser takes, whether or not the reader does.</summary>
    /// <param name="text">At most 5 million characters.</param>
    /// <param name="displayName">Name for messages, for example 'trial.yaml'.</param>
    /// <returns>The draft, or null with the reasons why the text is no tree.</returns>
    public static (TrialDraft? Draft, IReadOnlyList<Problem> Problems) FromText(string text, string displayName)
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(displayName);
        var problems = new DocumentProblems(displayName);
        var plain = text.StartsWith('\ufeff') ? text[1..] : text;
        if (!DocumentText.IsReadable(plain, problems) || DocumentComposer.Compose(plain, problems) is not { } node || problems.AnyError) return (null, problems.InOrder());
        if (node is not MapNode map) _ = new Binder(problems).Map(node, DocumentShape.Root, "");
        else DraftReading.Refuse(map, problems);
        return problems.AnyError ? (null, problems.InOrder()) : (new TrialDraft((MapNode)DraftTree.Ordered(node, DocumentShape.Root), displayName, plain), []);
    }

    /// <summary>As above, from bytes in UTF-8 or UTF-16; at most 5 MB.</summary>
    public static (TrialDraft? Draft, IReadOnlyList<Problem> Problems) FromStream(Stream stream, string displayName)
    {
        ArgumentNullException.ThrowIfNull(stream);
        var problems = new DocumentProblems(displayName);
        return DocumentText.Decode(stream, problems) is { } text ? FromText(text, displayName) : (null, problems.InOrder());
    }

    /// <summary>The draft of a readable trial.</summary>
    public static TrialDraft Of(TrialDocument document) =>
        FromText(TrialDocumentWriter.Write(document), "trial.yaml").Draft ?? throw new ArgumentException("The document's own text cannot be read.", nameof(document));

    /// <summary>Reads the draft as a trial.</summary>
    /// <returns>The document, or null when there is an error; and all problems, each with its place.</returns>
    public (TrialDocument? Document, IReadOnlyList<DraftProblem> Problems) Read() => _read.Value;

    /// <summary>A value as written, also when it is wrong: a text, or the flow text of a list or map. Null when nothing stands there.</summary>
    public string? Value(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        return path.Length == 0 ? Text : DraftPath.Parse(path)?.Find(Root) is { } node ? DraftTree.Raw(node) : null;
    }

    /// <summary>Names of the entries of a list, in order: each its identity, or '#ordinal' where it has none that leads to it.</summary>
    /// <param name="section">'devices', or 'devices[alder].published.claims'.</param>
    public IReadOnlyList<string> Ids(string section)
    {
        ArgumentNullException.ThrowIfNull(section);
        return DraftPath.Parse(section)?.Find(Root) is ListNode list ? [.. list.Items.Select((_, i) => DraftPath.NameOf(list, i))] : [];
    }

    /// <summary>The keys of a map that hold something, in order, with their values as <see cref="Value"/> gives them.</summary>
    /// <param name="path">'trial', 'devices[alder]', 'devices[alder].other'.</param>
    public IReadOnlyList<KeyValuePair<string, string>> Fields(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        return DraftPath.Parse(path)?.Find(Root) is MapNode map ? [.. map.Pairs.Select(p => new KeyValuePair<string, string>(p.Key.Text, DraftTree.Raw(p.Value)))] : [];
    }

    /// <summary>An identity that no entry of a list has yet: the stem, or the stem with a number.</summary>
    /// <param name="section">The list, for example 'devices'.</param>
    /// <param name="stem">Any words; what identities cannot hold becomes '-'.</param>
    public string FreshId(string section, string stem)
    {
        ArgumentNullException.ThrowIfNull(section);
        ArgumentNullException.ThrowIfNull(stem);
        return FreshIdentity.Of(stem, DraftPath.Parse(section)?.Find(Root) is ListNode list ? list.Items.Select(DraftPath.IdOf).OfType<string>() : [], section);
    }

    /// <summary>Applies an edit.</summary>
    /// <returns>The new draft, or the problem why it cannot be done: an unknown key, no such entry, an identity taken, a text that no document can hold.</returns>
    public DraftEditResult Apply(DraftEdit edit)
    {
        ArgumentNullException.ThrowIfNull(edit);
        return DraftChange.Apply(this, edit);
    }
}
