namespace Hushtrial.Signals.Levels;

/// <summary>The last one to three halves of segments of a recording, laid out as <see cref="PowerTransform{TOps, TVector}"/> reads them.</summary>
/// <remarks>Segments overlap by half: two of them are three halves, and the last of these is the first of the next two.</remarks>
internal sealed unsafe class SegmentHalves<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    private readonly PinnedVectors<TVector> _memory;
    private readonly TVector* _rows;
    private readonly int _stride;
    private readonly int _inRow;
    private int _first;
    private int _frames;

    internal SegmentHalves(TransformTables<TOps, TVector> tables)
    {
        (_stride, _inRow) = (tables.Stride, tables.Points / 8);
        _memory = new(12 * _stride);
        _rows = _memory.Take(12 * _stride);
    }

    /// <summary>Whole halves it holds, 0…3.</summary>
    internal int Count => _frames / (4 * _inRow);

    /// <summary>The first row of a half; four rows lie a stride apart.</summary>
    internal TVector* this[int half] => _rows + (4 * ((_first + half) % 3) * _stride);

    /// <summary>Where the next frames go, before it holds three halves.</summary>
    internal Span<double> Room
    {
        get
        {
            var (row, at) = Math.DivRem(_frames, _inRow);
            return new((double*)(this[row / 4] + (row % 4 * _stride)) + at, _inRow - at);
        }
    }

    /// <summary>Counts frames that were written to the beginning of <see cref="Room"/>.</summary>
    internal void Fill(int frames) => _frames += frames;

    /// <summary>Forgets all but the last half.</summary>
    internal void Advance() => (_first, _frames) = ((_first + 2) % 3, 4 * _inRow);

    /// <summary>Forgets all.</summary>
    internal void Clear() => (_first, _frames) = (0, 0);
}
