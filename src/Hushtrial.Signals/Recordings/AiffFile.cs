using System.Buffers.Binary;
using static System.FormattableString;

namespace Hushtrial.Signals.Recordings;

/// <summary>AIFF (1989) and AIFF-C (draft of 1991) of uncompressed samples.</summary>
internal sealed class AiffFile(IByteSource bytes, RecordingProblems problems)
{
    private const int MostMarkers = 10_000;

    private SampleLayout? _format;
    private bool _formatSeen, _compressed;
    private (long Header, ulong Size)? _sound;
    private readonly List<Marker> _markers = [];
    private uint _frames;

    public ParsedHeader Read()
    {
        Span<byte> head = stackalloc byte[12];
        if (!bytes.Fill(0, head))
        {
            problems.HeaderEnds(bytes.Length);
            return ParsedHeader.Nothing;
        }
        _compressed = head[8..].SequenceEqual("AIFC"u8);
        long at = 12;
        while (at + 8 <= bytes.Length && bytes.Fill(at, head[..8]))
        {
            var size = BinaryPrimitives.ReadUInt32BigEndian(head[4..]);
            if (!Take(head[..4], at, size)) break;
            at += 8 + (long)size + (size & 1);
        }
        if (!_formatSeen) problems.NoFormat("COMM");
        if (_sound is null) problems.NoData("SSND");
        if (_sound is not { } sound || _format is not { } format) return ParsedHeader.Nothing;
        return new ParsedHeader(Place(sound, format), null, [.. _markers.OrderBy(m => m.Frame)]);
    }

    private bool Take(ReadOnlySpan<byte> id, long at, uint size)
    {
        var pastEnd = size > bytes.Length - at - 8;
        if (id.SequenceEqual("SSND"u8) && _sound is null)
        {
            _sound = (at, size);
            return !pastEnd;
        }
        if (pastEnd && !id.SequenceEqual("COMM"u8))
        {
            if (_sound is null || _format is null) problems.ChunkPastEnd(System.Text.Encoding.Latin1.GetString(id), at, size, bytes.Length);
            return false;
        }
        if (id.SequenceEqual("COMM"u8) && !_formatSeen)
        {
            _formatSeen = true;
            _format = Common(bytes.Bytes(at + 8, size, 64), at + 8, size);
        }
        else if (id.SequenceEqual("MARK"u8))
        {
            Markers(bytes.Bytes(at + 8, size, 1 << 20));
        }
        return true;
    }

    /// <summary>The sound chunk starts with an offset and a block size of 4 bytes each, before the samples.</summary>
    private SampleLayout? Place((long Header, ulong Size) sound, SampleLayout format)
    {
        Span<byte> offsets = stackalloc byte[8];
        long skip = bytes.Fill(sound.Header + 8, offsets) ? BinaryPrimitives.ReadUInt32BigEndian(offsets) : 0;
        var start = sound.Header + 16 + skip;
        // A stream writes the frame count only when it ends: the common chunk then says 0, the sound chunk little or nothing.
        var unknown = _frames == 0 && sound.Size <= 8 && bytes.Length > start;
        var promised = sound.Size < 8 + (ulong)skip ? 0 : sound.Size - 8 - (ulong)skip;
        var stated = (ulong)_frames * (ulong)format.FrameBytes;
        // Both chunks state the length; the samples are what both agree on, and a sound chunk may be padded.
        if (!unknown && stated < promised)
        {
            // Of a file that ends early nothing lies behind the samples, whatever the sound chunk says.
            var behind = Math.Min((long)(promised - stated), bytes.Length - start - (long)stated);
            if (behind > format.FrameBytes) problems.BytesBehind(start + (long)stated, behind, format);
            promised = stated;
        }
        else if (!unknown && stated > promised) promised = stated;
        return new DataExtent(bytes.Length, start, promised, format, problems) { Unknown = unknown }.Resolve(sound.Header);
    }

