namespace Hushtrial.Signals.Recordings;

/// <summary>Bytes that lie in memory: a recording that was made and never written to disk.</summary>
/// <param name="bytes">The whole file.</param>
public sealed class BufferedBytes(ReadOnlyMemory<byte> bytes) : IByteSource
{
    /// <inheritdoc/>
    public long Length => bytes.Length;

    /// <inheritdoc/>
    public int Read(long offset, Span<byte> destination)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(offset);
        var count = (int)Math.Clamp(bytes.Length - offset, 0, destination.Length);
        bytes.Span.Slice((int)Math.Min(offset, bytes.Length), count).CopyTo(destination);
        return count;
    }

    /// <inheritdoc/>
    public void Dispose()
    {
    }
}
