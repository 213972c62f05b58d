using static Hushtrial.Signals.Recordings.ByteSourceReading;

namespace Hushtrial.Signals.Recordings;

/// <summary>The chunks of WAVE, RF64 (EBU Tech 3306) and BW64 (ITU-R BS.2088).</summary>
internal sealed class WaveFile(IByteSource bytes, RecordingProblems problems)
{
    /// <summary>Chunk names that make a place credible as the start of a chunk where the pad byte is in doubt.</summary>
    private static readonly HashSet<string> _known = new(StringComparer.Ordinal)
    {
        "fmt ", "data", "LIST", "fact", "bext", "iXML", "cue ", "JUNK", "junk", "PAD ", "FLLR", "smpl", "inst", "ds64", "PEAK",
        "axml", "chna", "id3 ", "ID3 ", "_PMX", "cart", "levl", "link", "umid", "qlty", "plst", "DISP", "acid", "INFO", "minf", "elm1", "regn",
    };

    /// <summary>Lengths that writers leave in the header when they cannot go back: of a stream, or of a recording that lost power.</summary>
    private static readonly uint[] _placeholders = [0xFFFF_FFFF, 0x7FFF_FFFF, 0x7FFF_F000, 0x8000_0000];

    private readonly WaveTexts _texts = new();
    private SampleLayout? _format;
    private bool _formatSeen;
    private (long Header, long Start, ulong Size)? _data;
    private ulong? _dataSize64;
    private bool _sizeIs64;

    public ParsedHeader Read()
    {
        Span<byte> head = stackalloc byte[12];
        if (!bytes.Fill(0, head))
        {
            problems.HeaderEnds(bytes.Length);
            return ParsedHeader.Nothing;
        }
        _sizeIs64 = !head.StartsWith("RIFF"u8);
        var (end, leftover) = Walk();
        if (!_formatSeen) problems.NoFormat("fmt ");
        if (_data is null) problems.NoData("data");
        if (_data is not { } data || _format is not { } format) return new ParsedHeader(null, _texts.Origin, []);
        var extent = new DataExtent(bytes.Length, data.Start, data.Size, format, problems)
        {
            Unknown = IsPlaceholder(data),
            Wrapped = Wraps(data),
        };
        var layout = extent.Resolve(data.Header);
        if (layout is not null && leftover is { } at) problems.BytesBehind(at, bytes.Length - at, format);
        else if (layout is not null && end is { } last) CheckOuterSize(U32(head, 4), last);
        return new ParsedHeader(layout, _texts.Origin, _texts.Markers());
    }

    /// <summary>Goes through the chunks.</summary>
    /// <returns>The end of the last whole chunk, null when a chunk ran past the end; and the place behind the data where no chunk follows.</returns>
    private (long? End, long? Leftover) Walk()
    {
        long at = 12;
        var oddBefore = false;
        Span<byte> header = stackalloc byte[8];
        while (at + 8 <= bytes.Length + (oddBefore ? 1 : 0))
        {
            if (oddBefore && MissingPad(at))
            {
                at--;
                problems.PadMissing(at);
            }
            if (!bytes.Fill(at, header)) break;
            if (!Printable(header)) return _data is null || OnlyZeros(at) ? (at, null) : (at, at);
            var id = System.Text.Encoding.ASCII.GetString(header[..4]);
            ulong size = U32(header, 4);
            if (id == "data" && _sizeIs64 && size == uint.MaxValue && _dataSize64 is { } size64) size = size64;
            if (!Take(id, at, size)) return (null, null);
            at += 8 + (long)size + (long)(size & 1);
            oddBefore = (size & 1) == 1;
        }
        return (Math.Min(at, bytes.Length), null);
    }

    /// <summary>Reads one chunk; false when nothing can be found behind it.</summary>
    private bool Take(string id, long at, ulong size)
    {
        var start = at + 8;
        var pastEnd = size > (ulong)(bytes.Length - start);
        switch (id)
        {
            case "data" when _data is null:
                _data = (at, start, size);
                return !pastEnd && !IsPlaceholder(_data.Value) && !Wraps(_data.Value);
            case "data":
                problems.SecondChunk(id, at);
                return !pastEnd;
            case "fmt " when !_formatSeen:
                _formatSeen = true;
                _format = WaveFormat.Read(bytes.Bytes(start, (long)Math.Min(size, 40), 40), start, (long)Math.Min(size, int.MaxValue), problems);
                break;
            case "fmt ":
                problems.SecondChunk(id, at);
                break;
            case "ds64" when _sizeIs64:
                var sizes = bytes.Bytes(start, (long)Math.Min(size, 28), 28);
                if (sizes.Length >= 16) _dataSize64 = U64(sizes, 8);
                break;
            default:
                if (!pastEnd) _texts.Take(id, bytes, start, (long)size);
                break;
        }
        if (pastEnd) problems.ChunkPastEnd(id, at, size, bytes.Length);
        return !pastEnd;
    }

    /// <summary>A length of 0 counts as 'unknown' only if no chunk follows at once, for an empty recording is possible too.</summary>
    private bool IsPlaceholder((long Header, long Start, ulong Size) data)
    {
        if (data.Size == 0) return data.Start < bytes.Length && !KnownAt(data.Start);
        return data.Size <= uint.MaxValue && _placeholders.Contains((uint)data.Size) && data.Size > (ulong)(bytes.Length - data.Start);
    }

    /// <summary>A careless writer's 32-bit length beyond 4 GiB: whole multiples are missing, and what remains are small chunks behind the data.</summary>
    private bool Wraps((long Header, long Start, ulong Size) data)
    {
        var behind = bytes.Length - data.Start - (long)Math.Min(data.Size, long.MaxValue);
        return !_sizeIs64 && behind >= 1L << 32 && behind % (1L << 32) <= 65_536;
    }

    private bool MissingPad(long at) => !KnownAt(at) && KnownAt(at - 1);

    private bool KnownAt(long at)
    {
        Span<byte> id = stackalloc byte[4];
        return bytes.Fill(at, id) && _known.Contains(System.Text.Encoding.Latin1.GetString(id));
    }

    private static bool Printable(ReadOnlySpan<byte> header)
    {
        foreach (var b in header[..4])
            if (b is < 0x20 or > 0x7E) return false;
        return true;
    }

    /// <summary>Recorders fill their last sector with zeros; that is no lost sound. Looks at 64 KiB at most.</summary>
    private bool OnlyZeros(long at) => bytes.Length - at <= 65_536 && bytes.Bytes(at, 65_536, 65_536).All(b => b == 0);

    private void CheckOuterSize(uint stated, long end)
    {
        if (_sizeIs64 || stated == 0 || _placeholders.Contains(stated) || end < bytes.Length) return;
        // One byte more or less is the pad byte of the last chunk, counted or not.
        if (Math.Abs((long)stated + 8 - bytes.Length) > 1 && bytes.Length <= uint.MaxValue) problems.SizesDisagree(4, stated, bytes.Length);
    }
}
