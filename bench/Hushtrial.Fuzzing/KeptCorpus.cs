using System.Globalization;
using System.IO.Compression;

namespace Hushtrial.Fuzzing;

/// <summary>Inputs worth keeping, in the project's corpus folder: an archive for each target, and single files for what once went wrong.</summary>
internal static class KeptCorpus
{
    public static string ArchiveOf(string corpus, string target) => Path.Combine(corpus, "fuzzing", target + ".zip");

    /// <summary>Inputs that once went wrong: 'fuzzing/found/TARGET.WHAT.EXTENSION'.</summary>
    public static IReadOnlyList<string> Found(string corpus, string target) =>
        Directory.Exists(Path.Combine(corpus, "fuzzing", "found")) ? [.. Directory.GetFiles(Path.Combine(corpus, "fuzzing", "found"), target + ".*").Order(StringComparer.Ordinal)] : [];

    public static IReadOnlyList<byte[]> Read(string corpus, string target)
    {
        List<byte[]> inputs = [.. Found(corpus, target).Select(File.ReadAllBytes)];
        if (!File.Exists(ArchiveOf(corpus, target))) return inputs;
        using var archive = ZipFile.OpenRead(ArchiveOf(corpus, target));
        foreach (var entry in archive.Entries)
        {
            using var stream = entry.Open();
            using var content = new MemoryStream();
            stream.CopyTo(content);
            inputs.Add(content.ToArray());
        }
        return inputs;
    }

    /// <summary>Writes an archive that is the same for the same inputs.</summary>
    public static void Write(string path, IReadOnlyList<byte[]> inputs)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        using var archive = ZipFile.Open(path, ZipArchiveMode.Create);
        foreach (var (index, input) in inputs.Index())
        {
            var entry = archive.CreateEntry(index.ToString("0000", CultureInfo.InvariantCulture), CompressionLevel.SmallestSize);
            entry.LastWriteTime = new DateTimeOffset(1980, 1, 1, 0, 0, 0, TimeSpan.Zero);
            using var stream = entry.Open();
            stream.Write(input);
        }
    }
}
