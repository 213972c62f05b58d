using System.Buffers.Binary;

namespace Hushtrial.Signals.Recordings;

/// <summary>What the header of a recording said.</summary>
/// <param name="Layout">Where the samples are; null when they cannot be read.</param>
/// <param name="Origin">Broadcast extension, or null.</param>
/// <param name="Markers">Cue points in order of place.</param>
internal sealed record ParsedHeader(SampleLayout? Layout, RecordingOrigin? Origin, IReadOnlyList<Marker> Markers)
{
    public static readonly ParsedHeader Nothing = new(null, null, []);

    public static ParsedHeader Read(IByteSource bytes, ContainerFormat container, RecordingProblems problems)
    {
        switch (container)
        {
            case ContainerFormat.Wave or ContainerFormat.Rf64 or ContainerFormat.Bw64:
                return new WaveFile(bytes, problems).Read();
            case ContainerFormat.Wave64:
                return new Wave64File(bytes, problems).Read();
            case ContainerFormat.Aiff or ContainerFormat.AiffC:
                return new AiffFile(bytes, problems).Read();
            case ContainerFormat.Empty:
                problems.Empty();
                return Nothing;
            case ContainerFormat.Text:
                problems.Text(FirstWords(bytes));
                return Nothing;
            case ContainerFormat.Unknown:
                Span<byte> start = stackalloc byte[8];
                problems.Unknown(start[..bytes.Read(0, start)]);
                return Nothing;
            default:
                if (FileSignature.NeedsDecoder(container)) problems.NeedsDecoder(container);
                else problems.NotAudio(container);
                return Nothing;
        }
    }

    private static string FirstWords(IByteSource bytes)
    {
        Span<byte> start = stackalloc byte[24];
        var text = System.Text.Encoding.UTF8.GetString(start[..bytes.Read(0, start)]);
        return string.Concat(text.Select(c => char.IsControl(c) || c == '\uFFFD' ? ' ' : c)).Trim() + "…";
    }
}

/// <summary>Short reads of numbers and texts from a byte source.</summary>
internal static class ByteSourceReading
{
    /// <summary>Fills the whole buffer; false when the bytes end before.</summary>
    public static bool Fill(this IByteSource bytes, long offset, Span<byte> destination)
    {
        var done = 0;
        while (done < destination.Length)
        {
            var n = bytes.Read(offset + done, destination[done..]);
            if (n <= 0) return false;
            done += n;
        }
        return true;
    }

    /// <summary>At most <paramref name="most"/> bytes of a chunk, fewer where the chunk or the file ends.</summary>
    public static byte[] Bytes(this IByteSource bytes, long offset, long size, int most)
    {
        var buffer = new byte[Math.Max(0, Math.Min(Math.Min(size, most), bytes.Length - offset))];
        return bytes.Fill(offset, buffer) ? buffer : [];
    }

    public static string Latin(ReadOnlySpan<byte> text)
    {
        var end = text.IndexOf((byte)0);
        return System.Text.Encoding.Latin1.GetString(end < 0 ? text : text[..end]).Trim();
    }

    public static ushort U16(ReadOnlySpan<byte> s, int at) => BinaryPrimitives.ReadUInt16LittleEndian(s[at..]);

    public static uint U32(ReadOnlySpan<byte> s, int at) => BinaryPrimitives.ReadUInt32LittleEndian(s[at..]);

    public static ulong U64(ReadOnlySpan<byte> s, int at) => BinaryPrimitives.ReadUInt64LittleEndian(s[at..]);
}
