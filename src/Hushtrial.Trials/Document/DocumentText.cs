using System.Globalization;
using System.Text;

namespace Hushtrial.Trials.Document;

/// <summary>From bytes to text: size, encoding, and the characters that a parser would trip over in a way nobody understands.</summary>
internal static class DocumentText
{
    /// <summary>5 MB: a trial document of a thousand takes has about 0.1 MB; a recording opened by mistake has more.</summary>
    public const int MostBytes = 5_000_000;

    /// <summary>The text of a stream, or null with the reason collected.</summary>
    public static string? Decode(Stream stream, DocumentProblems problems)
    {
        var buffer = new byte[64 * 1024];
        using var all = new MemoryStream();
        for (int read; (read = stream.Read(buffer, 0, buffer.Length)) > 0;)
        {
            all.Write(buffer, 0, read);
            if (all.Length > MostBytes) { TooLong(problems); return null; }
        }
        return Decode(all.GetBuffer().AsSpan(0, (int)all.Length), problems);
    }

    /// <summary>Whether a text may go to the parser; collects why not.</summary>
    public static bool IsReadable(string text, DocumentProblems problems)
    {
        if (text.Length > MostBytes) { TooLong(problems); return false; }
        var (line, column, readable, indenting) = (1, 1, true, true);
        for (var i = 0; i < text.Length; i++)
        {
            var ch = text[i];
            if (ch is '\n' or '\r')
            {
                if (ch == '\r' && i + 1 < text.Length && text[i + 1] == '\n') i++;
                (line, column, indenting) = (line + 1, 1, true);
                continue;
            }
            if (ch is '\t' or '\u00a0' && indenting && !IsCommentOrBlank(text, i))
            {
                problems.Error("DOC-004", new Place(line, column), "", ch == '\t' ? "a tab at the start of the line" : "a no-break space at the start of the line",
                    "spaces", "Indent with spaces: two for each step.");
                (readable, indenting) = (false, false);
            }
            else if (ch is '\ufffe' or '\uffff' or '\u007f' || (ch < ' ' && ch != '\t'))
            {
                problems.Error("DOC-003", new Place(line, column), "", string.Create(CultureInfo.InvariantCulture, $"the control character U+{(int)ch:X4}"),
                    "plain text", "This looks like something other than a text file, or text damaged on its way. Save it as plain text in UTF-8.");
                return false;
            }
            indenting &= ch is ' ' or '\t' or '\u00a0';
            column++;
        }
        return readable;
    }

    /// <summary>Blank lines and comments as the parser likes them: it stumbles over a tab alone on a line.</summary>
    public static string WithoutStrayTabs(string text) => text.Contains('\t', StringComparison.Ordinal)
        ? string.Join('\n', text.ReplaceLineEndings("\n").Split('\n').Select(l => l.AsSpan().TrimStart(" \t").IsEmpty ? "" : l.TrimEnd('\t')))
        : text;

    private static string? Decode(ReadOnlySpan<byte> bytes, DocumentProblems problems)
    {
        if (bytes.StartsWith<byte>([0xFF, 0xFE, 0, 0]) || bytes.StartsWith<byte>([0, 0, 0xFE, 0xFF]))
        {
            problems.Error("DOC-002", new Place(1, 1), "", "text in UTF-32", "text in UTF-8", "Save the file again as UTF-8.");
            return null;
        }
        if (bytes.StartsWith<byte>([0xFF, 0xFE])) return Utf16(bytes[2..], bigEndian: false, problems);
        if (bytes.StartsWith<byte>([0xFE, 0xFF])) return Utf16(bytes[2..], bigEndian: true, problems);
        if (bytes.Length >= 4 && bytes[0] != 0 && bytes[1] == 0 && bytes[2] != 0 && bytes[3] == 0) return Utf16(bytes, bigEndian: false, problems);
        if (bytes.Length >= 4 && bytes[0] == 0 && bytes[1] != 0 && bytes[2] == 0 && bytes[3] != 0) return Utf16(bytes, bigEndian: true, problems);
        if (bytes.StartsWith<byte>([0xEF, 0xBB, 0xBF])) bytes = bytes[3..];
        try
        {
            return new UTF8Encoding(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true).GetString(bytes);
        }
        catch (DecoderFallbackException e)
        {
            var before = bytes[..Math.Clamp(e.Index, 0, bytes.Length)];
            var line = 1 + before.Count((byte)'\n');
            var column = before.Length - (before.LastIndexOf((byte)'\n') + 1) + 1;
            var bad = e.BytesUnknown is { Length: > 0 } unknown ? unknown[0] : bytes[Math.Min(before.Length, bytes.Length - 1)];
            problems.Error("DOC-002", new Place(line, column), "", string.Create(CultureInfo.InvariantCulture, $"the byte 0x{bad:X2}, which is not UTF-8"),
                "text in UTF-8", "Save the file again as UTF-8 (it may be in an older encoding of your system).");
            return null;
        }
    }

    private static string? Utf16(ReadOnlySpan<byte> bytes, bool bigEndian, DocumentProblems problems)
    {
        try
        {
            return new UnicodeEncoding(bigEndian, byteOrderMark: false, throwOnInvalidBytes: true).GetString(bytes);
        }
        catch (DecoderFallbackException)
        {
            problems.Error("DOC-002", new Place(1, 1), "", "damaged text in UTF-16", "text in UTF-8", "Save the file again as UTF-8.");
            return null;
        }
    }

    private static bool IsCommentOrBlank(string text, int from)
    {
        while (from < text.Length && text[from] is ' ' or '\t' or '\u00a0') from++;
        return from >= text.Length || text[from] is '#' or '\n' or '\r';
    }

    private static void TooLong(DocumentProblems problems) => problems.Error("DOC-001", new Place(1, 1), "", "a file of more than 5 MB",
        "a trial document, which has a few thousand lines at most", "Check that this is the document and not a recording or a level log.");
}
