using System.IO.Compression;
using System.Text;

namespace Hushtrial.Store.Library;

/// <summary>The document of a revision as it lies in the database: UTF-8, compressed.</summary>
internal static class RevisionText
{
    public static byte[] Pack(string text)
    {
        var bytes = Encoding.UTF8.GetBytes(text);
        using var packed = new MemoryStream();
        using (var brotli = new BrotliStream(packed, CompressionLevel.Fastest, leaveOpen: true)) brotli.Write(bytes);
        return packed.ToArray();
    }

    public static string Unpack(byte[] packed)
    {
        using var brotli = new BrotliStream(new MemoryStream(packed), CompressionMode.Decompress);
        using var reader = new StreamReader(brotli, new UTF8Encoding(false));
        return reader.ReadToEnd();
    }
}
