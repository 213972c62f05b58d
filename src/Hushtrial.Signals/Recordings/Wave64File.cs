using static Hushtrial.Signals.Recordings.ByteSourceReading;

namespace Hushtrial.Signals.Recordings;

/// <summary>Wave64: chunks named by GUIDs, with 64-bit lengths that count their own 24-byte header, aligned to 8 bytes.</summary>
internal sealed class Wave64File(IByteSource bytes, RecordingProblems problems)
{
    /// <summary>{66666972-912E-11CF-A5D6-28DB04C10000}.</summary>
    internal static ReadOnlySpan<byte> RiffGuid => [0x72, 0x69, 0x66, 0x66, 0x2E, 0x91, 0xCF, 0x11, 0xA5, 0xD6, 0x28, 0xDB, 0x04, 0xC1, 0x00, 0x00];

    /// <summary>{xxxxxxxx-ACF3-11D3-8CD1-00C04F8EDB8A}: the tail of the GUIDs of 'wave', 'fmt ', 'data' and others.</summary>
    private static ReadOnlySpan<byte> Tail => [0xF3, 0xAC, 0xD3, 0x11, 0x8C, 0xD1, 0x00, 0xC0, 0x4F, 0x8E, 0xDB, 0x8A];

    public ParsedHeader Read()
    {
        Span<byte> head = stackalloc byte[40];
        if (!bytes.Fill(0, head))
        {
            problems.HeaderEnds(bytes.Length);
            return ParsedHeader.Nothing;
        }
        SampleLayout? format = null;
        var formatSeen = false;
        (long Header, ulong Size)? data = null;
        long at = 40;
        while (at + 24 <= bytes.Length && bytes.Fill(at, head[..24]))
        {
            var size = U64(head, 16);
            var ours = head[4..16].SequenceEqual(Tail);
            if (ours && head.StartsWith("data"u8))
            {
                data ??= (at, size);
            }
            else if (ours && head.StartsWith("fmt "u8) && !formatSeen && size >= 24)
            {
                formatSeen = true;
                format = WaveFormat.Read(bytes.Bytes(at + 24, (long)Math.Min(size - 24, 40), 40), at + 24, (long)Math.Min(size - 24, int.MaxValue), problems);
            }
            if (size < 24 || size > (ulong)(bytes.Length - at))
            {
                if (data?.Header != at) problems.ChunkPastEnd(ours ? System.Text.Encoding.Latin1.GetString(head[..4]) : "unnamed", at + 16, size, bytes.Length);
                break;
            }
            at += (long)((size + 7) & ~7UL);
        }
        if (!formatSeen) problems.NoFormat("fmt ");
        if (data is null) problems.NoData("data");
        if (data is not { } found || format is not { } known) return ParsedHeader.Nothing;
        var extent = new DataExtent(bytes.Length, found.Header + 24, found.Size < 24 ? 0 : found.Size - 24, known, problems)
        {
            Padding = 8,
            Unknown = found.Size is < 24 or ulong.MaxValue or long.MaxValue,
        };
        return new ParsedHeader(extent.Resolve(found.Header), null, []);
    }
}
