using System.Text;
using Hushtrial.Reporting.Exports;
using Hushtrial.Store;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Files;

/// <summary>What a command may write where a person says so: its own kind of file, and never over a document, a recording or another input.</summary>
internal static class NamedOutput
{
    /// <summary>Endings of a page.</summary>
    public static IReadOnlyList<string> Page { get; } = [".html", ".htm"];

    /// <summary>Endings of a page or its print.</summary>
    public static IReadOnlyList<string> PageOrPrint { get; } = [.. Page, ".pdf"];

    /// <summary>Refuses a name that does not end as the command's files do. A device or a pipe has no ending and is written to as it is.</summary>
    /// <param name="path">As the person wrote it.</param>
    /// <param name="endings">The endings that the command writes.</param>
    /// <exception cref="WrongUseException">It ends otherwise, or is a link to a file that does.</exception>
    public static void MustEnd(string path, IReadOnlyList<string> endings)
    {
        if (Output.Target(path) is not { } target) return;
        var wanted = $"{string.Join(", ", endings.Take(endings.Count - 1))} or {endings[^1]}";
        if (!Ends(path)) throw new WrongUseException($"'{path}': a name that ends in {wanted} is needed; nothing was written.");
        if (!Ends(target)) throw new WrongUseException($"'{path}' leads to '{target}', which does not end in {wanted}; nothing was written.");

        bool Ends(string name) => endings.Contains(Path.GetExtension(name), StringComparer.OrdinalIgnoreCase);
    }

    /// <summary>Refuses files that are inputs themselves.</summary>
    /// <exception cref="WrongUseException">One of them is.</exception>
    public static void MustNotBe(IReadOnlyCollection<string> inputs, IEnumerable<string> outputs)
    {
        var read = inputs.Select(Output.Target).OfType<string>().ToHashSet(StringComparer.Ordinal);
        foreach (var path in outputs)
            if (Output.Target(path) is { } target && read.Contains(target)) throw new WrongUseException($"'{path}' is an input of this command; nothing was written. Name another place.");
    }

    /// <summary>The files that a trial was read from.</summary>
    /// <param name="trial">The trial.</param>
    /// <param name="cabins">Where further cabins came from; null for none.</param>
    public static IReadOnlyCollection<string> InputsOf(TrialFolder trial, string? cabins)
    {
        List<string> inputs = [trial.DocumentPath, .. trial.Inputs.Select(i => Path.Combine(trial.Folder, i.File))];
        if (cabins is not null) inputs.AddRange(Directory.Exists(cabins) ? Directory.GetFiles(cabins) : [cabins]);
        return inputs;
    }

    /// <summary>Refuses to write results over tables and objects that no analysis wrote: the first line tells.</summary>
    /// <exception cref="WrongUseException">One of the files is there and another's.</exception>
    public static void MustBeOurs(string folder, IEnumerable<ExportFile> files)
    {
        foreach (var file in files.Where(f => f.MediaType is "text/csv" or "application/json"))
        {
            var path = Path.Combine(folder, file.Name);
            if (Output.Target(path) is not { } target || !File.Exists(target)) continue;
            var (there, ours) = (Beginning(SmallFile.ReadBeginning(target, 500)), Beginning(file.Content.Span[..Math.Min(500, file.Content.Length)]));
            if (there.Length > 0 && there != ours) throw new WrongUseException($"'{path}' exists and is not from an analysis; nothing was written. Name another folder.");
        }
    }

    // The names of the first two columns stay when columns are added; an object begins with its head.
    private static string Beginning(ReadOnlySpan<byte> bytes)
    {
        var text = Encoding.UTF8.GetString(bytes).TrimStart('\uFEFF');
        return text.StartsWith('{') ? string.Concat(text.Where(c => !char.IsWhiteSpace(c)).Take(12))
            : string.Join(',', text.Split('\n')[0].TrimEnd('\r').Split(',').Take(2));
    }
}
