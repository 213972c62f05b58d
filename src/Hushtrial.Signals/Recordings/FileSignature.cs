namespace Hushtrial.Signals.Recordings;

/// <summary>Tells the kind of a file from its first bytes.</summary>
public static class FileSignature
{
    /// <summary>The longest beginning looked at, bytes.</summary>
    private const int Longest = 512;

    /// <summary>As many characters of two bytes as tell a text from chance.</summary>
    private const int LeastPairs = 16;


    /// <summary>The kind of file these bytes are.</summary>
    public static ContainerFormat Of(IByteSource bytes)
    {
        Span<byte> start = stackalloc byte[Longest];
        return Of(start[..bytes.Read(0, start)]);
    }

    /// <summary>Kinds that this library reads itself.</summary>
    public static bool IsNative(ContainerFormat format) => format is ContainerFormat.Wave or ContainerFormat.Rf64 or ContainerFormat.Bw64
        or ContainerFormat.Wave64 or ContainerFormat.Aiff or ContainerFormat.AiffC;

    /// <summary>Audio that a decoder outside this library can turn into WAVE.</summary>
    public static bool NeedsDecoder(ContainerFormat format) => format is >= ContainerFormat.Flac and <= ContainerFormat.Amr;

    /// <summary>The kind's name for people, with its article: 'a FLAC file'.</summary>
    public static string Words(ContainerFormat format) => format switch
    {
        ContainerFormat.Empty => "an empty file",
        ContainerFormat.Wave => "a WAV file",
        ContainerFormat.Rf64 => "an RF64 file",
        ContainerFormat.Bw64 => "a BW64 file",
        ContainerFormat.Wave64 => "a Wave64 file",
        ContainerFormat.Aiff => "an AIFF file",
        ContainerFormat.AiffC => "an AIFF-C file",
        ContainerFormat.Flac => "a FLAC file",
        ContainerFormat.Ogg => "an Ogg file",
        ContainerFormat.Mpeg => "an MPEG audio (mp3) file",
        ContainerFormat.Adts => "an AAC file",
        ContainerFormat.Mpeg4 => "an MPEG-4 (m4a, mp4) file",
        ContainerFormat.Caf => "a CAF file",
        ContainerFormat.Matroska => "a Matroska or WebM file",
        ContainerFormat.Asf => "an ASF (wma) file",
        ContainerFormat.WavPack => "a WavPack file",
        ContainerFormat.Au => "an au file",
        ContainerFormat.Amr => "an AMR file",
        ContainerFormat.OtherRiff => "a RIFF file that is not WAVE (a video, perhaps)",
        ContainerFormat.BigEndianWave => "a big-endian WAV (RIFX) file",
        ContainerFormat.OtherIff => "an IFF file that is not AIFF",
        ContainerFormat.Zip => "a ZIP archive or office document",
        ContainerFormat.Archive => "a compressed archive",
        ContainerFormat.Pdf => "a PDF document",
        ContainerFormat.Picture => "a picture",
        ContainerFormat.Text => "plain text",
        _ => "unknown data",
    };

