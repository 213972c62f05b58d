using Hushtrial.Store;

namespace Hushtrial.Cli;

/// <summary>Standard output, whose failure is the world's and not ours: a full disk behind a redirection, a closed pipe.</summary>
internal sealed class CheckedOutput(Stream inner) : Stream
{
    /// <inheritdoc/>
    public override bool CanRead => false;

    /// <inheritdoc/>
    public override bool CanSeek => false;

    /// <inheritdoc/>
    public override bool CanWrite => true;

    /// <inheritdoc/>
    public override long Length => throw new NotSupportedException();

    /// <inheritdoc/>
    public override long Position { get => throw new NotSupportedException(); set => throw new NotSupportedException(); }

    /// <inheritdoc/>
    public override void Write(ReadOnlySpan<byte> buffer)
    {
        try { inner.Write(buffer); }
        catch (IOException e) { throw Failed(e); }
    }

    /// <inheritdoc/>
    public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

    /// <inheritdoc/>
    public override void Flush()
    {
        try { inner.Flush(); }
        catch (IOException e) { throw Failed(e); }
    }

    /// <inheritdoc/>
    public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    /// <inheritdoc/>
    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    /// <inheritdoc/>
    public override void SetLength(long value) => throw new NotSupportedException();

    private static WrongUseException Failed(IOException e) => new($"standard output cannot be written: {e.Message}");
}

/// <summary>Standard error: where nothing can be said there, the exit code still says it.</summary>
internal sealed class QuietError(TextWriter inner) : TextWriter
{
    /// <inheritdoc/>
    public override System.Text.Encoding Encoding => inner.Encoding;

    /// <inheritdoc/>
    public override void Write(char value) => Write(value.ToString());

    /// <inheritdoc/>
    public override void Write(char[] buffer, int index, int count) => Write(new string(buffer, index, count));

    /// <inheritdoc/>
    public override void Write(string? value)
    {
        try { inner.Write(value); }
        catch (IOException) { /* There is no third place to say it. */ }
    }

    /// <inheritdoc/>
    public override void Flush()
    {
        try { inner.Flush(); }
        catch (IOException) { /* As above. */ }
    }
}
