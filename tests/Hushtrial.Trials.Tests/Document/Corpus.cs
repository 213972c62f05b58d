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

    /// <summary>Compares with a committed file; what was found instead is left below artifacts/received, to be looked at and copied when it is right.</summary>
    public static void AssertPinned(string path, string actual)
    {
        var pinned = Path.Combine(Reference.Root, path);
        if (File.Exists(pinned) && File.ReadAllText(pinned) == actual) return;
        var received = Path.Combine(Reference.Root, "artifacts", "received", path);
        Directory.CreateDirectory(Path.GetDirectoryName(received)!);
        File.WriteAllText(received, actual);
        Assert.Equal(File.Exists(pinned) ? File.ReadAllText(pinned) : "", actual);
    }

    /// <summary>The messages of a document, one a line, compared with the file beside it.</summary>
    public static void AssertPinned(string name, IReadOnlyList<Problem> problems) =>
        AssertPinned($"corpus/trials/{Path.ChangeExtension(name, ".txt")}", string.Concat(problems.Select(p => p + "\n")));

    public static byte[] Bytes(string name) => File.ReadAllBytes(Path.Combine(Folder, name));

    public static string Text(string name) => File.ReadAllText(Path.Combine(Folder, name));

    public static string Pinned(string name) => File.ReadAllText(Path.Combine(Folder, Path.ChangeExtension(name, ".txt")));

    public static (TrialDocument? Document, IReadOnlyList<Problem> Problems) Read(string name)
    {
        using var file = File.OpenRead(Path.Combine(Folder, name));
        return TrialDocumentReader.Read(file, name);
    }
}
