using System.Text.Unicode;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>What a proposal looks at: the coding of a log, its first lines and its last ones. The whole file is read once.</summary>
/// <param name="Encoding">Coding of the characters.</param>
/// <param name="EncodingEvidence">How it is known.</param>
/// <param name="Head">The first lines.</param>
/// <param name="Tail">The last lines behind the head, with their numbers.</param>
/// <param name="Lines">Number of lines.</param>
internal sealed record LogSample(LogEncoding Encoding, string EncodingEvidence, IReadOnlyList<string> Head, IReadOnlyList<(int Number, string Text)> Tail, int Lines)
{
    private const int HeadLines = 1500;
    private const int TailLines = 300;
    private const int Looked = 1 << 20;

    /// <summary>The sample, or the reason why there is none.</summary>
    internal static (LogSample? Sample, Problem? Problem) Take(IByteSource bytes, string name, LogEncoding? stated)
    {
        if (bytes.Length == 0) return (null, LogProblems.Empty(name));
        var start = Read(bytes, 0);
        if (Foreign(start) is { } what) return (null, LogProblems.NotText(name, what));
        var (encoding, evidence) = stated is { } s ? (s, "stated") : Detect(start, Read(bytes, Math.Max(0, bytes.Length - (1 << 16))));
        if (encoding is not (LogEncoding.Utf16LittleEndian or LogEncoding.Utf16BigEndian) && start.AsSpan().Contains((byte)0)) return (null, LogProblems.NotText(name, "zero bytes, as no text has"));
        var lines = new LogLines(new ByteStream(bytes), encoding);
        var head = new List<string>();
        var tail = new Queue<(int, string)>();
        while (lines.Next())
        {
            if (head.Count < HeadLines) head.Add(lines.Line.ToString());
            else
            {
                if (tail.Count == TailLines) tail.Dequeue();
                tail.Enqueue((lines.Number, lines.Line.Length > 20_000 ? "" : lines.Line.ToString()));
            }
        }
        return lines.IsOverlong ? (null, LogProblems.Error("LOG-003", name, $"a line of more than {LogLines.MostCharacters} characters", "rows of a table", "Export the levels as text (CSV)."))
            : (new(encoding, evidence, head, [.. tail], lines.Number), null);
    }

    private static byte[] Read(IByteSource bytes, long offset)
    {
        var buffer = new byte[(int)Math.Min(Looked, bytes.Length - offset)];
        var filled = 0;
        while (filled < buffer.Length && bytes.Read(offset + filled, buffer.AsSpan(filled)) is > 0 and var read) filled += read;
        return buffer[..filled];
    }

    private static string? Foreign(ReadOnlySpan<byte> start) =>
        start.StartsWith("PK"u8) ? "a packed archive or a spreadsheet file" : start.StartsWith("%PDF"u8) ? "a PDF" : start.StartsWith("RIFF"u8) ? "a recording" : start.StartsWith((ReadOnlySpan<byte>)[0xd0, 0xcf, 0x11, 0xe0]) ? "a spreadsheet file" : null;

    private static (LogEncoding, string) Detect(ReadOnlySpan<byte> start, ReadOnlySpan<byte> end)
    {
        if (start.StartsWith((ReadOnlySpan<byte>)[0xef, 0xbb, 0xbf])) return (LogEncoding.Utf8, "byte-order mark");
        if (start.StartsWith((ReadOnlySpan<byte>)[0xff, 0xfe])) return (LogEncoding.Utf16LittleEndian, "byte-order mark");
        if (start.StartsWith((ReadOnlySpan<byte>)[0xfe, 0xff])) return (LogEncoding.Utf16BigEndian, "byte-order mark");
        var (even, odd) = (0, 0);
        var looked = Math.Min(start.Length, 4096) & ~1;
        for (var i = 0; i < looked; i += 2)
        {
            if (start[i] == 0) even++;
            if (start[i + 1] == 0) odd++;
        }
        if (odd > looked / 4 && even < looked / 40) return (LogEncoding.Utf16LittleEndian, "every second byte is zero");
        if (even > looked / 4 && odd < looked / 40) return (LogEncoding.Utf16BigEndian, "every second byte is zero");
        return IsUtf8(start) && IsUtf8(end) ? (LogEncoding.Utf8, "every byte fits UTF-8") : (LogEncoding.Latin1, "bytes that are not UTF-8");
    }

    /// <summary>Whether bytes are UTF-8, a character cut at either end aside.</summary>
    private static bool IsUtf8(ReadOnlySpan<byte> bytes)
    {
        var from = 0;
        while (from < Math.Min(3, bytes.Length) && (bytes[from] & 0xc0) == 0x80) from++;
        for (var cut = 0; cut < 4 && cut <= bytes.Length - from; cut++)
            if (Utf8.IsValid(bytes[from..^cut]) && (cut == 0 || bytes[^cut] >= 0xc0)) return true;
        return false;
    }
}
