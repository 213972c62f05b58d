using static Hushtrial.Signals.Recordings.ByteSourceReading;
using static System.FormattableString;

namespace Hushtrial.Signals.Recordings;

/// <summary>The 'fmt ' chunk of WAVE, RF64, BW64 and Wave64.</summary>
/// <remarks>WAVEFORMATEX and WAVEFORMATEXTENSIBLE; samples of n bits lie in the upper bits of the next whole number of bytes,
/// 8-bit samples and fewer are unsigned.</remarks>
internal static class WaveFormat
{
    private const int Pcm = 1, Ieee = 3, Extensible = 0xFFFE;

    /// <summary>Reads the chunk into a layout without place and length; null when a problem forbids it.</summary>
    /// <param name="chunk">The chunk's bytes, up to 40.</param>
    /// <param name="at">Byte of the file where the chunk's content starts.</param>
    /// <param name="size">The chunk's size as stated.</param>
    /// <param name="problems">Receives what is wrong.</param>
    public static SampleLayout? Read(ReadOnlySpan<byte> chunk, long at, long size, RecordingProblems problems)
    {
        if (chunk.Length < 16)
        {
            problems.FormatTooShort("fmt ", at, Math.Min(size, chunk.Length), 16);
            return null;
        }
        int tag = U16(chunk, 0), channels = U16(chunk, 2), frameBytes = U16(chunk, 12), bits = U16(chunk, 14);
        uint rate = U32(chunk, 4), byteRate = U32(chunk, 8);
        var valid = bits;
        if (tag == Extensible)
        {
            if (chunk.Length < 40)
            {
                problems.FormatTooShort("fmt ", at, Math.Min(size, chunk.Length), 40);
                return null;
            }
            valid = U16(chunk, 18);
            tag = IsWaveGuid(chunk[26..40]) ? U16(chunk, 24) : -1;
        }
        var extensible = U16(chunk, 0) == Extensible;
        if (tag is not (Pcm or Ieee))
        {
            var codec = tag < 0 ? Invariant($"a codec named by GUID {new Guid(chunk[24..40])}") : CodecName(tag);
            problems.Codec(at, codec, "Convert it with 'ffmpeg -i IN.wav -c:a pcm_s24le OUT.wav'; such a codec alters band levels, so record as PCM next time.");
            return null;
        }
        if (!RateAndChannels(at, channels, rate, problems)) return null;
        if (tag == Pcm ? bits is 0 or > 32 : bits is not (32 or 64))
        {
            problems.BitsAbsurd(at, bits, tag == Pcm ? "integer" : "floating-point");
            return null;
        }
        var bytes = (bits + 7) / 8;
        if (frameBytes != channels * bytes)
        {
            if (frameBytes != 0 && byteRate != (long)rate * channels * bytes)
            {
                problems.FrameBytesContradict(at, frameBytes, channels, bits);
                return null;
            }
            problems.FrameBytesWrong(at, frameBytes, channels * bytes);
        }
        // A zero in the extension means 'not stated'.
        if (extensible && valid > bits) problems.ValidBitsAbsurd(at, valid, bits);
        if (valid == 0 || valid > bits) valid = bits;
        var kind = tag == Ieee ? SampleKind.FloatingPoint : bytes == 1 ? SampleKind.UnsignedInteger : SampleKind.SignedInteger;
        return new SampleLayout(0, 0, channels, channels * bytes, (int)rate, new SampleEncoding(kind, bytes, kind == SampleKind.FloatingPoint ? bits : valid, BigEndian: false));
    }

    /// <summary>Checks that hold for every container; false when the recording cannot be read.</summary>
    public static bool RateAndChannels(long at, int channels, double rate, RecordingProblems problems)
    {
        if (channels < 1) problems.NoChannels(at);
        if (rate == 0) problems.RateZero(at);
        else if (!(rate is >= 8000 and <= 192_000) || rate != Math.Truncate(rate)) problems.RateAbsurd(at, rate);
        else if (rate < 16_000) problems.RateLow(at, (int)rate);
        return channels >= 1 && rate is >= 8000 and <= 192_000 && rate == Math.Truncate(rate);
    }

    /// <summary>The fixed tail of KSDATAFORMAT_SUBTYPE GUIDs, {0000xxxx-0000-0010-8000-00AA00389B71}.</summary>
    private static bool IsWaveGuid(ReadOnlySpan<byte> tail) => tail.SequenceEqual(
        (ReadOnlySpan<byte>)[0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xAA, 0x00, 0x38, 0x9B, 0x71]);

    /// <summary>Names of the WAVE format tags met in the field (RFC 2361 and registrations after it).</summary>
    private static string CodecName(int tag) => tag switch
    {
        0x02 => "Microsoft ADPCM",
        0x06 => "A-law (ITU-T G.711)",
        0x07 => "µ-law (ITU-T G.711)",
        0x11 => "IMA ADPCM",
        0x31 => "GSM 6.10",
        0x50 => "MPEG layer 2",
        0x55 => "MPEG layer 3 (mp3)",
        0x92 or 0x2000 => "AC-3",
        0xFF or 0x1610 => "AAC",
        0xF1AC => "FLAC",
        _ => Invariant($"codec 0x{tag:X4}"),
    };
}
