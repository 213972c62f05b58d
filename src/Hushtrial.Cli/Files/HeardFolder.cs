using System.Text;
using Hushtrial.Reporting.Exports;
using Hushtrial.Store;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Files;

/// <summary>The folder that sounds to be heard are written to. Each of them carries the first caution as a text inside; a file without it is another's.</summary>
internal static class HeardFolder
{
    // The texts stand at the end of a sound, and the whole list of files is shorter.
    private const int Tail = 64 * 1024;

    /// <summary>Writes the files, all or none.</summary>
    /// <exception cref="WrongUseException">A file of that name is there that is none of ours, or it cannot be written.</exception>
    public static void Write(string folder, IReadOnlyList<ExportFile> files)
    {
        foreach (var file in files)
        {
            var path = Path.Combine(folder, file.Name);
            if (Output.Target(path) is { } target && File.Exists(target) && !IsOurs(target))
                throw new WrongUseException($"'{path}' exists and was not written by 'hushtrial hear'; nothing was written. Name a new or an empty folder.");
        }
        foreach (var file in files) Output.Write(Path.Combine(folder, file.Name), stream => stream.Write(file.Content.Span));
    }

    private static bool IsOurs(string path)
    {
        try
        {
            using var file = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.Read);
            file.Seek(-Math.Min(Tail, file.Length), SeekOrigin.End);
            using var end = new MemoryStream();
            file.CopyTo(end);
            return end.GetBuffer().AsSpan(0, (int)end.Length).IndexOf(Encoding.ASCII.GetBytes(ResidualClips.Cautions[0])) >= 0;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }
}
