using Hushtrial.Quantities;
using Hushtrial.Store.Files;

namespace Hushtrial.Store.Library;

/// <summary>A trial as a folder: what the command line reads.</summary>
internal static class PackageFolder
{
    /// <summary>The files of a folder, or why there are none to take.</summary>
    public static (IReadOnlyList<PackedFile> Files, Problem? Problem) Files(string folder, int most)
    {
        if (!File.Exists(Path.Combine(folder, TrialFolder.DocumentName))) return ([], PackageProblems.NoDocument(Path.GetFileName(Path.TrimEndingDirectorySeparator(Path.GetFullPath(folder)))));
        var root = Path.GetFullPath(folder);
        var files = new List<PackedFile>();
        foreach (var file in Directory.EnumerateFiles(root, "*", new EnumerationOptions { RecurseSubdirectories = true, AttributesToSkip = FileAttributes.None, MaxRecursionDepth = 20 }))
        {
            var name = Path.GetRelativePath(root, file).Replace(Path.DirectorySeparatorChar, '/');
            var target = new FileInfo(file);
            // A link that stays inside is a file like others; one that leads out would copy what was not asked for.
            if (Links(target, root) is { } final && final != root && !final.StartsWith(root + Path.DirectorySeparatorChar, StringComparison.Ordinal)) return ([], PackageProblems.Link(name));
            if (files.Count >= most) return ([], PackageProblems.TooMuch(FormattableString.Invariant($"more than {most} files")));
            files.Add(new(name, target.ResolveLinkTarget(returnFinalTarget: true) is FileInfo end ? end.Length : target.Length, () => new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.Read)));
        }
        return (files, null);
    }

    /// <summary>Writes a trial into a new or empty folder.</summary>
    /// <exception cref="WrongUseException">The folder holds something, or cannot be written.</exception>
    public static void Write(StoredTrial trial, TrialHistory history, Func<StoredFile, string> content, string folder)
    {
        try
        {
            if (Directory.Exists(folder) && Directory.EnumerateFileSystemEntries(folder).Any()) throw new WrongUseException($"the folder '{folder}' is not empty.");
            Directory.CreateDirectory(folder);
            foreach (var file in trial.Files)
            {
                var path = Path.Combine(folder, file.Name.Replace('/', Path.DirectorySeparatorChar));
                Directory.CreateDirectory(Path.GetDirectoryName(path)!);
                File.Copy(content(file), path);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new WrongUseException($"'{folder}' cannot be written: {e.Message}");
        }
        Output.Write(Path.Combine(folder, TrialHistory.FileName), history.Write);
        Output.Write(Path.Combine(folder, TrialFolder.DocumentName), trial.Draft.Text);
    }

    private static string? Links(FileInfo file, string root)
    {
        for (var folder = file.Directory; folder is not null && folder.FullName.Length > root.Length; folder = folder.Parent)
            if (folder.LinkTarget is not null) return folder.ResolveLinkTarget(returnFinalTarget: true)?.FullName ?? folder.LinkTarget;
        return file.LinkTarget is null ? null : file.ResolveLinkTarget(returnFinalTarget: true)?.FullName ?? file.LinkTarget;
    }
}
