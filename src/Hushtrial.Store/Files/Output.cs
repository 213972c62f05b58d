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

    /// <summary>Writes a file; the folder is made when it does not exist.</summary>
    /// <exception cref="WrongUseException">The place cannot be written: no right, no space, a file where a folder should be.</exception>
    public static void Write(string path, Action<Stream> content)
    {
        var beside = path + ".part";
        try
        {
            if (Path.GetDirectoryName(Path.GetFullPath(path)) is { } folder) Directory.CreateDirectory(folder);
            using (var stream = new FileStream(beside, FileMode.Create, FileAccess.ReadWrite)) content(stream);
            File.Move(beside, path, overwrite: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            try { File.Delete(beside); }
            catch (Exception second) when (second is IOException or UnauthorizedAccessException) { /* The first failure is the one to tell. */ }
            throw new WrongUseException($"'{path}' cannot be written: {e.Message}");
        }
    }
}
