using System.Buffers.Binary;
using System.Text;

namespace Hushtrial.Signals.Recordings;

/// <summary>Adds words to a finished WAVE file: title and comment, and cue points with their labels, behind the samples.</summary>
/// <remarks>Source: Multimedia Programming Interface and Data Specifications 1.0 (1991): LIST of the type INFO (INAM, ICMT), 'cue ', LIST of the type adtl (labl).</remarks>
public static class WaveNotes
{
    /// <summary>Adds them.</summary>
    /// <param name="stream">A whole WAVE file below 4 GB from its first byte, readable, writable and seekable; left at its end.</param>
    /// <param name="title">Title; characters outside Latin-1 become '?'.</param>
    /// <param name="comment">Comment, likewise.</param>
    /// <param name="markers">Cue points; may be empty.</param>
    /// <exception cref="ArgumentException">It is no WAVE file, or would become too long.</exception>
    public static void Append(Stream stream, string title, string comment, IReadOnlyList<Marker> markers)
    {
        ArgumentNullException.ThrowIfNull(stream);
        ArgumentNullException.ThrowIfNull(markers);
        var head = new byte[4];
        stream.Position = 0;
        if (stream.ReadAtLeast(head, 4, throwOnEndOfStream: false) < 4 || !head.AsSpan().SequenceEqual("RIFF"u8)) throw new ArgumentException("A WAVE file below 4 GB is wanted.", nameof(stream));
        stream.Position = stream.Length;
        Chunk(stream, "LIST"u8, [.. "INFO"u8, .. Text("INAM"u8, title), .. Text("ICMT"u8, comment)]);
        if (markers.Count > 0)
        {
            var cue = new byte[4 + (24 * markers.Count)];
            BinaryPrimitives.WriteInt32LittleEndian(cue, markers.Count);
            var labels = new List<byte>("adtl"u8.ToArray());
            for (var i = 0; i < markers.Count; i++)
            {
                var at = cue.AsSpan(4 + (24 * i));
                BinaryPrimitives.WriteInt32LittleEndian(at, i + 1);
                BinaryPrimitives.WriteUInt32LittleEndian(at[4..], (uint)markers[i].Frame);
                "data"u8.CopyTo(at[8..]);
                BinaryPrimitives.WriteUInt32LittleEndian(at[20..], (uint)markers[i].Frame);
                var number = new byte[4];
                BinaryPrimitives.WriteInt32LittleEndian(number, i + 1);
                labels.AddRange(Of("labl"u8, [.. number, .. Encoding.Latin1.GetBytes(markers[i].Label), 0]));
            }
            Chunk(stream, "cue "u8, cue);
            Chunk(stream, "LIST"u8, [.. labels]);
        }
        if (stream.Length - 8 > uint.MaxValue) throw new ArgumentException("The file is too long.", nameof(stream));
        var size = new byte[4];
        BinaryPrimitives.WriteUInt32LittleEndian(size, (uint)(stream.Length - 8));
        stream.Position = 4;
        stream.Write(size);
        stream.Position = stream.Length;
    }

    private static byte[] Text(ReadOnlySpan<byte> id, string text) => Of(id, [.. Encoding.Latin1.GetBytes(text), 0]);

    private static void Chunk(Stream stream, ReadOnlySpan<byte> id, byte[] content) => stream.Write(Of(id, content));

    private static byte[] Of(ReadOnlySpan<byte> id, byte[] content)
    {
        // An odd content is followed by one byte that its size does not count.
        var bytes = new byte[8 + content.Length + (content.Length & 1)];
        id.CopyTo(bytes);
        BinaryPrimitives.WriteInt32LittleEndian(bytes.AsSpan(4), content.Length);
        content.CopyTo(bytes, 8);
        return bytes;
    }
}
