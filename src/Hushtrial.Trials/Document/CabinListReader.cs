using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>Reads a list of cabin noises that is kept outside any trial: 'hushtrial_cabins: 1' and 'cabins' as in a trial document, or a table.</summary>
/// <remarks>Pure: opens no file. All problems are collected.</remarks>
public static class CabinListReader
{
    private static readonly MapShape _cabin = new("a cabin", DocumentShape.SpectrumFields());

    private static readonly MapShape _root = new("the list of cabins",
    [
        new("hushtrial_cabins", new NumberShape(1, 1, "", Whole: true), "Version of this layout.", Required: true),
        new("cabins", new ListShape(_cabin, 1), "The cabins.", Required: true),
    ]);

    /// <summary>Reads a list as YAML.</summary>
    /// <param name="stream">Read to its end; not disposed.</param>
    /// <param name="displayName">Name for messages.</param>
    /// <returns>The cabins, empty when there is an error; and all problems.</returns>
    public static (IReadOnlyList<CabinEntry> Cabins, IReadOnlyList<Problem> Problems) ReadYaml(Stream stream, string displayName)
    {
        ArgumentNullException.ThrowIfNull(stream);
        var problems = new DocumentProblems(displayName);
        var cabins = DocumentText.Decode(stream, problems) is { } text && DocumentText.IsReadable(text, problems) && DocumentComposer.Compose(text, problems) is { } node
            && new Binder(problems).Map(node, _root, "") is { } root ? root.List<BoundMap>("cabins") : [];
        var seen = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        foreach (var cabin in cabins)
        {
            CabinChecks.Check(cabin, problems);
            if (cabin.Text("id") is { } id && !seen.Add(id)) problems.Error("DOC-040", cabin.PlaceOf("id"), cabin.PathTo("id"), $"the name '{id}' for the second time in 'cabins'", "a name of its own for each", "Rename one of the two.");
        }
        return (problems.AnyError ? [] : [.. cabins.Select(Assembly.Cabin)], problems.InOrder());
    }
}
