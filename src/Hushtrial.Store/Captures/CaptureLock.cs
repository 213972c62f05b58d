namespace Hushtrial.Store.Captures;

/// <summary>The right of one process to write a capture: a file beside it that nobody else can open meanwhile.</summary>
/// <remarks>The system gives it back when the process is killed. A lock on the sound itself would go along when the sound becomes a recording, and would keep readers out.</remarks>
internal static class CaptureLock
{
    /// <summary>Takes it; null when somebody else has it.</summary>
    /// <exception cref="IOException">It cannot be taken for another reason.</exception>
    public static FileStream? Take(string path)
    {
        try
        {
            return new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None, 0);
        }
        // EAGAIN is 11 on Linux and 35 on macOS; ERROR_SHARING_VIOLATION 0x20 and ERROR_LOCK_VIOLATION 0x21 on Windows.
        catch (IOException e) when (e.HResult is 11 or 35 or unchecked((int)0x80070020) or unchecked((int)0x80070021))
        {
            return null;
        }
    }
}
