using System.Security.Cryptography;
using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Store.Files;

/// <summary>Cabin noises that a person keeps outside any trial: one file, or a folder of them (.yaml, .yml, .csv).</summary>
/// <param name="Cabins">All cabins, files in the order of their names.</param>
/// <param name="Inputs">The files with their hashes.</param>
/// <param name="Problems">What was found wrong; a cabin named twice is an error.</param>
public sealed record CabinLibrary(IReadOnlyList<CabinEntry> Cabins, IReadOnlyList<InputFile> Inputs, IReadOnlyList<Problem> Problems)
{
    private static readonly string[] _kinds = [".yaml", ".yml", ".csv"];

    /// <summary>Opens a library.</summary>
    /// <param name="path">A file or a folder.</param>
    /// <exception cref="WrongUseException">There is nothing there, or it cannot be read.</exception>
    public static CabinLibrary Open(string path)
    {
        var files = File.Exists(path) ? [path] : Directory.Exists(path)
            ? Directory.GetFiles(path).Where(f => _kinds.Contains(Path.GetExtension(f), StringComparer.OrdinalIgnoreCase)).Order(StringComparer.Ordinal).ToArray()
            : throw new WrongUseException($"there is no file or folder '{path}'.");
        if (files.Length == 0) throw new WrongUseException($"the folder '{path}' holds no .yaml, .yml or .csv file.");
        var (cabins, inputs, problems) = (new List<CabinEntry>(), new List<InputFile>(), new List<Problem>());
        foreach (var file in files)
        {
            var (name, bytes) = (Path.GetFileName(file), SmallFile.Read(file, 5_000_000));
            inputs.Add(new(name, bytes.Length, Convert.ToHexStringLower(SHA256.HashData(bytes))));
            using var stream = new MemoryStream(bytes);
            var (read, found) = Path.GetExtension(file).Equals(".csv", StringComparison.OrdinalIgnoreCase)
                ? CabinTable.Read(Encoding.UTF8.GetString(bytes), name, Path.GetFileNameWithoutExtension(file)) : CabinListReader.ReadYaml(stream, name);
            problems.AddRange(found);
            foreach (var cabin in read) Add(cabins, cabin, name, problems);
        }
        return new(cabins, inputs, problems);
    }

    /// <summary>The library's cabins behind those of a trial.</summary>
    internal IReadOnlyList<CabinEntry> Behind(IReadOnlyList<CabinEntry> own, List<Problem> problems)
    {
        List<CabinEntry> all = [.. own];
        foreach (var cabin in Cabins) Add(all, cabin, "the list of cabins", problems);
        return all;
    }

    private static void Add(List<CabinEntry> cabins, CabinEntry cabin, string where, List<Problem> problems)
    {
        if (cabins.Exists(c => c.Id.Equals(cabin.Id, StringComparison.OrdinalIgnoreCase)))
            problems.Add(new("CAB-004", Severity.Error, where, $"the cabin '{cabin.Id}' for the second time", "a name of its own for each", "Rename one of the two."));
        else cabins.Add(cabin);
    }
}
