using System.Buffers.Binary;

namespace Hushtrial.Signals.Recordings;

/// <summary>The head of a WAVE file with one format and one data chunk. Its length does not depend on the length of the data, so that a growing file can be kept readable.</summary>
/// <remarks>Source: EBU Tech 3306, 3.3: a 'JUNK' chunk of 28 bytes keeps the place for 'ds64', and the file becomes RF64 where the data needs more than 32 bits of length.</remarks>
public static class WaveHeader
{
    /// <summary>Bytes before the first sample.</summary>
    public const int Bytes = 12 + 8 + 28 + 8 + 16 + 8;

    /// <summary>Bytes of one sample.</summary>
    public static int SampleBytes(WaveSampleFormat format) => format switch { WaveSampleFormat.Integer16 => 2, WaveSampleFormat.Integer24 => 3, _ => 4 };

    /// <summary>The head for a length of data; an odd length is followed by one byte that it does not count.</summary>
    /// <param name="sampleRate">Hz, 8000 to 192 000.</param>
    /// <param name="channels">1 to 1024.</param>
    /// <param name="format">How samples are stored.</param>
    /// <param name="dataBytes">Bytes of samples.</param>
    /// <exception cref="ArgumentOutOfRangeException">Rate, channels or length out of range.</exception>
    public static byte[] Of(int sampleRate, int channels, WaveSampleFormat format, long dataBytes) => Of(sampleRate, channels, format, dataBytes, uint.MaxValue);

    /// <summary>For tests: becomes RF64 above a smaller length.</summary>
    internal static byte[] Of(int sampleRate, int channels, WaveSampleFormat format, long dataBytes, long promoteAbove)
    {
        if (sampleRate is < 8000 or > 192_000) throw new ArgumentOutOfRangeException(nameof(sampleRate), sampleRate, "8000 to 192 000 Hz.");
        if (channels is < 1 or > 1024) throw new ArgumentOutOfRangeException(nameof(channels), channels, "1 to 1024 channels.");
        ArgumentOutOfRangeException.ThrowIfNegative(dataBytes);
        var head = new byte[Bytes];
        var riffBytes = Bytes - 8 + dataBytes + (dataBytes & 1);
        var large = riffBytes > promoteAbove;
        var s = head.AsSpan();
        (large ? "RF64"u8 : "RIFF"u8).CopyTo(s);
        BinaryPrimitives.WriteUInt32LittleEndian(s[4..], large ? uint.MaxValue : (uint)riffBytes);
        "WAVE"u8.CopyTo(s[8..]);
        (large ? "ds64"u8 : "JUNK"u8).CopyTo(s[12..]);
        BinaryPrimitives.WriteUInt32LittleEndian(s[16..], 28);
        var frameBytes = channels * SampleBytes(format);
        if (large)
        {
            BinaryPrimitives.WriteInt64LittleEndian(s[20..], riffBytes);
            BinaryPrimitives.WriteInt64LittleEndian(s[28..], dataBytes);
            BinaryPrimitives.WriteInt64LittleEndian(s[36..], dataBytes / frameBytes);
        }
        "fmt "u8.CopyTo(s[48..]);
        BinaryPrimitives.WriteUInt32LittleEndian(s[52..], 16);
        BinaryPrimitives.WriteUInt16LittleEndian(s[56..], (ushort)(format == WaveSampleFormat.Float32 ? 3 : 1));
        BinaryPrimitives.WriteUInt16LittleEndian(s[58..], (ushort)channels);
        BinaryPrimitives.WriteUInt32LittleEndian(s[60..], (uint)sampleRate);
        BinaryPrimitives.WriteUInt32LittleEndian(s[64..], (uint)(sampleRate * frameBytes));
        BinaryPrimitives.WriteUInt16LittleEndian(s[68..], (ushort)frameBytes);
        BinaryPrimitives.WriteUInt16LittleEndian(s[70..], (ushort)(8 * SampleBytes(format)));
        "data"u8.CopyTo(s[72..]);
        BinaryPrimitives.WriteUInt32LittleEndian(s[76..], large ? uint.MaxValue : (uint)dataBytes);
        return head;
    }
}
