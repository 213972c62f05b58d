using Hushtrial.Signals.Recordings;

namespace Hushtrial.Store.Library;

/// <summary>The first bytes of a file, enough to tell its kind.</summary>
internal sealed class BeginningOfFile(ReadOnlyMemory<byte> bytes) : IByteSource
{
    /// <summary>As many as are looked at.</summary>
    private const int MostBytes = 512;

    public long Length => bytes.Length;

    public static BeginningOfFile Of(Stream stream)
    {
        var start = new byte[MostBytes];
        return new(start.AsMemory(0, stream.ReadAtLeast(start, start.Length, throwOnEndOfStream: false)));
    }

    public int Read(long offset, Span<byte> destination)
    {
        var most = (int)Math.Clamp(bytes.Length - offset, 0, destination.Length);
        bytes.Span.Slice((int)Math.Min(offset, bytes.Length), most).CopyTo(destination);
        return most;
    }

    public void Dispose()
    {
        // Bytes in memory need no closing.
    }
}
