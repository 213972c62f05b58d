using Hushtrial.Signals.Recordings;

namespace Hushtrial.Trials.Logs;

/// <summary>A byte source read from its beginning as a stream.</summary>
internal sealed class ByteStream(IByteSource source) : Stream
{
    private long _at;

    public override bool CanRead => true;

    public override bool CanSeek => false;

    public override bool CanWrite => false;

    public override long Length => source.Length;

    public override long Position { get => _at; set => throw new NotSupportedException(); }

    public override int Read(Span<byte> buffer)
    {
        var read = source.Read(_at, buffer);
        _at += read;
        return read;
    }

    public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

    public override void Flush()
    {
    }

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
}
