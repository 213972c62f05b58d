using System.Buffers.Binary;
using System.Text;
using Hushtrial.Quantities;
using Microsoft.Win32.SafeHandles;

namespace Hushtrial.Store.Files;

/// <summary>Apple Lossless in a Core Audio file as some programs write it: samples that no decoder gives back.</summary>
/// <remarks>The library libsndfile (1.2.0 and before) writes a packet of two channels that does not become smaller, as loud noise does not, with other bits than the samples had when they
/// have more than 16: neither ffmpeg nor the library itself reads the samples back. More than two channels it writes in the order of the file it was given, and ffmpeg takes them for the
/// order of the format (centre first), so that channels change places. Its files have no 'chan' chunk; those of ffmpeg do, and their packets come back as they were.
/// What the chunks mean: Apple Core Audio Format Specification 1.0; first bits of a packet: the Apple Lossless reference source.</remarks>
internal static class AlacInCaf
{
    private const int MostChunks = 1000;

    /// <summary>Why the samples of such a file cannot be trusted; null when they can.</summary>
    /// <param name="path">A Core Audio file that holds Apple Lossless.</param>
    /// <param name="name">Name for people.</param>
    public static Problem? Doubt(string path, string name)
    {
        using var file = File.OpenHandle(path);
        var chunks = Chunks(file);
        if (chunks.ContainsKey("chan") || !chunks.TryGetValue("desc", out var desc) || desc.Length < 32) return null;
        var channels = BinaryPrimitives.ReadUInt32BigEndian(Bytes(file, desc.At + 24, 4));
        if (channels > 2) return FileProblems.ChannelsOutOfOrder(name, channels);
        if (channels < 2 || !chunks.TryGetValue("kuki", out var cookie) || !chunks.TryGetValue("pakt", out var table) || !chunks.TryGetValue("data", out var data) || BitDepth(Bytes(file, cookie.At, (int)Math.Min(cookie.Length, 64))) is not > 16) return null;
        var (stored, all) = Uncompressed(file, Sizes(Bytes(file, table.At, (int)Math.Min(table.Length, 1 << 26))), data.At + 4);
        return stored == 0 ? null : FileProblems.PacketsNotGivenBack(name, stored, all);
    }

    private static Dictionary<string, (long At, long Length)> Chunks(SafeFileHandle file)
    {
        var chunks = new Dictionary<string, (long, long)>(StringComparer.Ordinal);
        var length = RandomAccess.GetLength(file);
        for (long at = 8; at + 12 <= length && chunks.Count < MostChunks;)
        {
            var head = Bytes(file, at, 12);
            if (head.Length < 12) break;
            var size = BinaryPrimitives.ReadInt64BigEndian(head.AsSpan(4));
            at += 12;
            // Minus one: to the end of the file.
            if (size < 0 || size > length - at) size = length - at;
            chunks.TryAdd(Encoding.Latin1.GetString(head, 0, 4), (at, size));
            at += size;
        }
        return chunks;
    }

    // The cookie is the decoder's configuration, or holds it behind two atoms of twelve bytes.
    private static int? BitDepth(byte[] cookie)
    {
        var at = cookie.Length >= 8 && cookie.AsSpan(4, 4).SequenceEqual("frma"u8) ? 24 : 0;
        return cookie.Length >= at + 24 ? cookie[at + 5] : null;
    }

    // Number of packets, of frames, two remainders; then each size in groups of seven bits, the highest first.
    private static IEnumerable<long> Sizes(byte[] table)
    {
        if (table.Length < 24) yield break;
        var packets = BinaryPrimitives.ReadInt64BigEndian(table);
        long size = 0, read = 0;
        for (var i = 24; i < table.Length && read < packets; i++)
        {
            size = ((size & 0xFFFFFF) << 7) | (table[i] & 0x7FL);
            if ((table[i] & 0x80) != 0) continue;
            yield return size;
            (size, read) = (0, read + 1);
        }
    }

    // A packet begins with the kind of its first element (3 bits), its number (4), 12 unused, a flag for a part packet, the bytes shifted out (2) and the flag of interest.
    private static (int Stored, int All) Uncompressed(SafeFileHandle file, IEnumerable<long> sizes, long at)
    {
        var (stored, all) = (0, 0);
        Span<byte> head = stackalloc byte[3];
        foreach (var size in sizes)
        {
            if (RandomAccess.Read(file, head, at) < head.Length) break;
            if ((head[2] & 0x02) != 0) stored++;
            all++;
            at += size;
        }
        return (stored, all);
    }

    private static byte[] Bytes(SafeFileHandle file, long at, int count)
    {
        var bytes = new byte[count];
        var read = 0;
        while (read < count && RandomAccess.Read(file, bytes.AsSpan(read), at + read) is > 0 and var more) read += more;
        return read == count ? bytes : bytes[..read];
    }
}
