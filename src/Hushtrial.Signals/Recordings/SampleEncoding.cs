using static System.FormattableString;

namespace Hushtrial.Signals.Recordings;

/// <summary>How one number of a recording is stored.</summary>
public enum SampleKind
{
    /// <summary>Whole numbers around zero, two's complement.</summary>
    SignedInteger,

    /// <summary>Whole numbers around half the range (8-bit WAV).</summary>
    UnsignedInteger,

    /// <summary>IEEE 754 floating point, full scale ±1; may exceed it.</summary>
    FloatingPoint,
}

/// <summary>How the samples of a recording are stored.</summary>
/// <param name="Kind">Integer or floating point.</param>
/// <param name="Bytes">Bytes of one sample: 1 to 4 for integers, 4 or 8 for floating point.</param>
/// <param name="ValidBits">Bits that carry signal; they are the upper ones of the <paramref name="Bytes"/>.</param>
/// <param name="BigEndian">Whether the most significant byte comes first.</param>
public readonly record struct SampleEncoding(SampleKind Kind, int Bytes, int ValidBits, bool BigEndian)
{
    /// <summary>For a person, for example '24-bit integer' or '20-bit integer in 24 bits'.</summary>
    public override string ToString()
    {
        var kind = Kind == SampleKind.FloatingPoint ? "floating point" : "integer";
        return ValidBits == 8 * Bytes ? Invariant($"{ValidBits}-bit {kind}") : Invariant($"{ValidBits}-bit {kind} in {8 * Bytes} bits");
    }
}

/// <summary>Where the samples lie in the bytes of a file: all that a decoder needs.</summary>
/// <param name="DataOffset">Byte of the first sample of the first frame.</param>
/// <param name="Frames">Whole frames present.</param>
/// <param name="Channels">Channels, from 1.</param>
/// <param name="FrameBytes">Bytes from one frame to the next.</param>
/// <param name="SampleRate">Frames per second, Hz.</param>
/// <param name="Encoding">How one sample is stored.</param>
internal readonly record struct SampleLayout(long DataOffset, long Frames, int Channels, int FrameBytes, int SampleRate, SampleEncoding Encoding)
{
    /// <summary>Playing time of a number of bytes, s.</summary>
    public double Seconds(long bytes) => (double)bytes / FrameBytes / SampleRate;
}
