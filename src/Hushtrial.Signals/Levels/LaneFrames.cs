using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Levels;

/// <summary>Frames at as many places of a channel as a vector has lanes: read in rows, handed out as one vector per frame.</summary>
/// <remarks>Whole numbers of few bytes stay in the rows as they are stored, a third of their size as doubles, and are decoded on the way into the vectors.</remarks>
internal sealed unsafe class LaneFrames<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    /// <summary>Frames of a row.</summary>
    internal const int Row = 8192;

    // Rows that lie a multiple of 4096 bytes apart would fall into the same few lines of the first cache.
    private const int RowNumbers = Row + 24;
    private const int Apart = 192;

    private readonly SampleSource _samples;
    private readonly int _channel;
    private readonly double[] _numbers = [];
    private readonly (StoredSamples Samples, int Channel)? _stored;
    private readonly byte[] _bytes = [];
    private readonly int _rowBytes;
    private readonly Vector128<byte> _moves;

    /// <param name="samples">The recording.</param>
    /// <param name="channel">Channel, from 0.</param>
    internal LaneFrames(SampleSource samples, int channel)
    {
        (_samples, _channel) = (samples, channel);
        if (TOps.Count % 4 == 0 && samples.Stored(channel) is { } stored && SampleDecoding.Interleaves(stored.Samples.Layout))
        {
            _stored = stored;
            var stride = stored.Samples.Layout.FrameBytes;
            _rowBytes = SampleDecoding.Before + (Row * stride) + SampleDecoding.Behind;
            _rowBytes = ((_rowBytes + 4095) / 4096 * 4096) + Apart;
            _bytes = GC.AllocateArray<byte>(TOps.Count * _rowBytes, pinned: true);
            _moves = SampleDecoding.Moves(stored.Samples.Layout);
        }
        else _numbers = GC.AllocateArray<double>(TOps.Count * RowNumbers, pinned: true);
    }

    /// <summary>Reads a row: silence, frames of the recording, silence.</summary>
    /// <param name="lane">The row's lane.</param>
    /// <param name="head">Frames of silence before.</param>
    /// <param name="from">First frame of the recording that is wanted.</param>
    /// <param name="count">How many; the rest of the row is silence.</param>
    internal void Read(int lane, int head, long from, int count)
    {
        if (_stored is { Samples: var stored })
        {
            var stride = stored.Layout.FrameBytes;
            var row = _bytes.AsSpan((lane * _rowBytes) + SampleDecoding.Before, Row * stride);
            row[..(head * stride)].Clear();
            if (count > 0) stored.ReadStored(from, row.Slice(head * stride, count * stride));
            row[((head + count) * stride)..].Clear();
            return;
        }
        var numbers = _numbers.AsSpan(lane * RowNumbers, Row);
        numbers[..head].Clear();
        if (count > 0) _samples.Read(_channel, from, numbers.Slice(head, count));
        numbers[(head + count)..].Clear();
    }

    /// <summary>Hands out frames of all rows.</summary>
    /// <param name="offset">The first, from the start of the rows.</param>
    /// <param name="target">Receives a vector per frame, as many as it holds.</param>
    internal void Interleave(int offset, Span<TVector> target)
    {
        fixed (TVector* to = target) Interleave(offset, to, target.Length);
    }

    private void Interleave(int offset, TVector* target, int frames)
    {
        if (_stored is { } stored)
        {
            var layout = stored.Samples.Layout;
            var first = (byte*)Unsafe.AsPointer(ref _bytes[0]) + SampleDecoding.Before + (stored.Channel * layout.Encoding.Bytes) + (offset * layout.FrameBytes);
            for (var lane = 0; lane < TOps.Count; lane += 4)
                SampleDecoding.InterleaveFour(first + (lane * _rowBytes), _rowBytes, layout, _moves, (double*)target + lane, TOps.Count, frames);
        }
        else Interleave((double*)Unsafe.AsPointer(ref _numbers[0]) + offset, target, frames);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Interleave(double* source, TVector* target, int frames)
    {
        var n = 0;
        for (; n <= frames - TOps.Count; n += TOps.Count) TOps.Transpose(source + n, RowNumbers, target + n);
        for (; n < frames; n++)
            for (var lane = 0; lane < TOps.Count; lane++) ((double*)target)[(n * TOps.Count) + lane] = source[(lane * RowNumbers) + n];
    }
}
