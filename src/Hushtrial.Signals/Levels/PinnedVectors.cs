using System.Runtime.CompilerServices;

namespace Hushtrial.Signals.Levels;

/// <summary>Memory for vectors that never moves, handed out piece by piece, all zero at first.</summary>
/// <remarks>It begins on a line of 64 bytes: a vector that crosses a cache line costs two loads. Whoever holds pointers into it keeps it alive by holding it.</remarks>
internal sealed unsafe class PinnedVectors<TVector>
    where TVector : unmanaged
{
    private const int Line = 64;

    private readonly double[] _memory;
    private readonly nint _end;
    private nint _next;

    /// <param name="vectors">Vectors that will be taken.</param>
    /// <param name="numbers">Single numbers that will be taken.</param>
    internal PinnedVectors(int vectors, int numbers = 0)
    {
        _memory = GC.AllocateArray<double>((vectors * sizeof(TVector) / sizeof(double)) + numbers + (Line / sizeof(double)), pinned: true);
        _next = ((nint)Unsafe.AsPointer(ref _memory[0]) + Line - 1) & ~(Line - 1);
        _end = _next + ((nint)vectors * sizeof(TVector)) + ((nint)numbers * sizeof(double));
    }

    /// <summary>The next vectors.</summary>
    internal TVector* Take(int count) => (TVector*)Next((nint)count * sizeof(TVector));

    /// <summary>The next single numbers.</summary>
    internal double* TakeNumbers(int count) => (double*)Next((nint)count * sizeof(double));

    /// <summary>Everything back to zero.</summary>
    internal void Clear() => Array.Clear(_memory);

    private nint Next(nint bytes)
    {
        var place = _next;
        _next += bytes;
        return _next <= _end ? place : throw new InvalidOperationException("More was taken than was asked for.");
    }
}
