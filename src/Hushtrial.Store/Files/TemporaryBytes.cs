using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Store.Files;

/// <summary>A folder of our own under the system's temporary folder, readable by this user only, and gone when disposed.</summary>
public sealed class TemporaryFolder : IDisposable
{
    private TemporaryFolder(string path) => Path = path;

    /// <summary>The folder.</summary>
    public string Path { get; }

    /// <summary>Makes a folder; null where the system lets none be made.</summary>
    public static TemporaryFolder? Create()
    {
        try
        {
            return new TemporaryFolder(Directory.CreateTempSubdirectory("hushtrial-").FullName);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        try
        {
            Directory.Delete(Path, recursive: true);
        }
        catch (IOException)
        {
            // Some systems do not delete what a virus scanner holds; the system empties its temporary folder itself.
        }
    }
}

/// <summary>A file in a temporary folder; closing it removes both.</summary>
public sealed class TemporaryBytes : IByteSource
{
    private readonly FileBytes _file;
    private readonly TemporaryFolder _folder;

    private TemporaryBytes(FileBytes file, TemporaryFolder folder) => (_file, _folder) = (file, folder);

    /// <inheritdoc/>
    public long Length => _file.Length;

    /// <summary>Opens a file in the folder and takes over the folder, also when there is a problem.</summary>
    public static TemporaryBytes? Open(string file, TemporaryFolder folder, string name, out Problem? problem)
    {
        var bytes = FileBytes.Open(System.IO.Path.Combine(folder.Path, file), name, out problem);
        if (bytes is null)
        {
            folder.Dispose();
            return null;
        }
        // Where the system lets an open file be deleted, nothing is left behind even if this process is killed.
        if (!OperatingSystem.IsWindows()) folder.Dispose();
        return new TemporaryBytes(bytes, folder);
    }

    /// <inheritdoc/>
    public int Read(long offset, Span<byte> destination) => _file.Read(offset, destination);

    /// <inheritdoc/>
    public void Dispose()
    {
        _file.Dispose();
        if (OperatingSystem.IsWindows()) _folder.Dispose();
    }
}
