using System.Text;

namespace Hushtrial.Store.Files;

/// <summary>Reads a file that is small by its nature: a document, a table, a card.</summary>
public static class SmallFile
{
    /// <summary>All bytes of a file.</summary>
    /// <param name="path">The file, or what a shell hands over in its place.</param>
    /// <param name="mostBytes">A larger file is not loaded.</param>
    /// <exception cref="WrongUseException">It cannot be read: missing, a folder, no right, a pipe or a device, too large.</exception>
    public static byte[] Read(string path, int mostBytes) => ReadBeginning(path, mostBytes + 1) is var bytes && bytes.Length <= mostBytes ? bytes
        : throw new WrongUseException(FormattableString.Invariant($"'{path}' is larger than {mostBytes / 1e6:0.#} MB."));

    /// <summary>The first bytes of a file, all where it has no more.</summary>
    /// <inheritdoc cref="Read"/>
    public static byte[] ReadBeginning(string path, int mostBytes)
    {
        try
        {
            if (KindOfPath.IsSpecial(path) && !KindOfPath.IsHandedOver(path)) throw new WrongUseException($"'{path}' cannot be read: it is a pipe or a device, not a file.");
            using var stream = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.Read, bufferSize: 0);
            using var content = new MemoryStream();
            var buffer = new byte[64 * 1024];
            for (int read; (read = stream.Read(buffer, 0, (int)Math.Min(buffer.Length, mostBytes - content.Length))) > 0;) content.Write(buffer, 0, read);
            return content.ToArray();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException)
        {
            throw new WrongUseException($"'{path}' cannot be read: {e.Message}");
        }
    }

    /// <summary>The same as text: UTF-8, or what its byte-order mark says.</summary>
    /// <inheritdoc cref="Read"/>
    public static string ReadText(string path, int mostBytes)
    {
        using var reader = new StreamReader(new MemoryStream(Read(path, mostBytes)), Encoding.UTF8);
        return reader.ReadToEnd();
    }
}
