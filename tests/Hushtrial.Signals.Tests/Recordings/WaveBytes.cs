using System.Buffers.Binary;
using System.Text;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Recordings;

/// <summary>WAVE files in memory, with a broadcast extension (EBU Tech 3285, bext chunk) where a time reference is given.</summary>
internal static class WaveBytes
{
    public static byte[] Of(double[] interleaved, int rate, int channels, WaveSampleFormat format, long? samplesSinceMidnight = null, int padding = 0)
    {
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, rate, channels, format)) writer.Write(interleaved);
        var file = stream.ToArray();
        if (padding > 0) file = Insert(file, "junk", new byte[padding]);
        if (samplesSinceMidnight is not { } reference) return file;
        var bext = new byte[602];
        Encoding.ASCII.GetBytes("2026-05-14").CopyTo(bext, 320);
        Encoding.ASCII.GetBytes("10:12:30").CopyTo(bext, 330);
        BinaryPrimitives.WriteInt64LittleEndian(bext.AsSpan(338), reference);
        return Insert(file, "bext", bext);
    }

    public static Recording Open(string name, double[] interleaved, int rate, int channels, WaveSampleFormat format, long? samplesSinceMidnight = null, int padding = 0) =>
        Recording.Open(new BufferedBytes(Of(interleaved, rate, channels, format, samplesSinceMidnight, padding)), name);

    /// <summary>Noise that swells and falls, a little below full scale.</summary>
    public static double[] Noise(int values, int seed)
    {
        var random = new Random(seed);
        return [.. Enumerable.Range(0, values).Select(i => 0.4 * (1 + Math.Sin(i / 9000.0)) * ((2 * random.NextDouble()) - 1))];
    }

    private static byte[] Insert(byte[] file, string id, byte[] content)
    {
        var chunk = new byte[8 + content.Length + (content.Length & 1)];
        Encoding.ASCII.GetBytes(id).CopyTo(chunk, 0);
        BinaryPrimitives.WriteInt32LittleEndian(chunk.AsSpan(4), content.Length);
        content.CopyTo(chunk, 8);
        byte[] longer = [.. file.AsSpan(0, 12), .. chunk, .. file.AsSpan(12)];
        BinaryPrimitives.WriteInt32LittleEndian(longer.AsSpan(4), longer.Length - 8);
        return longer;
    }
}
