using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

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

    private readonly TransformTables<TOps, TVector> _tables;
    private readonly PinnedVectors<TVector> _memory;
    private readonly TVector* _work;
    private readonly TVector* _scratch;
    private readonly TVector* _power;

    /// <param name="tables">Window and factors.</param>
    internal PowerTransform(TransformTables<TOps, TVector> tables)
    {
        _tables = tables;
        _memory = new((16 * tables.Stride) + (2 * TOps.Count) + tables.Rows);
        _work = _memory.Take(16 * tables.Stride);
        _scratch = _memory.Take(2 * TOps.Count);
        _power = _memory.Take(tables.Rows);
    }

    /// <summary>Counts frames that were written to <see cref="SegmentHalves{TOps, TVector}.Room"/>, and adds |X|² of the two segments that they complete.</summary>
    internal void Fill(int frames, SegmentHalves<TOps, TVector> halves)
    {
        halves.Fill(frames);
        if (halves.Count < 3) return;
        WindowAndEight(halves[0], halves[1], halves[2]);
        AddSquares();
        halves.Advance();
    }

    /// <summary>Adds |X|² of a last segment that is not one of two, and forgets the halves.</summary>
    internal void End(SegmentHalves<TOps, TVector> halves)
    {
        if (halves.Count == 2)
        {
            WindowAlone(halves[0], halves[1]);
            Eight(_work, 2 * _tables.Stride, _tables.RowsOfBlock, _tables.Factors);
            AddSquares();
        }
        halves.Clear();
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void AddSquares()
    {
        var (rows, passes) = (_tables.RowsOfBlock, _tables.Passes);
        for (var block = 0; block < 8; block++)
        {
            var start = _work + (2 * block * _tables.Stride);
            for (var pass = 1; pass < passes.Length; pass++)
            {
                var (radix, stride, table) = passes[pass];
                for (var at = 0; at < rows; at += radix * stride)
                    if (radix == 8) Eight(start + (2 * at), 2 * stride, stride, _tables.Factors + table);
                    else if (stride > 1) Four(start + (2 * at), 2 * stride, stride, _tables.Factors + table);
                if (radix == 4 && stride == 1 && !TransformTables<TOps, TVector>.InRegisters) LastFour(start, rows);
            }
            if (rows >= TOps.Count) AcrossLanes(block, rows);
        }
        // Blocks of fewer rows than lanes lie side by side.
        if (rows < TOps.Count) AcrossLanes(0, _tables.Rows);
    }

    /// <summary>Adds the sums so far to Σ|X_k|², k = 0…points − 1, and forgets them.</summary>
    internal void AddTo(Span<double> power)
    {
        var sums = (double*)_power;
        for (var row = 0; row < _tables.Rows; row++)
        {
            var (group, inGroup) = (row / TOps.Count, row % TOps.Count);
            var k = _tables.Lines[row];
            for (var j = 0; j < TOps.Count; j++) power[k + (_tables.Rows * j)] += sums[(((group * TOps.Count) + j) * TOps.Count) + inGroup];
        }
        new Span<double>(sums, _tables.Points).Clear();
    }

    /// <summary>Two segments under the window, the first as real part, and the first butterflies of eight rows.</summary>
    /// <remarks>The second half of the first segment is the first of the other, and half a period on the window is 1 − w.</remarks>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void WindowAndEight(TVector* x, TVector* middle, TVector* last)
    {
        TVector h = TOps.Spread(HalfRoot), minusH = TOps.Spread(-HalfRoot);
        TVector* window = _tables.Window, to = _work;
        var w = _tables.Factors;
        int from = _tables.Stride, stride = 2 * from, rows = _tables.RowsOfBlock;
        for (var j = 0; j < rows; j++, x++, middle++, last++, window++, to += 2, w += 14)
        {
            TVector* x1 = to + stride, x2 = x1 + stride, x3 = x2 + stride, x4 = x3 + stride, x5 = x4 + stride, x6 = x5 + stride, x7 = x6 + stride;
            Pair(x, middle, last, window, out var a0r, out var a0i, out var a4r, out var a4i);
            Pair(x + (2 * from), middle + (2 * from), last + (2 * from), window + (2 * from), out var a2r, out var a2i, out var a6r, out var a6i);
            Pair(x + from, middle + from, last + from, window + from, out var a1r, out var a1i, out var a5r, out var a5i);
            Pair(x + (3 * from), middle + (3 * from), last + (3 * from), window + (3 * from), out var a3r, out var a3i, out var a7r, out var a7i);
            Even(a0r, a0i, a1r, a1i, a2r, a2i, a3r, a3i, w, to, x2, x4, x6);
            Odd(a4r, a4i, a5r, a5i, a6r, a6i, a7r, a7i, h, minusH, w, x1, x3, x5, x7);
        }
    }

    /// <summary>Windowed values half a segment apart: their sum and their difference.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Pair(TVector* x, TVector* middle, TVector* last, TVector* window, out TVector sumR, out TVector sumI, out TVector differenceR, out TVector differenceI)
    {
        TVector w = *window, m = *middle, e = *last;
        var rising = TOps.Multiply(m, w);
        var falling = TOps.Subtract(m, rising);
        sumR = TOps.MultiplyAdd(*x, w, falling);
        differenceR = TOps.MultiplySubtract(*x, w, falling);
        var minusEnd = TOps.MultiplySubtract(e, w, e);
        sumI = TOps.Subtract(rising, minusEnd);
        differenceI = TOps.Add(rising, minusEnd);
    }

    /// <summary>One segment under the window.</summary>
    private void WindowAlone(TVector* x, TVector* middle)
    {
        var stride = _tables.Stride;
        for (var block = 0; block < 4; block++)
            for (var i = 0; i < _tables.RowsOfBlock; i++)
            {
                var from = (block * stride) + i;
                TVector* to = _work + (2 * from), half = to + (8 * stride);
                var w = _tables.Window[from];
                (to[0], to[1]) = (TOps.Multiply(x[from], w), default);
                (half[0], half[1]) = (TOps.Subtract(middle[from], TOps.Multiply(middle[from], w)), default);
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

            Even(a0r, a0i, a1r, a1i, a2r, a2i, a3r, a3i, w, x, x2, x4, x6);
            Odd(a4r, a4i, a5r, a5i, a6r, a6i, a7r, a7i, h, minusH, w, x1, x3, x5, x7);
        }
    }

    /// <summary>The even lines of a transform of eight: one of four.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Even(TVector a0r, TVector a0i, TVector a1r, TVector a1i, TVector a2r, TVector a2i, TVector a3r, TVector a3i,
        double* w, TVector* x, TVector* x2, TVector* x4, TVector* x6)
    {
        TVector b0r = TOps.Add(a0r, a2r), b0i = TOps.Add(a0i, a2i), b2r = TOps.Subtract(a0r, a2r), b2i = TOps.Subtract(a0i, a2i);
        TVector b1r = TOps.Add(a1r, a3r), b1i = TOps.Add(a1i, a3i), b3r = TOps.Subtract(a1r, a3r), b3i = TOps.Subtract(a1i, a3i);
        x[0] = TOps.Add(b0r, b1r);
        x[1] = TOps.Add(b0i, b1i);
        Turn(TOps.Subtract(b0r, b1r), TOps.Subtract(b0i, b1i), w + 6, x4);
        Turn(TOps.Add(b2r, b3i), TOps.Subtract(b2i, b3r), w + 2, x2);
        Turn(TOps.Subtract(b2r, b3i), TOps.Add(b2i, b3r), w + 10, x6);
    }

    /// <summary>The odd lines: the same with a5 and a7 turned by an eighth and three eighths, √½·(1 ∓ i).</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Odd(TVector a4r, TVector a4i, TVector a5r, TVector a5i, TVector a6r, TVector a6i, TVector a7r, TVector a7i,
        TVector h, TVector minusH, double* w, TVector* x1, TVector* x3, TVector* x5, TVector* x7)
    {
        TVector ur = TOps.Subtract(a5r, a7r), ui = TOps.Subtract(a5i, a7i), vr = TOps.Add(a5r, a7r), vi = TOps.Add(a5i, a7i);
        TVector d0r = TOps.Add(a4r, a6i), d0i = TOps.Subtract(a4i, a6r), d2r = TOps.Subtract(a4r, a6i), d2i = TOps.Add(a4i, a6r);
        TVector er = TOps.Add(ur, vi), ei = TOps.Subtract(ui, vr), fr = TOps.Add(vr, ui), fi = TOps.Subtract(vi, ur);
        Turn(TOps.MultiplyAdd(h, er, d0r), TOps.MultiplyAdd(h, ei, d0i), w, x1);
        Turn(TOps.MultiplyAdd(minusH, er, d0r), TOps.MultiplyAdd(minusH, ei, d0i), w + 8, x5);
        Turn(TOps.MultiplyAdd(h, fi, d2r), TOps.MultiplyAdd(minusH, fr, d2i), w + 4, x3);
        Turn(TOps.MultiplyAdd(minusH, fi, d2r), TOps.MultiplyAdd(h, fr, d2i), w + 12, x7);
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
        var row = block * _tables.RowsOfBlock;
        TVector* x = _work + (2 * block * _tables.Stride), w = _tables.LaneFactors + (2 * (row / TOps.Count) * TransformTables<TOps, TVector>.TurnedLanes);
        TVector* power = _power + row, re = _scratch, im = _scratch + TOps.Count;
        if (TransformTables<TOps, TVector>.InRegisters)
        {
            if (_tables.Passes[^1].Radix == 4) FourAcross.WithLastFour((Vector256<double>*)x, (Vector256<double>*)w, (Vector256<double>*)power, rows);
            else FourAcross.Alone((Vector256<double>*)x, (Vector256<double>*)w, (Vector256<double>*)power, rows);
            return;
        }
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
