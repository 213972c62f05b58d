namespace Hushtrial.Signals.Recordings;

/// <summary>The samples of several files one behind the other, as the bytes of one: headers and what stands behind the data are skipped.</summary>
/// <remarks>A join lies between frames, never inside one: every part gives its whole frames. Does not own the parts.</remarks>
internal sealed class JoinedBytes : IByteSource
{
    private readonly IByteSource[] _parts;
    private readonly long[] _dataAt;
    private readonly long[] _starts;

    /// <summary>Joins the samples of parts with the same frame size.</summary>
    public JoinedBytes(IReadOnlyList<(IByteSource Bytes, SampleLayout Layout)> parts)
    {
        _parts = [.. parts.Select(p => p.Bytes)];
        _dataAt = [.. parts.Select(p => p.Layout.DataOffset)];
        _starts = new long[parts.Count + 1];
        for (var i = 0; i < parts.Count; i++) _starts[i + 1] = _starts[i] + (parts[i].Layout.Frames * parts[i].Layout.FrameBytes);
    }

    public long Length => _starts[^1];

    public int Read(long offset, Span<byte> destination)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(offset);
        var done = 0;
        for (var part = PartAt(offset); part < _parts.Length && done < destination.Length; part++)
        {
            var inside = offset + done - _starts[part];
            var room = (int)Math.Min(destination.Length - done, _starts[part + 1] - offset - done);
            if (room > 0 && !_parts[part].Fill(_dataAt[part] + inside, destination.Slice(done, room))) return done;
            done += room;
        }
        return done;
    }

    public void Dispose()
    {
    }

    private int PartAt(long offset)
    {
        var part = 0;
        while (part < _parts.Length && offset >= _starts[part + 1]) part++;
        return part;
    }
}