    private static ContainerFormat Of(ReadOnlySpan<byte> s)
    {
        if (s.IsEmpty) return ContainerFormat.Empty;
        if (s.StartsWith("RIFF"u8)) return Tag(s, 8, "WAVE"u8) || s.Length < 12 ? ContainerFormat.Wave : ContainerFormat.OtherRiff;
        if (s.StartsWith("RIFX"u8)) return ContainerFormat.BigEndianWave;
        if (s.StartsWith("RF64"u8)) return ContainerFormat.Rf64;
        if (s.StartsWith("BW64"u8)) return ContainerFormat.Bw64;
        if (s.StartsWith("FORM"u8))
            return Tag(s, 8, "AIFF"u8) || s.Length < 12 ? ContainerFormat.Aiff : Tag(s, 8, "AIFC"u8) ? ContainerFormat.AiffC : ContainerFormat.OtherIff;
        if (s.StartsWith(Wave64File.RiffGuid)) return ContainerFormat.Wave64;
        if (s.StartsWith("fLaC"u8)) return ContainerFormat.Flac;
        if (s.StartsWith("OggS"u8)) return ContainerFormat.Ogg;
        if (Tag(s, 4, "ftyp"u8)) return ContainerFormat.Mpeg4;
        if (s.StartsWith("caff"u8)) return ContainerFormat.Caf;
        if (s.StartsWith((ReadOnlySpan<byte>)[0x1A, 0x45, 0xDF, 0xA3])) return ContainerFormat.Matroska;
        if (s.StartsWith((ReadOnlySpan<byte>)[0x30, 0x26, 0xB2, 0x75, 0x8E, 0x66, 0xCF, 0x11])) return ContainerFormat.Asf;
        if (s.StartsWith("wvpk"u8)) return ContainerFormat.WavPack;
        if (s.StartsWith(".snd"u8)) return ContainerFormat.Au;
        if (s.StartsWith("#!AMR"u8)) return ContainerFormat.Amr;
        if (s.StartsWith("PK\u0003\u0004"u8) || s.StartsWith("PK\u0005\u0006"u8)) return ContainerFormat.Zip;
        if (s.StartsWith((ReadOnlySpan<byte>)[0x1F, 0x8B]) || s.StartsWith("BZh"u8) || s.StartsWith((ReadOnlySpan<byte>)[0xFD, 0x37, 0x7A, 0x58, 0x5A])
            || s.StartsWith((ReadOnlySpan<byte>)[0x28, 0xB5, 0x2F, 0xFD]) || s.StartsWith((ReadOnlySpan<byte>)[0x37, 0x7A, 0xBC, 0xAF]) || s.StartsWith("Rar!"u8))
            return ContainerFormat.Archive;
        if (s.StartsWith("%PDF"u8)) return ContainerFormat.Pdf;
        if (s.StartsWith((ReadOnlySpan<byte>)[0x89, 0x50, 0x4E, 0x47]) || s.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]) || s.StartsWith("GIF8"u8))
            return ContainerFormat.Picture;
        if (s.StartsWith("ID3"u8)) return ContainerFormat.Mpeg;
        if (s.Length >= 4 && s[0] == 0xFF && (s[1] & 0xE0) == 0xE0) return MpegFrame(s);
        return IsText(s) ? ContainerFormat.Text : ContainerFormat.Unknown;
    }

    /// <summary>ISO/IEC 11172-3, 2.4.1.3: sync, version, layer (00 is reserved and marks ADTS), bitrate not 15, rate not 3.</summary>
    private static ContainerFormat MpegFrame(ReadOnlySpan<byte> s)
    {
        if ((s[1] & 0x06) == 0) return (s[1] & 0xF0) == 0xF0 && (s[2] & 0x3C) < 0x34 ? ContainerFormat.Adts : ContainerFormat.Unknown;
        return (s[1] & 0x18) != 0x08 && (s[2] & 0xF0) != 0xF0 && (s[2] & 0x0C) != 0x0C ? ContainerFormat.Mpeg : ContainerFormat.Unknown;
    }

    private static bool IsText(ReadOnlySpan<byte> s)
    {
        if (s.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF]) || s.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]) || s.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF])) return true;
        var plain = true;
        foreach (var b in s) plain &= IsPlain(b);
        return plain || IsWideText(s, 0) || IsWideText(s, 1);
    }

    private static bool IsPlain(byte b) => b is (>= 0x20 and not 0x7F) or (byte)'\t' or (byte)'\n' or (byte)'\r' or 0x0C;

    /// <summary>UTF-16 without a byte-order mark: nearly every second byte is zero, and the byte beside it is one of a text.</summary>
    private static bool IsWideText(ReadOnlySpan<byte> s, int zeroAt)
    {
        var pairs = s.Length / 2;
        var zeros = 0;
        for (var i = 0; i < pairs; i++)
        {
            if (s[(2 * i) + zeroAt] != 0) continue;
            if (!IsPlain(s[(2 * i) + 1 - zeroAt])) return false;
            zeros++;
        }
        return pairs >= LeastPairs && zeros >= pairs * 0.9;
    }

    private static bool Tag(ReadOnlySpan<byte> s, int at, ReadOnlySpan<byte> tag) => s.Length >= at + tag.Length && s.Slice(at, tag.Length).SequenceEqual(tag);
}
