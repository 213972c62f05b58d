using System.Security.Cryptography;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Web.Tests.Uploads;

/// <summary>Files to bring in, in a folder of their own.</summary>
internal sealed class SampleFiles : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("hushtrial-files-");

    public string PathOf(string name) => Path.Combine(_folder.FullName, name);

    /// <summary>A recording of so many megabytes: noise at first, digital silence up to its end, which a disk need not hold.</summary>
    public string Recording(string name, long megabytes, int seed = 1)
    {
        var path = PathOf(name);
        using (var stream = File.Create(path))
        using (var writer = new WaveWriter(stream, 48_000, 1, WaveSampleFormat.Integer16)) writer.Write(Noise(48_000, seed));
        using (var stream = new FileStream(path, FileMode.Open, FileAccess.ReadWrite))
        {
            var header = new byte[12 + 8 + 28 + 8 + 16 + 8 + 4096];
            stream.ReadExactly(header);
            var data = header.AsSpan().IndexOf("data"u8);
            stream.SetLength(megabytes * 1_000_000);
            // Lengths of the whole and of the samples, little-endian, as the format has them.
            stream.Position = 4;
            stream.Write(BitConverter.GetBytes((uint)(stream.Length - 8)));
            stream.Position = data + 4;
            stream.Write(BitConverter.GetBytes((uint)(stream.Length - data - 8)));
        }
        return path;
    }

    /// <summary>A recording of a second of noise.</summary>
    public static byte[] Wave(int seed = 1)
    {
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, 48_000, 1, WaveSampleFormat.Integer16)) writer.Write(Noise(48_000, seed));
        return stream.ToArray();
    }

    public static string Sha256(string path)
    {
        using var stream = File.OpenRead(path);
        return Convert.ToHexStringLower(SHA256.HashData(stream));
    }

    public static string Sha256(byte[] bytes) => Convert.ToHexStringLower(SHA256.HashData(bytes));

    public void Dispose() => _folder.Delete(recursive: true);

    private static double[] Noise(int frames, int seed)
    {
        var random = new Random(seed);
        return [.. Enumerable.Range(0, frames).Select(_ => 0.2 * (random.NextDouble() - 0.5))];
    }
}
