using System.Runtime.InteropServices;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Store.Captures;

/// <summary>A recording that grows as it arrives: a WAVE file of 32-bit floating point, readable at any moment, on the disk up to the last second.</summary>
/// <remarks>Every sample is kept as the browser gave it. Not for several threads: its owner holds a lock.</remarks>
internal sealed class CaptureFile : IDisposable
{
    private const int CheckBytes = 64 * 1024;

    private readonly FileStream _file;
    private readonly int _rate, _channels;
    private long _flushed;
    private bool _appended;

    private CaptureFile(FileStream file, int rate, int channels, long frames)
    {
        (_file, _rate, _channels, Frames, _flushed) = (file, rate, channels, frames, frames);
        Zeros = new(channels);
    }

    /// <summary>Frames that are kept.</summary>
    public long Frames { get; private set; }

    public ZeroRuns Zeros { get; }

    private int FrameBytes => 4 * _channels;

    /// <summary>Frames of a capture's file that another process may have open; 0 when it is not there.</summary>
    public static long FramesIn(string path, int channels) => new FileInfo(path) is { Exists: true } file ? Whole(file.Length, channels) : 0;

    /// <summary>Opens a capture's file, a new one or one that a killed process left; a frame that is not whole is cut off. The caller has the capture's lock.</summary>
    public static CaptureFile Open(string path, int rate, int channels)
    {
        var file = new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.Read, 0);
        try
        {
            var capture = new CaptureFile(file, rate, channels, Whole(file.Length, channels));
            // What is whole is only looked at.
            if (!capture.IsComplete()) capture.Complete();
            capture.Look();
            return capture;
        }
        catch
        {
            file.Dispose();
            throw;
        }
    }

    /// <summary>Appends frames; those that are there already are compared, not kept twice.</summary>
    public CaptureAnswer Append(long from, ReadOnlySpan<byte> interleaved)
    {
        if (from < 0 || interleaved.Length % FrameBytes != 0) return CaptureAnswer.Wrong;
        if (from > Frames) return CaptureAnswer.TooFar;
        foreach (var sample in MemoryMarshal.Cast<byte, float>(interleaved))
            if (!float.IsFinite(sample)) return CaptureAnswer.Wrong;
        // A page that did not hear our answer sends again.
        var known = (int)Math.Min(interleaved.Length, (Frames - from) * FrameBytes);
        if (known > 0 && !IsThere(from, interleaved[..known])) return CaptureAnswer.Wrong;
        var fresh = interleaved[known..];
        if (fresh.IsEmpty) return CaptureAnswer.Kept;
        RandomAccess.Write(_file.SafeFileHandle, fresh, WaveHeader.Bytes + (Frames * FrameBytes));
        Frames += fresh.Length / FrameBytes;
        _appended = true;
        Zeros.Add(fresh);
        if (Frames - _flushed >= _rate) Flush();
        return CaptureAnswer.Kept;
    }

    /// <summary>Completes the head and waits for the disk, when anything was appended since.</summary>
    public void Flush()
    {
        if (_appended) WriteHead();
    }

    /// <summary>Cuts off what a full disk left of frames that were not kept, completes the head and waits for the disk.</summary>
    public void Complete()
    {
        _file.SetLength(WaveHeader.Bytes + (Frames * FrameBytes));
        WriteHead();
    }

    /// <summary>Closes the file; nothing is written.</summary>
    public void Dispose() => _file.Dispose();

    private void WriteHead()
    {
        RandomAccess.Write(_file.SafeFileHandle, Head(), 0);
        RandomAccess.FlushToDisk(_file.SafeFileHandle);
        (_flushed, _appended) = (Frames, false);
    }

    private static long Whole(long bytes, int channels) => Math.Max(0, bytes - WaveHeader.Bytes) / (4 * channels);

    private byte[] Head() => WaveHeader.Of(_rate, _channels, WaveSampleFormat.Float32, Frames * FrameBytes);

    private bool IsComplete()
    {
        var there = new byte[WaveHeader.Bytes];
        return _file.Length == WaveHeader.Bytes + (Frames * FrameBytes) && RandomAccess.Read(_file.SafeFileHandle, there, 0) == there.Length && there.AsSpan().SequenceEqual(Head());
    }

    private bool IsThere(long from, ReadOnlySpan<byte> interleaved)
    {
        var buffer = new byte[Math.Min(CheckBytes, interleaved.Length)];
        for (var at = 0; at < interleaved.Length;)
        {
            var piece = buffer.AsSpan(0, Math.Min(buffer.Length, interleaved.Length - at));
            var read = RandomAccess.Read(_file.SafeFileHandle, piece, WaveHeader.Bytes + (from * FrameBytes) + at);
            if (read == 0 || !piece[..read].SequenceEqual(interleaved.Slice(at, read))) return false;
            at += read;
        }
        return true;
    }

    /// <summary>Looks for gaps in what is there already.</summary>
    private void Look()
    {
        var buffer = new byte[CheckBytes / FrameBytes * FrameBytes];
        for (long at = 0; at < Frames * FrameBytes;)
        {
            var read = RandomAccess.Read(_file.SafeFileHandle, buffer, WaveHeader.Bytes + at) / FrameBytes * FrameBytes;
            if (read == 0) return;
            Zeros.Add(buffer.AsSpan(0, read));
            at += read;
        }
    }
}
