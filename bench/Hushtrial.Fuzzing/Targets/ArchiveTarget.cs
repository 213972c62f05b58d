using System.IO.Compression;
using System.Text;
using Hushtrial.Fuzzing.Mutation;
using Hushtrial.Quantities;
using Hushtrial.Store.Library;

namespace Hushtrial.Fuzzing.Targets;

/// <summary>Archives of trials: names, links, lengths and what comes out of them.</summary>
internal static class ArchiveTarget
{
    private static readonly ImportLimits _limits = new() { MostBytes = 1_000_000, MostFiles = 20, MostArchiveBytes = 1_000_000 };

    public static FuzzTarget Target { get; } = new("archives", 4096, _ => [Seed(CompressionLevel.NoCompression, "trial.yaml", "a.wav"), Seed(CompressionLevel.Optimal, "My trial/", "My trial/trial.yaml", "My trial/history.json", "My trial/recordings/a.wav"), Seed(CompressionLevel.Optimal)], ChunkMutation.Mutate, Execute);

    public static bool Execute(byte[] input)
    {
        try
        {
            using var archive = new ZipArchive(new MemoryStream(input, writable: false), ZipArchiveMode.Read);
            var (files, problem) = PackageArchive.Files(archive, input.Length, _limits);
            if (problem is not null) Places.Check([problem], input.Length, 1);
            BrokenPropertyException.Unless(problem is null || files.Count == 0, "files, and a reason to take none");
            long total = 0;
            var buffer = new byte[8192];
            foreach (var file in files)
            {
                BrokenPropertyException.Unless(Path.GetFullPath(Path.Combine("/library/trial", file.Name)).StartsWith("/library/trial/", StringComparison.Ordinal) && !file.Name.Contains('\\', StringComparison.Ordinal), $"the name '{file.Name}'");
                using var stream = file.Open();
                for (int n; (n = stream.Read(buffer)) > 0;) total += n;
            }
            BrokenPropertyException.Unless(total <= _limits.MostBytes, $"{total} bytes came out");
            BrokenPropertyException.Unless(files.Select(f => f.Name).Distinct(StringComparer.OrdinalIgnoreCase).Count() == files.Count, "a name twice");
            return true;
        }
        // As the library takes them: a file that is no whole archive, too much, and what the disk or the reader of the system says.
        catch (Exception e) when (e is InvalidDataException or PackageTooLargeException || DurableFiles.Explain(e, "the archive") is not null)
        {
            return e is PackageTooLargeException;
        }
    }

    private static byte[] Seed(CompressionLevel level, params string[] names)
    {
        using var zip = new MemoryStream();
        using (var archive = new ZipArchive(zip, ZipArchiveMode.Create, leaveOpen: true))
            foreach (var name in names)
            {
                var entry = archive.CreateEntry(name, level);
                entry.LastWriteTime = new DateTimeOffset(2026, 5, 14, 10, 0, 0, TimeSpan.Zero);
                using var stream = entry.Open();
                if (!name.EndsWith('/')) stream.Write(Encoding.UTF8.GetBytes($"trial: {{ title: T }}\nrecordings: [{{ id: a, file: a.wav }}]\n# {name}\n"));
            }
        return zip.ToArray();
    }
}

/// <summary>Histories that travel with a trial.</summary>
internal static class HistoryTarget
{
    private static readonly string[] _words = ["\"hushtrial_history\": 1", "\"head\": 2", "\"parent\": 1", "\"parent\": null", "\"next\": 2", "\"number\": 2", "null", "\"\\u0000\"", "\"\\ud800\"", "[]", "{}", "1e99", "-1", "\"created\"", "\"2026-05-14T10:00:00+00:00\"", "\"text\"", "\"files\": []", "2147483648"];

    public static FuzzTarget Target { get; } = new("histories", 4096, _ => [Seed()], new TextMutation(_words).Mutate, Execute);

    public static bool Execute(byte[] input)
    {
        using var stream = new DocumentTarget.Trickle(input);
        var history = TrialHistory.Read(stream, out var problem);
        BrokenPropertyException.Unless(history is null != problem is null, "a history and a problem, or neither");
        if (problem is { } p) Places.Check([p], long.MaxValue, int.MaxValue - 1);
        if (history is null) return problem!.Found.Contains("revision", StringComparison.Ordinal) || problem.Found.Contains("head", StringComparison.Ordinal);
        using var written = new MemoryStream();
        history.Write(written);
        written.Position = 0;
        using var second = new MemoryStream();
        var again = TrialHistory.Read(written, out var fault);
        BrokenPropertyException.Unless(again is not null, $"what was written is not read: {fault}");
        again!.Write(second);
        BrokenPropertyException.Unless(second.ToArray().AsSpan().SequenceEqual(written.ToArray()), "written and read back, the history is another");
        return true;
    }

    private static byte[] Seed()
    {
        var at = new DateTimeOffset(2026, 5, 14, 10, 0, 0, TimeSpan.FromHours(2));
        TravellingRevision Revision(int number, int? parent, int? next) => new(number, parent, next, "Ada", "Begun", at, "trial: { title: T }\n");
        using var stream = new MemoryStream();
        new TrialHistory(at, 3, [Revision(1, null, 3), Revision(2, 1, null), Revision(3, 1, null)], [new StoredFile("a.wav", new string('a', 64), 4096)]).Write(stream);
        return stream.ToArray();
    }
}
