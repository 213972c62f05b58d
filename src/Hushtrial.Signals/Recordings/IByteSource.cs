namespace Hushtrial.Signals.Recordings;

/// <summary>Bytes that can be read at any place, from several threads at once: a file, or a buffer in a test. Read only, always.</summary>
public interface IByteSource : IDisposable
{
    /// <summary>Number of bytes.</summary>
    long Length { get; }

    /// <summary>Reads from a place into a buffer; fewer bytes than asked only at the end.</summary>
    /// <returns>The number of bytes read.</returns>
    int Read(long offset, Span<byte> destination);
}
