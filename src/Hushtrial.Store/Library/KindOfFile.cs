using Hushtrial.Signals.Recordings;

namespace Hushtrial.Store.Library;

/// <summary>Tells recordings and level logs from everything else, by their first bytes; names of files are not believed.</summary>
internal static class KindOfFile
{
    /// <summary>As many as are looked at.</summary>
    private const int MostBytes = 512;

    /// <summary>Whether a file may be a recording.</summary>
    public static bool IsSound(IByteSource bytes) => FileSignature.Of(bytes) is var format && (FileSignature.IsNative(format) || FileSignature.NeedsDecoder(format));

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