    private SampleLayout? Common(ReadOnlySpan<byte> chunk, long at, long size)
    {
        var least = _compressed ? 22 : 18;
        if (chunk.Length < least)
        {
            problems.FormatTooShort("COMM", at, Math.Min(size, chunk.Length), least);
            return null;
        }
        int channels = BinaryPrimitives.ReadUInt16BigEndian(chunk), bits = BinaryPrimitives.ReadUInt16BigEndian(chunk[6..]);
        _frames = BinaryPrimitives.ReadUInt32BigEndian(chunk[2..]);
        var rate = Extended(chunk[8..18]);
        var code = _compressed ? System.Text.Encoding.Latin1.GetString(chunk[18..22]) : "NONE";
        var (kind, bytesEach, big) = code switch
        {
            "NONE" or "twos" => (SampleKind.SignedInteger, (bits + 7) / 8, true),
            "sowt" => (SampleKind.SignedInteger, (bits + 7) / 8, false),
            "raw " => (SampleKind.UnsignedInteger, (bits + 7) / 8, true),
            "in24" => (SampleKind.SignedInteger, 3, true),
            "in32" => (SampleKind.SignedInteger, 4, true),
            "42ni" => (SampleKind.SignedInteger, 3, false),
            "23ni" => (SampleKind.SignedInteger, 4, false),
            "fl32" or "FL32" => (SampleKind.FloatingPoint, 4, true),
            "fl64" or "FL64" => (SampleKind.FloatingPoint, 8, true),
            _ => (SampleKind.SignedInteger, 0, true),
        };
        if (bytesEach == 0 && code is not ("NONE" or "twos" or "sowt" or "raw "))
        {
            problems.Codec(at + 18, CodecName(code), "Convert it with 'ffmpeg -i IN.aifc -c:a pcm_s24le OUT.wav'; such a codec may alter band levels, so record as PCM next time.");
            return null;
        }
        if (!WaveFormat.RateAndChannels(at, channels, rate, problems)) return null;
        if (bytesEach is 0 || (kind != SampleKind.FloatingPoint && bytesEach > 4))
        {
            problems.BitsAbsurd(at, bits, "integer");
            return null;
        }
        var valid = kind == SampleKind.FloatingPoint || bits == 0 || bits > 8 * bytesEach ? 8 * bytesEach : bits;
        return new SampleLayout(0, 0, channels, channels * bytesEach, (int)rate, new SampleEncoding(kind, bytesEach, valid, big));
    }

    /// <summary>An 80-bit extended number: sign and exponent in 16 bits, then 64 bits with an explicit leading one.</summary>
    private static double Extended(ReadOnlySpan<byte> s)
    {
        var exponent = BinaryPrimitives.ReadUInt16BigEndian(s);
        var mantissa = BinaryPrimitives.ReadUInt64BigEndian(s[2..]);
        if (exponent == 0 && mantissa == 0) return 0;
        var value = Math.ScaleB(mantissa, (exponent & 0x7FFF) - 16383 - 63);
        return (exponent & 0x8000) == 0 ? value : -value;
    }

    private void Markers(ReadOnlySpan<byte> chunk)
    {
        var at = 2;
        while (at + 7 <= chunk.Length && _markers.Count < MostMarkers)
        {
            int length = chunk[at + 6];
            if (at + 7 + length > chunk.Length) return;
            _markers.Add(new Marker(BinaryPrimitives.ReadUInt32BigEndian(chunk[(at + 2)..]), ByteSourceReading.Latin(chunk.Slice(at + 7, length))));
            // A Pascal text and its length byte together fill an even number of bytes.
            at += 7 + length + ((length + 1) & 1);
        }
    }

    private static string CodecName(string code) => code switch
    {
        "ulaw" or "ULAW" => "µ-law (ITU-T G.711)",
        "alaw" or "ALAW" => "A-law (ITU-T G.711)",
        "ima4" => "IMA ADPCM",
        "MAC3" or "MAC6" => "MACE",
        _ => Invariant($"codec '{string.Concat(code.Select(c => char.IsControl(c) ? '?' : c))}'"),
    };
}
