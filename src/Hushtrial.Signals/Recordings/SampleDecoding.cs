using System.Buffers.Binary;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hushtrial.Signals.Recordings;

/// <summary>From stored bytes to doubles, full scale = ±1, exactly: an integer sample n of b bits is n / 2^(b−1).</summary>
/// <remarks>Every integer coding takes one way: the sample's bytes go to the top of a 32-bit word, whose value is then 2^(32−b) times
/// the sample, so that one factor 2^−31 serves all widths and no shift is needed.</remarks>
internal static class SampleDecoding
{
    /// <summary>Readable bytes the buffer must have before the first sample.</summary>
    public const int Before = 16;

    /// <summary>Readable bytes the buffer must have behind the last frame.</summary>
    public const int Behind = 16;

    private const double Unit = 1.0 / (1u << 31);

    /// <summary>Decodes one channel.</summary>
    /// <param name="buffer">Stored bytes with <see cref="Before"/> and <see cref="Behind"/> bytes of margin, whose content is ignored.</param>
    /// <param name="first">Index of the first byte of the channel's first sample.</param>
    /// <param name="stride">Bytes from one frame to the next.</param>
    /// <param name="encoding">How a sample is stored.</param>
    /// <param name="destination">Receives one double per frame.</param>
    /// <exception cref="ArgumentOutOfRangeException">The buffer is too short for the margins.</exception>
    public static void Decode(ReadOnlySpan<byte> buffer, int first, int stride, SampleEncoding encoding, Span<double> destination)
    {
        if (destination.IsEmpty) return;
        ArgumentOutOfRangeException.ThrowIfLessThan(first, Before);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(first + ((long)stride * (destination.Length - 1)) + encoding.Bytes + Behind, buffer.Length, nameof(buffer));
        ref var source = ref Unsafe.Add(ref MemoryMarshal.GetReference(buffer), first);
        if (encoding.Kind == SampleKind.FloatingPoint) Floats(ref source, stride, encoding, destination);
        else Integers(ref source, stride, encoding, destination);
    }

    /// <summary>Whether <see cref="InterleaveFour"/> takes what is stored so: whole numbers around zero, four frames in one load.</summary>
    internal static bool Interleaves(SampleLayout layout) =>
        Avx2.IsSupported && layout.Encoding.Kind == SampleKind.SignedInteger && (3 * layout.FrameBytes) + layout.Encoding.Bytes <= 16;

    /// <summary>The byte moves of <see cref="InterleaveFour"/>.</summary>
    internal static Vector128<byte> Moves(SampleLayout layout) => Mask(layout.FrameBytes, layout.Encoding, 4, 0);

