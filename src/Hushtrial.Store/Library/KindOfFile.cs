using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Store.Library;

/// <summary>Tells recordings and level logs from everything else, by their first bytes; names of files are not believed.</summary>
internal static class KindOfFile
{
    /// <summary>As many as are looked at.</summary>
    internal const int MostBytes = 512;

    /// <summary>Whether a file may be a recording.</summary>
    public static bool IsSound(IByteSource bytes) => FileSignature.Of(bytes) is var format && (FileSignature.IsNative(format) || FileSignature.NeedsDecoder(format));

    /// <summary>Why a file is neither a recording nor a level log; null when it may be one of them.</summary>
    /// <param name="bytes">The file, or its first <see cref="MostBytes"/> bytes.</param>
    /// <param name="name">Its name for people.</param>
    public static Problem? Refusal(IByteSource bytes, string name) => IsSound(bytes) || WhyNoLog(bytes) is not { } words ? null
        : FileSignature.Of(bytes) == ContainerFormat.Empty ? LibraryProblems.Empty(name) : LibraryProblems.NoSound(name, words);

    /// <summary>The same of a file that is still growing.</summary>
    public static Problem? Refusal(FileStream part, string name)
    {
        var start = new byte[MostBytes];
        using var bytes = new BufferedBytes(start.AsMemory(0, RandomAccess.Read(part.SafeFileHandle, start, 0)));
        return Refusal(bytes, name);
    }

    /// <summary>Why a file is no level log, in words such as 'a web page'; null when it may be one.</summary>
    public static string? WhyNoLog(IByteSource bytes)
    {
        var format = FileSignature.Of(bytes);
        if (format != ContainerFormat.Text) return FileSignature.Words(format);
        Span<byte> buffer = stackalloc byte[MostBytes];
        ReadOnlySpan<byte> start = buffer[..bytes.Read(0, buffer)];
        if (start.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF])) start = start[3..];
        // Two bytes a character: the zeros between are no part of the words.
        var text = new string([.. start.ToArray().Where(b => b != 0).Select(b => (char)b)]).TrimStart('\u00ff', '\u00fe', ' ', '\t', '\r', '\n');
        if (text.StartsWith('<')) return "a web page or another marked-up text";
        if (text.StartsWith("#!", StringComparison.Ordinal)) return "a program";
        return text.AsSpan().ContainsAnyInRange('0', '9') || text.Contains('\n', StringComparison.Ordinal) || text.Contains('\r', StringComparison.Ordinal) ? null : "plain text without a number";
    }
}
