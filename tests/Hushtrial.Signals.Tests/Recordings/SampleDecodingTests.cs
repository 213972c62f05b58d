using System.Buffers.Binary;
using CsCheck;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Recordings;

public class SampleDecodingTests
{
    /// <summary>The slow twin: one byte after the other, no vectors.</summary>
    private static double Slow(ReadOnlySpan<byte> sample, SampleEncoding encoding)
    {
        var bytes = sample[..encoding.Bytes].ToArray();
        if (encoding.BigEndian) Array.Reverse(bytes);
        if (encoding.Kind == SampleKind.FloatingPoint)
        {
            var value = encoding.Bytes == 4 ? BitConverter.ToSingle(bytes) : BitConverter.ToDouble(bytes);
            return double.IsFinite(value) ? value : 0;
        }
        long number = 0;
        for (var b = 0; b < bytes.Length; b++) number |= (long)bytes[b] << (8 * b);
        var half = 1L << ((8 * bytes.Length) - 1);
        if (encoding.Kind == SampleKind.UnsignedInteger) number -= half;
        else if (number >= half) number -= 2 * half;
        return (double)number / half;
    }

    public static TheoryData<SampleKind, int, bool> Encodings()
    {
        var data = new TheoryData<SampleKind, int, bool>();
        foreach (var big in new[] { false, true })
        {
            for (var bytes = 1; bytes <= 4; bytes++)
            {
                data.Add(SampleKind.SignedInteger, bytes, big);
                data.Add(SampleKind.UnsignedInteger, bytes, big);
            }
            data.Add(SampleKind.FloatingPoint, 4, big);
            data.Add(SampleKind.FloatingPoint, 8, big);
        }
        return data;
    }

    [Theory, MemberData(nameof(Encodings))]
    public void The_fast_way_gives_the_same_bits_as_the_slow_one(SampleKind kind, int bytes, bool bigEndian)
    {
        var encoding = new SampleEncoding(kind, bytes, 8 * bytes, bigEndian);
        Gen.Select(Gen.Int[1, 9], Gen.Int[1, 70]).SelectMany((channels, frames) =>
            Gen.Byte.Array[SampleDecoding.Before + (channels * frames * bytes) + SampleDecoding.Behind].Select(Gen.Int[0, channels - 1], (b, c) => (channels, frames, b, c))).Sample(t =>
        {
            var stride = t.channels * bytes;
            var decoded = new double[t.frames];
            SampleDecoding.Decode(t.b, SampleDecoding.Before + (t.c * bytes), stride, encoding, decoded);
            for (var i = 0; i < t.frames; i++)
                Assert.Equal(Slow(t.b.AsSpan(SampleDecoding.Before + (t.c * bytes) + (i * stride)), encoding), decoded[i]);
        }, iter: 400);
    }

    [Fact]
    public void Numbers_that_are_none_become_zero_and_loud_floats_stay()
    {
        float[] values = [1.5f, float.NaN, -2f, float.PositiveInfinity, float.NegativeInfinity, 1e-40f, 0.25f, -0.25f, 3f, float.NaN, float.MaxValue];
        var buffer = new byte[SampleDecoding.Before + (4 * values.Length) + SampleDecoding.Behind];
        for (var i = 0; i < values.Length; i++) BinaryPrimitives.WriteSingleLittleEndian(buffer.AsSpan(SampleDecoding.Before + (4 * i)), values[i]);
        var decoded = new double[values.Length];
        SampleDecoding.Decode(buffer, SampleDecoding.Before, 4, new SampleEncoding(SampleKind.FloatingPoint, 4, 32, false), decoded);
        Assert.Equal([1.5, 0, -2, 0, 0, 1e-40f, 0.25, -0.25, 3, 0, float.MaxValue], decoded);
    }

    [Fact]
    public void A_buffer_without_margins_is_refused() => Assert.Throws<ArgumentOutOfRangeException>(() =>
        SampleDecoding.Decode(new byte[SampleDecoding.Before + 30], SampleDecoding.Before, 3, new SampleEncoding(SampleKind.SignedInteger, 3, 24, false), new double[10]));
}
