using System.Runtime.InteropServices;
using System.Security.Cryptography;
using Hushtrial.Quantities;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Library;

/// <summary>Files whose bytes and whose names are on the disk before anybody is told so.</summary>
internal static partial class DurableFiles
{
    private const int BufferBytes = 128 * 1024;

    /// <summary>Writes the entries of a folder to disk: a new name is lost with the power until then.</summary>
    public static void FlushFolder(string folder)
    {
        // Windows journals names itself and opens no folder for flushing.
        if (OperatingSystem.IsWindows()) return;
        var handle = Open(folder, 0);
        if (handle < 0) throw new IOException($"The folder '{folder}' cannot be opened to flush it (error {Marshal.GetLastPInvokeError()}).");
        try
        {
            // Some network file systems cannot flush a folder (EINVAL, 22): they write names at once.
            if (Flush(handle) != 0 && Marshal.GetLastPInvokeError() is var error and not 22) throw new IOException($"The folder '{folder}' cannot be flushed (error {error}).");
        }
        finally
        {
            _ = Close(handle);
        }
    }

    /// <summary>Moves a file whose bytes are on disk to its final name and makes the name last.</summary>
    public static void Place(string from, string to)
    {
        var folder = Path.GetDirectoryName(to)!;
        if (!Directory.Exists(folder))
        {
            Directory.CreateDirectory(folder);
            FlushFolder(Path.GetDirectoryName(folder)!);
        }
        File.Move(from, to, overwrite: true);
        FlushFolder(folder);
    }

    /// <summary>Copies a stream into a new file that is on disk afterwards.</summary>
    /// <returns>Length and hash.</returns>
    /// <exception cref="InvalidDataException">More than <paramref name="most"/> bytes came.</exception>
    public static async Task<(long Bytes, string Sha256)> CopyAsync(Stream from, string to, long most, IProgress<long>? progress, CancellationToken cancellation)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        var buffer = new byte[BufferBytes];
        var bytes = 0L;
        var file = new FileStream(to, FileMode.CreateNew, FileAccess.Write, FileShare.None, 0);
        await using (file.ConfigureAwait(false))
        {
            for (int read; (read = await from.ReadAsync(buffer, cancellation).ConfigureAwait(false)) > 0;)
            {
                if ((bytes += read) > most) throw new InvalidDataException(FormattableString.Invariant($"more than {most} bytes"));
                hash.AppendData(buffer, 0, read);
                await file.WriteAsync(buffer.AsMemory(0, read), cancellation).ConfigureAwait(false);
                progress?.Report(bytes);
            }
            file.Flush(flushToDisk: true);
        }
        return (bytes, Convert.ToHexStringLower(hash.GetHashAndReset()));
    }

    /// <summary>Deletes a file that may not be there, or may not be deleted just now; what is left is swept when the library is opened.</summary>
    public static void TryDelete(string path)
    {
        try
        {
            File.Delete(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Swept later.
        }
    }

    /// <summary>What to tell when writing failed for a reason outside this program; null when the fault is ours.</summary>
    public static Problem? Explain(Exception exception, string name, long needed = 0) => exception switch
    {
        // ENOSPC 28 and EDQUOT 122 on Linux, ERROR_DISK_FULL 0x70 and ERROR_HANDLE_DISK_FULL 0x27 on Windows.
        IOException { HResult: 28 or 122 or unchecked((int)0x80070070) or unchecked((int)0x80070027) } => LibraryProblems.NoRoom(name, needed),
        IOException or UnauthorizedAccessException => LibraryProblems.CannotWrite(name, exception.Message),
        SqliteException { SqliteErrorCode: 13 } => LibraryProblems.NoRoom(name, needed),
        // busy, locked, read-only, interrupted input or output, cannot open.
        SqliteException { SqliteErrorCode: 5 or 6 or 8 or 10 or 14 } => LibraryProblems.CannotWrite(name, exception.Message),
        DbUpdateException { InnerException: { } inner } => Explain(inner, name, needed),
        _ => null,
    };

    [LibraryImport("libc", EntryPoint = "open", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int Open(string path, int flags);

    [LibraryImport("libc", EntryPoint = "fsync", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int Flush(int handle);

    [LibraryImport("libc", EntryPoint = "close", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int Close(int handle);
}
