using System.Buffers.Binary;

namespace Hushtrial.Signals.Recordings;

/// <summary>How <see cref="WaveWriter"/> stores samples.</summary>
public enum WaveSampleFormat
{
    /// <summary>16-bit integers.</summary>
    Integer16,

    /// <summary>24-bit integers.</summary>
    Integer24,

    /// <summary>32-bit floating point.</summary>
    Float32,
}

/// <summary>Writes a WAVE file, streaming; becomes RF64 where the data needs more than 32 bits of length.</summary>
/// <remarks>Not for several threads. The header is completed on <see cref="Dispose"/>, which leaves the stream open at its end.</remarks>
public sealed class WaveWriter : IDisposable
{
    private readonly Stream _stream;
    private readonly long _origin;
    private readonly int _channels, _sampleRate;
    private readonly WaveSampleFormat _format;
    private readonly long _promoteAbove;
    private readonly byte[] _buffer = new byte[1 << 16];
    private long _dataBytes;
    private bool _closed;

    /// <summary>Starts a file at the stream's present place.</summary>
    /// <param name="stream">Writable and seekable.</param>
    /// <param name="sampleRate">Hz, 8000 to 192 000.</param>
    /// <param name="channels">1 to 1024.</param>
    /// <param name="format">How samples are stored.</param>
    /// <exception cref="ArgumentException">The stream cannot seek or write.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Rate or channels out of range.</exception>
    public WaveWriter(Stream stream, int sampleRate, int channels, WaveSampleFormat format) : this(stream, sampleRate, channels, format, uint.MaxValue)
    {
    }

    /// <summary>For tests: becomes RF64 above a smaller length.</summary>
    internal WaveWriter(Stream stream, int sampleRate, int channels, WaveSampleFormat format, long promoteAbove)
    {
        if (!stream.CanSeek || !stream.CanWrite) throw new ArgumentException("The header is completed at the end: the stream must be able to seek and write.", nameof(stream));
        (_stream, _sampleRate, _channels, _format, _promoteAbove, _origin) = (stream, sampleRate, channels, format, promoteAbove, stream.Position);
        _stream.Write(Header());
    }

    private int SampleBytes => WaveHeader.SampleBytes(_format);

    /// <summary>Appends frames.</summary>
    /// <param name="interleaved">One value per channel and frame, full scale = ±1. Integers round to nearest and stop at full scale; values must be finite.</param>
    /// <exception cref="ArgumentException">The length is no multiple of the channels, or a value is not finite.</exception>
    public void Write(ReadOnlySpan<double> interleaved)
    {
        ObjectDisposedException.ThrowIf(_closed, this);
        if (interleaved.Length % _channels != 0)
            throw new ArgumentException($"{interleaved.Length} values are no whole frames of {_channels} channels.", nameof(interleaved));
        var size = SampleBytes;
        var used = 0;
        foreach (var value in interleaved)
        {
            if (!double.IsFinite(value)) throw new ArgumentException($"A sample must be finite; this one is {value}.", nameof(interleaved));
            Store(value, _buffer.AsSpan(used, 4));
            used += size;
            if (used <= _buffer.Length - 8) continue;
            _stream.Write(_buffer, 0, used);
            used = 0;
        }
        _stream.Write(_buffer, 0, used);
        _dataBytes += (long)interleaved.Length * size;
    }

    /// <summary>Completes the header. The stream stays open.</summary>
    public void Dispose()
    {
        if (_closed) return;
        _closed = true;
        if (_dataBytes % 2 == 1) _stream.WriteByte(0);
        var end = _stream.Position;
        _stream.Position = _origin;
        _stream.Write(Header());
        _stream.Position = end;
    }

    private void Store(double value, Span<byte> to)
    {
        switch (_format)
        {
            case WaveSampleFormat.Integer16:
                BinaryPrimitives.WriteInt16LittleEndian(to, (short)Math.Clamp(Math.Round(value * 32768), -32768, 32767));
                break;
            case WaveSampleFormat.Integer24:
                BinaryPrimitives.WriteInt32LittleEndian(to, (int)Math.Clamp(Math.Round(value * 8388608), -8388608, 8388607));
                break;
            default:
                BinaryPrimitives.WriteSingleLittleEndian(to, (float)value);
                break;
        }
    }

    private byte[] Header() => WaveHeader.Of(_sampleRate, _channels, _format, _dataBytes, _promoteAbove);
}
