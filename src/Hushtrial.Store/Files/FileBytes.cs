using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Microsoft.Win32.SafeHandles;

namespace Hushtrial.Store.Files;

/// <summary>A file on disk as bytes; opened for reading only, safe to read from several threads.</summary>
public sealed class FileBytes : IByteSource
{
    private readonly SafeFileHandle? _handle;

    private FileBytes(SafeFileHandle? handle) => _handle = handle;

    /// <summary>Length when it was opened: a file that grows while it is read stays as it was.</summary>
    public long Length { get; private init; }

    /// <summary>Opens a file.</summary>
    /// <param name="path">The file.</param>
    /// <param name="name">Name for people.</param>
    /// <param name="problem">Why it cannot be opened; null when it can.</param>
    /// <returns>The bytes, or null with a problem.</returns>
    public static FileBytes? Open(string path, string name, out Problem? problem) => Open(path, name, FileShare.Read | FileShare.Delete, out problem);

    /// <summary>Opens a file that another part of the program still writes.</summary>
    /// <inheritdoc cref="Open(string, string, out Problem?)"/>
    internal static FileBytes? OpenGrowing(string path, string name) => Open(path, name, FileShare.ReadWrite | FileShare.Delete, out _);

    private static FileBytes? Open(string path, string name, FileShare share, out Problem? problem)
    {
        problem = null;
        try
        {
            if (Directory.Exists(path))
            {
                problem = FileProblems.IsFolder(name);
                return null;
            }
            var file = new FileInfo(path);
            if (!file.Exists)
            {
                problem = FileProblems.NotFound(name);
                return null;
            }
            // Devices and pipes state no length; opening one might wait for ever, so nothing without a length is opened.
            if (file.Length == 0) return new FileBytes(null);
            var handle = File.OpenHandle(path, FileMode.Open, FileAccess.Read, share);
            return new FileBytes(handle) { Length = RandomAccess.GetLength(handle) };
        }
        catch (UnauthorizedAccessException)
        {
            problem = FileProblems.NotPermitted(name);
        }
        catch (Exception e) when (e is IOException or NotSupportedException or ArgumentException)
        {
            problem = FileProblems.CannotOpen(name, e.Message);
        }
        return null;
    }

    /// <inheritdoc/>
    public int Read(long offset, Span<byte> destination)
    {
        var most = (int)Math.Min(destination.Length, Math.Max(0, Length - offset));
        return _handle is null || most == 0 ? 0 : RandomAccess.Read(_handle, destination[..most], offset);
    }

    /// <inheritdoc/>
    public void Dispose() => _handle?.Dispose();
}
