using System.Runtime.CompilerServices;

namespace Hushtrial.Signals.Levels;

/// <summary>Adds up the power spectra of windowed real segments of one length, two at a time: the one as real, the other as imaginary part.</summary>
/// <remarks>
/// Lane l of a vector holds the frames 8m + l (with eight lanes), so that loads are contiguous and the long transforms over m are scalar-looking
/// code on vectors; one short transform across the lanes ends it, behind a transposition. Decimation in frequency, radix 8, then 4, in place;
/// only |X|² is wanted, so nothing is put in order before all is added up.
/// </remarks>
internal sealed unsafe class PowerTransform<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    private const double HalfRoot = 0.70710678118654752440;

    private readonly int _points;
    private readonly int _rows;
    private readonly int _rowsOfBlock;
    private readonly int _blockStride;
    private readonly (int Radix, int Stride, int Table)[] _passes;
    private readonly int[] _lines;
    private readonly PinnedVectors<TVector> _memory;
    private readonly TVector* _work;
    private readonly TVector* _scratch;
    private readonly TVector* _window;
    private readonly TVector* _laneTwiddles;
    private readonly TVector* _power;
    private readonly double* _twiddles;

    /// <param name="points">Frames of a segment, a power of two from 256 on.</param>
    internal PowerTransform(int points)
    {
        (_points, _rows) = (points, points / TOps.Count);
        _rowsOfBlock = _rows / 8;
        // Rows that lie a multiple of 4096 bytes apart would fall into the same few lines of the first cache.
        _blockStride = _rowsOfBlock < 64 ? _rowsOfBlock : _rowsOfBlock + 1;
        _passes = Passes(_rows);
        _lines = new int[_rows];
        for (var row = 0; row < _rows; row++) _lines[row] = LineOf(row);
        var table = _passes[^1].Table + (2 * (_passes[^1].Radix - 1) * _passes[^1].Stride);
        var vectors = (2 * 8 * _blockStride) + (2 * TOps.Count) + _rows + (2 * (_rows / TOps.Count) * (TOps.Count - 1)) + _rows;
        _memory = new(vectors, table);
        _work = _memory.Take(2 * 8 * _blockStride);
        _scratch = _memory.Take(2 * TOps.Count);
        _window = _memory.Take(_rows);
        _laneTwiddles = _memory.Take(2 * (_rows / TOps.Count) * (TOps.Count - 1));
        _power = _memory.Take(_rows);
        _twiddles = _memory.TakeNumbers(table);
        Prepare();
    }

    /// <summary>Adds |X|² of the windowed segments.</summary>
    /// <param name="first">A segment.</param>
    /// <param name="second">Another one, or as many zeros.</param>
    internal void Add(ReadOnlySpan<double> first, ReadOnlySpan<double> second)
    {
        if (first.Length != _points) throw new ArgumentException($"A segment has {_points} frames.", nameof(first));
        if (second.Length != _points) throw new ArgumentException($"A segment has {_points} frames.", nameof(second));
        fixed (double* a = first, b = second)
        {
            for (var block = 0; block < 8; block++)
            {
                var skip = block * _rowsOfBlock;
                Window((TVector*)a + skip, (TVector*)b + skip, _window + skip, _work + (2 * block * _blockStride), _rowsOfBlock);
            }
        }
        Eight(_work, 2 * _blockStride, _rowsOfBlock, _twiddles);
        for (var block = 0; block < 8; block++)
        {
            var start = _work + (2 * block * _blockStride);
            for (var pass = 1; pass < _passes.Length; pass++)
            {
                var (radix, stride, table) = _passes[pass];
                for (var at = 0; at < _rowsOfBlock; at += radix * stride)
                    if (radix == 8) Eight(start + (2 * at), 2 * stride, stride, _twiddles + table);
                    else if (stride > 1) Four(start + (2 * at), 2 * stride, stride, _twiddles + table);
                if (radix == 4 && stride == 1) LastFour(start, _rowsOfBlock);
            }
            if (_rowsOfBlock >= TOps.Count) AcrossLanes(block, _rowsOfBlock);
        }
        // Blocks of fewer rows than lanes lie side by side.
        if (_rowsOfBlock < TOps.Count) AcrossLanes(0, _rows);
    }

    /// <summary>Adds the sums so far to Σ|X_k|², k = 0…points − 1, and forgets them.</summary>
    internal void AddTo(Span<double> power)
    {
        var sums = (double*)_power;
        for (var row = 0; row < _rows; row++)
        {
            var (group, inGroup) = (row / TOps.Count, row % TOps.Count);
            var k = _lines[row];
            for (var j = 0; j < TOps.Count; j++) power[k + (_rows * j)] += sums[(((group * TOps.Count) + j) * TOps.Count) + inGroup];
        }
        new Span<double>(sums, _points).Clear();
    }

    private static (int Radix, int Stride, int Table)[] Passes(int rows)
    {
        var passes = new List<(int, int, int)>();
        var table = 0;
        while (rows > 1)
        {
            // 8 as long as a 4 or two can end it.
            var radix = rows % 8 == 0 && rows != 16 ? 8 : 4;
            passes.Add((radix, rows / radix, table));
            table += 2 * (radix - 1) * (rows / radix);
            rows /= radix;
        }
        return [.. passes];
    }

    private void Prepare()
    {
        var window = (double*)_window;
        for (var i = 0; i < _points; i++) window[i] = 0.5 - (0.5 * Math.Cos(2 * Math.PI * i / _points));
        foreach (var (radix, stride, table) in _passes)
            for (var j = 0; j < stride; j++)
                for (var q = 1; q < radix; q++)
                {
                    var to = _twiddles + table + (2 * (((radix - 1) * j) + q - 1));
                    (to[1], to[0]) = Math.SinCos(-2 * Math.PI * (j * q) / (radix * stride));
                }
        var lanes = (double*)_laneTwiddles;
        // Behind the transposition a vector holds one lane of as many rows; lane 0 is not turned.
        for (var row = 0; row < _rows; row++)
            for (var lane = 1; lane < TOps.Count; lane++)
            {
                var to = lanes + (((2 * ((row / TOps.Count * (TOps.Count - 1)) + lane - 1)) * TOps.Count) + (row % TOps.Count));
                (to[TOps.Count], to[0]) = Math.SinCos(-2 * Math.PI * ((long)lane * _lines[row]) / _points);
            }
    }

    /// <summary>The line of the transform over m that comes to lie in a row.</summary>
    private int LineOf(int row)
    {
        var (line, weight) = (0, 1);
        foreach (var (radix, stride, _) in _passes)
        {
            line += weight * (row / stride);
            row %= stride;
            weight *= radix;
        }
        return line;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Window(TVector* a, TVector* b, TVector* window, TVector* to, int rows)
    {
        for (var i = 0; i < rows; i++)
        {
            var w = window[i];
            to[2 * i] = TOps.Multiply(a[i], w);
            to[(2 * i) + 1] = TOps.Multiply(b[i], w);
        }
    }

    /// <summary>Stores x·w for one twiddle factor w.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Turn(TVector real, TVector imaginary, double* w, TVector* to)
    {
        TVector wr = TOps.Spread(w[0]), wi = TOps.Spread(w[1]);
        to[0] = TOps.MultiplySubtract(real, wr, TOps.Multiply(imaginary, wi));
        to[1] = TOps.MultiplyAdd(real, wi, TOps.Multiply(imaginary, wr));
    }

    /// <summary>Butterflies of eight rows <paramref name="stride"/> vectors apart.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Eight(TVector* x, int stride, int count, double* w)
    {
        TVector h = TOps.Spread(HalfRoot), minusH = TOps.Spread(-HalfRoot);
        for (var j = 0; j < count; j++, x += 2, w += 14)
        {
            TVector* x1 = x + stride, x2 = x1 + stride, x3 = x2 + stride, x4 = x3 + stride, x5 = x4 + stride, x6 = x5 + stride, x7 = x6 + stride;
            TVector a0r = TOps.Add(x[0], x4[0]), a0i = TOps.Add(x[1], x4[1]), a4r = TOps.Subtract(x[0], x4[0]), a4i = TOps.Subtract(x[1], x4[1]);
            TVector a2r = TOps.Add(x2[0], x6[0]), a2i = TOps.Add(x2[1], x6[1]), a6r = TOps.Subtract(x2[0], x6[0]), a6i = TOps.Subtract(x2[1], x6[1]);
            TVector a1r = TOps.Add(x1[0], x5[0]), a1i = TOps.Add(x1[1], x5[1]), a5r = TOps.Subtract(x1[0], x5[0]), a5i = TOps.Subtract(x1[1], x5[1]);
            TVector a3r = TOps.Add(x3[0], x7[0]), a3i = TOps.Add(x3[1], x7[1]), a7r = TOps.Subtract(x3[0], x7[0]), a7i = TOps.Subtract(x3[1], x7[1]);

            // Even lines: a transform of four.
            TVector b0r = TOps.Add(a0r, a2r), b0i = TOps.Add(a0i, a2i), b2r = TOps.Subtract(a0r, a2r), b2i = TOps.Subtract(a0i, a2i);
            TVector b1r = TOps.Add(a1r, a3r), b1i = TOps.Add(a1i, a3i), b3r = TOps.Subtract(a1r, a3r), b3i = TOps.Subtract(a1i, a3i);
            x[0] = TOps.Add(b0r, b1r);
            x[1] = TOps.Add(b0i, b1i);
            Turn(TOps.Subtract(b0r, b1r), TOps.Subtract(b0i, b1i), w + 6, x4);
            Turn(TOps.Add(b2r, b3i), TOps.Subtract(b2i, b3r), w + 2, x2);
            Turn(TOps.Subtract(b2r, b3i), TOps.Add(b2i, b3r), w + 10, x6);

            // Odd lines: the same with a5 and a7 turned by an eighth and three eighths, √½·(1 ∓ i).
            TVector ur = TOps.Subtract(a5r, a7r), ui = TOps.Subtract(a5i, a7i), vr = TOps.Add(a5r, a7r), vi = TOps.Add(a5i, a7i);
            TVector d0r = TOps.Add(a4r, a6i), d0i = TOps.Subtract(a4i, a6r), d2r = TOps.Subtract(a4r, a6i), d2i = TOps.Add(a4i, a6r);
            TVector er = TOps.Add(ur, vi), ei = TOps.Subtract(ui, vr), fr = TOps.Add(vr, ui), fi = TOps.Subtract(vi, ur);
            Turn(TOps.MultiplyAdd(h, er, d0r), TOps.MultiplyAdd(h, ei, d0i), w, x1);
            Turn(TOps.MultiplyAdd(minusH, er, d0r), TOps.MultiplyAdd(minusH, ei, d0i), w + 8, x5);
            Turn(TOps.MultiplyAdd(h, fi, d2r), TOps.MultiplyAdd(minusH, fr, d2i), w + 4, x3);
            Turn(TOps.MultiplyAdd(minusH, fi, d2r), TOps.MultiplyAdd(h, fr, d2i), w + 12, x7);
        }
    }

    /// <summary>Butterflies of four rows.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Four(TVector* x, int stride, int count, double* w)
    {
        for (var j = 0; j < count; j++, x += 2, w += 6)
        {
            TVector* x1 = x + stride, x2 = x1 + stride, x3 = x2 + stride;
            TVector b0r = TOps.Add(x[0], x2[0]), b0i = TOps.Add(x[1], x2[1]), b2r = TOps.Subtract(x[0], x2[0]), b2i = TOps.Subtract(x[1], x2[1]);
            TVector b1r = TOps.Add(x1[0], x3[0]), b1i = TOps.Add(x1[1], x3[1]), b3r = TOps.Subtract(x1[0], x3[0]), b3i = TOps.Subtract(x1[1], x3[1]);
            x[0] = TOps.Add(b0r, b1r);
            x[1] = TOps.Add(b0i, b1i);
            Turn(TOps.Add(b2r, b3i), TOps.Subtract(b2i, b3r), w, x1);
            Turn(TOps.Subtract(b0r, b1r), TOps.Subtract(b0i, b1i), w + 2, x2);
            Turn(TOps.Subtract(b2r, b3i), TOps.Add(b2i, b3r), w + 4, x3);
        }
    }

    /// <summary>The butterflies of four neighbours that end the transform over m: their factors are all 1.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void LastFour(TVector* x, int rows)
    {
        for (var at = 0; at < rows; at += 4, x += 8)
        {
            TVector b0r = TOps.Add(x[0], x[4]), b0i = TOps.Add(x[1], x[5]), b2r = TOps.Subtract(x[0], x[4]), b2i = TOps.Subtract(x[1], x[5]);
            TVector b1r = TOps.Add(x[2], x[6]), b1i = TOps.Add(x[3], x[7]), b3r = TOps.Subtract(x[2], x[6]), b3i = TOps.Subtract(x[3], x[7]);
            (x[0], x[1]) = (TOps.Add(b0r, b1r), TOps.Add(b0i, b1i));
            (x[2], x[3]) = (TOps.Add(b2r, b3i), TOps.Subtract(b2i, b3r));
            (x[4], x[5]) = (TOps.Subtract(b0r, b1r), TOps.Subtract(b0i, b1i));
            (x[6], x[7]) = (TOps.Subtract(b2r, b3i), TOps.Add(b2i, b3r));
        }
    }

    /// <summary>The last transforms, across the lanes of as many rows as there are lanes; adds their squares.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void AcrossLanes(int block, int rows)
    {
        var row = block * _rowsOfBlock;
        TVector* x = _work + (2 * block * _blockStride), w = _laneTwiddles + (2 * (row / TOps.Count) * (TOps.Count - 1)), power = _power + row, re = _scratch, im = _scratch + TOps.Count;
        for (var at = 0; at + TOps.Count <= rows; at += TOps.Count, power += TOps.Count, x += 2 * TOps.Count)
        {
            TOps.Transpose((double*)x, 2 * TOps.Count, re);
            TOps.Transpose((double*)(x + 1), 2 * TOps.Count, im);
            for (var lane = 1; lane < TOps.Count; lane++, w += 2)
            {
                TVector real = re[lane], imaginary = im[lane];
                re[lane] = TOps.MultiplySubtract(real, w[0], TOps.Multiply(imaginary, w[1]));
                im[lane] = TOps.MultiplyAdd(real, w[1], TOps.Multiply(imaginary, w[0]));
            }
            if (TOps.Count == 8) SquaresOfEight(re, im, power);
            else if (TOps.Count == 4) SquaresOfFour(re, im, power);
            else
            {
                AddSquare(ref power[0], TOps.Add(re[0], re[1]), TOps.Add(im[0], im[1]));
                AddSquare(ref power[1], TOps.Subtract(re[0], re[1]), TOps.Subtract(im[0], im[1]));
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void AddSquare(ref TVector sum, TVector real, TVector imaginary) =>
        sum = TOps.MultiplyAdd(real, real, TOps.MultiplyAdd(imaginary, imaginary, sum));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void SquaresOfEight(TVector* re, TVector* im, TVector* power)
    {
        TVector h = TOps.Spread(HalfRoot), minusH = TOps.Spread(-HalfRoot);
        TVector a0r = TOps.Add(re[0], re[4]), a0i = TOps.Add(im[0], im[4]), a4r = TOps.Subtract(re[0], re[4]), a4i = TOps.Subtract(im[0], im[4]);
        TVector a2r = TOps.Add(re[2], re[6]), a2i = TOps.Add(im[2], im[6]), a6r = TOps.Subtract(re[2], re[6]), a6i = TOps.Subtract(im[2], im[6]);
        TVector a1r = TOps.Add(re[1], re[5]), a1i = TOps.Add(im[1], im[5]), a5r = TOps.Subtract(re[1], re[5]), a5i = TOps.Subtract(im[1], im[5]);
        TVector a3r = TOps.Add(re[3], re[7]), a3i = TOps.Add(im[3], im[7]), a7r = TOps.Subtract(re[3], re[7]), a7i = TOps.Subtract(im[3], im[7]);
        TVector b0r = TOps.Add(a0r, a2r), b0i = TOps.Add(a0i, a2i), b2r = TOps.Subtract(a0r, a2r), b2i = TOps.Subtract(a0i, a2i);
        TVector b1r = TOps.Add(a1r, a3r), b1i = TOps.Add(a1i, a3i), b3r = TOps.Subtract(a1r, a3r), b3i = TOps.Subtract(a1i, a3i);
        AddSquare(ref power[0], TOps.Add(b0r, b1r), TOps.Add(b0i, b1i));
        AddSquare(ref power[4], TOps.Subtract(b0r, b1r), TOps.Subtract(b0i, b1i));
        AddSquare(ref power[2], TOps.Add(b2r, b3i), TOps.Subtract(b2i, b3r));
        AddSquare(ref power[6], TOps.Subtract(b2r, b3i), TOps.Add(b2i, b3r));
        TVector ur = TOps.Subtract(a5r, a7r), ui = TOps.Subtract(a5i, a7i), vr = TOps.Add(a5r, a7r), vi = TOps.Add(a5i, a7i);
        TVector d0r = TOps.Add(a4r, a6i), d0i = TOps.Subtract(a4i, a6r), d2r = TOps.Subtract(a4r, a6i), d2i = TOps.Add(a4i, a6r);
        TVector er = TOps.Add(ur, vi), ei = TOps.Subtract(ui, vr), fr = TOps.Add(vr, ui), fi = TOps.Subtract(vi, ur);
        AddSquare(ref power[1], TOps.MultiplyAdd(h, er, d0r), TOps.MultiplyAdd(h, ei, d0i));
        AddSquare(ref power[5], TOps.MultiplyAdd(minusH, er, d0r), TOps.MultiplyAdd(minusH, ei, d0i));
        AddSquare(ref power[3], TOps.MultiplyAdd(h, fi, d2r), TOps.MultiplyAdd(minusH, fr, d2i));
        AddSquare(ref power[7], TOps.MultiplyAdd(minusH, fi, d2r), TOps.MultiplyAdd(h, fr, d2i));
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void SquaresOfFour(TVector* re, TVector* im, TVector* power)
    {
        TVector b0r = TOps.Add(re[0], re[2]), b0i = TOps.Add(im[0], im[2]), b2r = TOps.Subtract(re[0], re[2]), b2i = TOps.Subtract(im[0], im[2]);
        TVector b1r = TOps.Add(re[1], re[3]), b1i = TOps.Add(im[1], im[3]), b3r = TOps.Subtract(re[1], re[3]), b3i = TOps.Subtract(im[1], im[3]);
        AddSquare(ref power[0], TOps.Add(b0r, b1r), TOps.Add(b0i, b1i));
        AddSquare(ref power[1], TOps.Add(b2r, b3i), TOps.Subtract(b2i, b3r));
        AddSquare(ref power[2], TOps.Subtract(b0r, b1r), TOps.Subtract(b0i, b1i));
        AddSquare(ref power[3], TOps.Subtract(b2r, b3i), TOps.Add(b2i, b3r));
    }
}
