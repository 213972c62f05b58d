using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Recordings;

/// <summary>A file in memory.</summary>
internal sealed class MemoryBytes(byte[] content) : IByteSource
{
    public long Length => content.Length;

    public int Read(long offset, Span<byte> destination)
    {
        if (offset < 0) throw new ArgumentOutOfRangeException(nameof(offset), offset, "A place before the file's start was read.");
        if (offset >= content.Length) return 0;
        var n = (int)Math.Min(destination.Length, content.Length - offset);
        content.AsSpan((int)offset, n).CopyTo(destination);
        return n;
    }

    public void Dispose()
    {
    }
}
