using System.Buffers.Binary;
using System.Runtime.InteropServices;

namespace Hushtrial.Store.Files;

/// <summary>Tells files from pipes and devices: opening a pipe may wait for ever, and a device must not be replaced by a file.</summary>
internal static partial class KindOfPath
{
    private const int TypeMask = 0xF000, Folder = 0x4000, PlainFile = 0x8000, ModeAt = 28;

    /// <summary>Whether there is a pipe, a socket or a device behind a path, links followed. Known on Linux; elsewhere everything counts as a file.</summary>
    public static bool IsSpecial(string path)
    {
        if (!OperatingSystem.IsLinux()) return false;
        try
        {
            // statx(2): -100 is the current folder, 1 asks for the type alone; the mode lies at the same place on every processor.
            Span<byte> answer = stackalloc byte[256];
            return State(-100, path, 0, 1, ref MemoryMarshal.GetReference(answer)) == 0
                && (BinaryPrimitives.ReadUInt16LittleEndian(answer[ModeAt..]) & TypeMask) is not (PlainFile or Folder);
        }
        catch (EntryPointNotFoundException)
        {
            return false;
        }
    }

    /// <summary>Whether the path is one that a shell hands over already open: '&lt;(command)', /dev/stdin. Reading it waits for that command and no longer.</summary>
    public static bool IsHandedOver(string path) =>
        path is "/dev/stdin" || path.StartsWith("/dev/fd/", StringComparison.Ordinal) || path.StartsWith("/proc/self/fd/", StringComparison.Ordinal);

    [LibraryImport("libc", EntryPoint = "statx", StringMarshalling = StringMarshalling.Utf8)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int State(int folder, string path, int flags, uint mask, ref byte answer);
}
