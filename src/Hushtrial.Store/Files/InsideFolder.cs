namespace Hushtrial.Store.Files;

/// <summary>Whether a name leads to a file in a folder once every link on the way is followed.</summary>
public static class InsideFolder
{
    /// <summary>As many links as Linux follows before it calls them a loop.</summary>
    private const int MostLinks = 40;

    /// <summary>Whether the file lies in the folder or below it; false too where links go round in a circle.</summary>
    /// <param name="folder">The folder.</param>
    /// <param name="name">The file, as a path from there.</param>
    public static bool Holds(string folder, string name)
    {
        var links = 0;
        return Real(Path.GetFullPath(folder), ref links) is { } root && Real(Path.GetFullPath(Path.Combine(folder, name)), ref links) is { } file
            && file.StartsWith(Path.TrimEndingDirectorySeparator(root) + Path.DirectorySeparatorChar, StringComparison.Ordinal);
    }

    /// <summary>The path without links: those of folders on the way count as much as one of the file itself.</summary>
    private static string? Real(string path, ref int links)
    {
        var at = Path.GetPathRoot(path)!;
        foreach (var part in path[at.Length..].Split(Path.DirectorySeparatorChar, StringSplitOptions.RemoveEmptyEntries))
        {
            var next = Path.Combine(at, part);
            if (new FileInfo(next).LinkTarget is { } target)
            {
                if (++links > MostLinks || Real(Path.GetFullPath(target, at), ref links) is not { } real) return null;
                next = real;
            }
            at = next;
        }
        return at;
    }
}
