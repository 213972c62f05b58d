using System.Text;
using System.Text.Json;
using Hushtrial.Signals.Recordings;
using Hushtrial.Tests;

namespace Hushtrial.Trials.Tests.Logs;

/// <summary>The level logs of the corpus with what a person reads in them: corpus/logs/expected.json, made by its make.py and not by the program.</summary>
internal static class LogCorpus
{
    public static string Folder => Path.Combine(Reference.Root, "corpus", "logs");

    public static IReadOnlyList<string> Names { get; } = [.. Read().Keys.Order(StringComparer.Ordinal)];

    public static JsonElement Expected(string name) => Read()[name];

    public static byte[] Bytes(string name) => File.ReadAllBytes(Path.Combine(Folder, name));

    private static Dictionary<string, JsonElement> Read() =>
        JsonDocument.Parse(File.ReadAllText(Path.Combine(Folder, "expected.json"))).RootElement.EnumerateArray().ToDictionary(c => c.GetProperty("file").GetString()!, StringComparer.Ordinal);
}

/// <summary>A text in memory as a file.</summary>
internal static class MemoryBytes
{
    public static BufferedBytes Of(string text) => new(Encoding.UTF8.GetBytes(text));
}
