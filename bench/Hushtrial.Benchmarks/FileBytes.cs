using Hushtrial.Signals.Recordings;
using Microsoft.Win32.SafeHandles;

namespace Hushtrial.Benchmarks;

/// <summary>The bytes of a file.</summary>
internal sealed class FileBytes(string path) : IByteSource
{
    private readonly SafeFileHandle _handle = File.OpenHandle(path);

    public long Length => RandomAccess.GetLength(_handle);

    public int Read(long offset, Span<byte> destination) => RandomAccess.Read(_handle, destination, offset);

    public void Dispose() => _handle.Dispose();
}
