using System.Text;

namespace Hushtrial.Store.Files;

/// <summary>Writes result files so that a file under its final name is always whole: written beside, then renamed.</summary>
public static class Output
{
    /// <summary>Writes text as UTF-8.</summary>
    public static void Write(string path, string text) => Write(path, stream =>
    {
        using var writer = new StreamWriter(stream, new UTF8Encoding(false), leaveOpen: true);
        writer.Write(text);
    });

    /// <summary>The file that a write to a path would replace or make, links followed; null for a pipe or a device, which nothing replaces.</summary>
    /// <exception cref="WrongUseException">The path cannot be followed: a link that leads round.</exception>
    public static string? Target(string path)
    {
        try
        {
            var final = Path.GetFullPath(path);
            if (KindOfPath.IsSpecial(final)) return null;
            return new FileInfo(final) is { LinkTarget: not null } link ? link.ResolveLinkTarget(returnFinalTarget: true)!.FullName : final;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new WrongUseException($"'{path}' cannot be written: {e.Message}");
        }
    }

    /// <summary>Writes a file; the folder is made when it does not exist. A link stays a link: the file that it leads to is replaced.</summary>
    /// <param name="path">The file. A device or a pipe is written to as it is.</param>
    /// <param name="content">Writes the content; whatever it throws, nothing is left.</param>
    /// <exception cref="WrongUseException">The place cannot be written: no right, no space, a file where a folder should be.</exception>
    public static void Write(string path, Action<Stream> content)
    {
        string? beside = null;
        try
        {
            var final = Path.GetFullPath(path);
            if (Path.GetDirectoryName(final) is { } folder) Directory.CreateDirectory(folder);
            // A rename would put a file in the place of /dev/null.
            if (KindOfPath.IsSpecial(final))
            {
                using var device = new FileStream(final, FileMode.Open, FileAccess.Write, FileShare.ReadWrite, bufferSize: 0);
                content(device);
                return;
            }
            if (new FileInfo(final) is { LinkTarget: not null } link) final = link.ResolveLinkTarget(returnFinalTarget: true)!.FullName;
            if (Directory.Exists(final)) throw new IOException("It is a folder.");
            // A name of its own: a file that somebody called 'x.part' is theirs.
            beside = $"{final}.{Guid.NewGuid():N}.part";
            using (var stream = new FileStream(beside, FileMode.CreateNew, FileAccess.ReadWrite)) content(stream);
            if (!OperatingSystem.IsWindows() && File.Exists(final)) File.SetUnixFileMode(beside, File.GetUnixFileMode(final));
            File.Move(beside, final, overwrite: true);
            beside = null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new WrongUseException($"'{path}' cannot be written: {(beside is null ? e.Message : e.Message.Replace(beside, path, StringComparison.Ordinal))}");
        }
        finally
        {
            if (beside is not null) Remove(beside);
        }
    }

    private static void Remove(string file)
    {
        try { File.Delete(file); }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException) { /* The first failure is the one to tell. */ }
    }
}