    /// <summary>Decodes four rows of frames side by side.</summary>
    /// <param name="first">The first sample of the first row; rows have the margins of <see cref="Decode"/>.</param>
    /// <param name="row">Bytes from one row to the next.</param>
    /// <param name="layout">How a sample is stored.</param>
    /// <param name="moves">As given by <see cref="Moves"/>.</param>
    /// <param name="to">Receives the four samples of a frame, one frame after the other.</param>
    /// <param name="apart">Numbers from one frame to the next.</param>
    /// <param name="frames">How many.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static unsafe void InterleaveFour(byte* first, nint row, in SampleLayout layout, Vector128<byte> moves, double* to, int apart, int frames)
    {
        var unit = Vector256.Create(Unit);
        nint stride = layout.FrameBytes;
        var n = 0;
        for (; n <= frames - 4; n += 4, first += 4 * stride, to += 4 * apart)
        {
            Vector128<int> a = Words(first, moves), b = Words(first + row, moves), c = Words(first + (2 * row), moves), d = Words(first + (3 * row), moves);
            Vector128<long> ab = Sse2.UnpackLow(a, b).AsInt64(), cd = Sse2.UnpackLow(c, d).AsInt64();
            Store(Sse2.UnpackLow(ab, cd), unit, to);
            Store(Sse2.UnpackHigh(ab, cd), unit, to + apart);
            (ab, cd) = (Sse2.UnpackHigh(a, b).AsInt64(), Sse2.UnpackHigh(c, d).AsInt64());
            Store(Sse2.UnpackLow(ab, cd), unit, to + (2 * apart));
            Store(Sse2.UnpackHigh(ab, cd), unit, to + (3 * apart));
        }
        for (; n < frames; n++, first += stride, to += apart)
            for (var lane = 0; lane < 4; lane++) to[lane] = Words(first + (lane * row), moves)[0] * Unit;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static unsafe Vector128<int> Words(byte* p, Vector128<byte> moves) => Ssse3.Shuffle(Vector128.Load(p), moves).AsInt32();

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static unsafe void Store(Vector128<long> words, Vector256<double> unit, double* to) => (Avx.ConvertToVector256Double(words.AsInt32()) * unit).Store(to);

    private static void Integers(ref byte source, int stride, SampleEncoding encoding, Span<double> destination)
    {
        // An unsigned sample becomes a signed one by turning its top bit.
        var turn = encoding.Kind == SampleKind.UnsignedInteger ? int.MinValue : 0;
        var i = 0;
        // Two or four frames must lie in one 16-byte load; the margin behind the buffer covers the load of the last ones.
        if (Avx2.IsSupported && (3 * stride) + encoding.Bytes <= 16) i = Narrow(ref source, stride, encoding, turn, destination);
        else if (Ssse3.IsSupported && stride + encoding.Bytes <= 16)
        {
            var (low, high) = (Mask(stride, encoding, 2, 0), Mask(stride, encoding, 2, 2));
            var top = Vector128.Create(turn);
            ref var to = ref MemoryMarshal.GetReference(destination);
            if (Avx512F.IsSupported)
            {
                var unit = Vector512.Create(Unit);
                for (; i <= destination.Length - 8; i += 8)
                {
                    ref var p = ref Unsafe.Add(ref source, (nint)i * stride);
                    var a = Four(ref p, stride, low, high) ^ top;
                    var b = Four(ref Unsafe.Add(ref p, 4 * stride), stride, low, high) ^ top;
                    (Avx512F.ConvertToVector512Double(Vector256.Create(a, b)) * unit).StoreUnsafe(ref to, (nuint)i);
                }
            }
            else if (Avx.IsSupported)
            {
                var unit = Vector256.Create(Unit);
                for (; i <= destination.Length - 4; i += 4)
                    (Avx.ConvertToVector256Double(Four(ref Unsafe.Add(ref source, (nint)i * stride), stride, low, high) ^ top) * unit).StoreUnsafe(ref to, (nuint)i);
            }
        }
        var mask = -1 << (32 - (8 * encoding.Bytes));
        for (; i < destination.Length; i++)
        {
            ref var p = ref Unsafe.Add(ref source, (nint)i * stride);
            var word = encoding.BigEndian
                ? BinaryPrimitives.ReverseEndianness(Unsafe.ReadUnaligned<int>(ref p))
                : Unsafe.ReadUnaligned<int>(ref Unsafe.Subtract(ref p, 4 - encoding.Bytes));
            destination[i] = ((word & mask) ^ turn) * Unit;
        }
    }

    /// <summary>Eight samples at a time from two loads: mono up to 32 bits, two channels of 16; returns how many.</summary>
    private static int Narrow(ref byte source, int stride, SampleEncoding encoding, int turn, Span<double> destination)
    {
        var moves = Mask(stride, encoding, 4, 0);
        var mask = Vector256.Create(moves, moves);
        var top = Vector256.Create(turn);
        ref var to = ref MemoryMarshal.GetReference(destination);
        var i = 0;
        for (; i <= destination.Length - 8; i += 8)
        {
            ref var p = ref Unsafe.Add(ref source, (nint)i * stride);
            var bytes = Vector256.Create(Vector128.LoadUnsafe(ref p), Vector128.LoadUnsafe(ref Unsafe.Add(ref p, 4 * stride)));
            var words = Avx2.Shuffle(bytes, mask).AsInt32() ^ top;
            if (Avx512F.IsSupported) (Avx512F.ConvertToVector512Double(words) * Vector512.Create(Unit)).StoreUnsafe(ref to, (nuint)i);
            else
            {
                (Avx.ConvertToVector256Double(words.GetLower()) * Vector256.Create(Unit)).StoreUnsafe(ref to, (nuint)i);
                (Avx.ConvertToVector256Double(words.GetUpper()) * Vector256.Create(Unit)).StoreUnsafe(ref to, (nuint)(i + 4));
            }
        }
        return i;
    }

    /// <summary>Four samples, each in the upper bytes of a 32-bit word.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector128<int> Four(ref byte p, int stride, Vector128<byte> low, Vector128<byte> high) =>
        (Ssse3.Shuffle(Vector128.LoadUnsafe(ref p), low) | Ssse3.Shuffle(Vector128.LoadUnsafe(ref Unsafe.Add(ref p, 2 * stride)), high)).AsInt32();

    /// <summary>Byte moves for the first frames of a load, each to the upper bytes of a 32-bit word.</summary>
    private static Vector128<byte> Mask(int stride, SampleEncoding encoding, int frames, int firstWord)
    {
        Span<byte> moves = stackalloc byte[16];
        moves.Fill(0x80);
        for (var frame = 0; frame < frames; frame++)
            for (var b = 0; b < encoding.Bytes; b++)
                // b counts from the least significant byte.
                moves[(4 * (firstWord + frame)) + 4 - encoding.Bytes + b] = (byte)((frame * stride) + (encoding.BigEndian ? encoding.Bytes - 1 - b : b));
        return Vector128.Create<byte>(moves);
    }

    private static void Floats(ref byte source, int stride, SampleEncoding encoding, Span<double> destination)
    {
        var i = 0;
        if (encoding is { Bytes: 4, BigEndian: false } && stride == 4 && Vector256.IsHardwareAccelerated)
        {
            ref var to = ref MemoryMarshal.GetReference(destination);
            for (; i <= destination.Length - 8; i += 8)
            {
                var x = Vector256.LoadUnsafe(ref Unsafe.Add(ref source, 4 * i)).AsSingle();
                // A difference with itself is 0 for finite numbers only, and compares false with a NaN.
                x = Vector256.BitwiseAnd(x, Vector256.Equals(x - x, Vector256<float>.Zero));
                var (lower, upper) = Vector256.Widen(x);
                lower.StoreUnsafe(ref to, (nuint)i);
                upper.StoreUnsafe(ref to, (nuint)(i + 4));
            }
        }
        for (; i < destination.Length; i++)
        {
            ref var p = ref Unsafe.Add(ref source, (nint)i * stride);
            var value = Float(ref p, encoding);
            destination[i] = double.IsFinite(value) ? value : 0;
        }
    }

    /// <summary>One floating-point sample as stored, finite or not.</summary>
    internal static double Float(ref byte p, SampleEncoding encoding)
    {
        if (encoding.Bytes == 4)
        {
            var bits = Unsafe.ReadUnaligned<int>(ref p);
            return BitConverter.Int32BitsToSingle(encoding.BigEndian ? BinaryPrimitives.ReverseEndianness(bits) : bits);
        }
        var wide = Unsafe.ReadUnaligned<long>(ref p);
        return BitConverter.Int64BitsToDouble(encoding.BigEndian ? BinaryPrimitives.ReverseEndianness(wide) : wide);
    }
}
