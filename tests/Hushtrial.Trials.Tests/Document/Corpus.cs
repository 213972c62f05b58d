using Hushtrial.Quantities;
using Hushtrial.Tests;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

/// <summary>The trial documents of the corpus, each with the messages it must bring pinned in a file beside it.</summary>
internal static class Corpus
{
    private static string Folder => Path.Combine(Reference.Root, "corpus", "trials");

    public static IReadOnlyList<string> Names(string kind) =>
        [.. Directory.GetFiles(Folder, kind + ".*.yaml").Select(f => Path.GetFileName(f)!).Order(StringComparer.Ordinal)];

    public static string Text(string name) => File.ReadAllText(Path.Combine(Folder, name));

    public static string Pinned(string name) => File.ReadAllText(Path.Combine(Folder, Path.ChangeExtension(name, ".txt")));

    public static (TrialDocument? Document, IReadOnlyList<Problem> Problems) Read(string name)
    {
        using var file = File.OpenRead(Path.Combine(Folder, name));
        return TrialDocumentReader.Read(file, name);
    }
}
