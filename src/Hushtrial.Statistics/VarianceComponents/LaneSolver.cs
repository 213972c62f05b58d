using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Generalised least squares at eight nodes of a grid at once.</summary>
/// <remarks>Scratch memory of one thread. For a node: V = C C'; X~ = C⁻¹X, y~ = C⁻¹y; A = X~'X~; r = y~ − X~ b; the data part of the
/// log weight is −Σ ln C_ii − ½ ln|A| − ½ r'r.</remarks>
internal sealed class LaneSolver
{
    private readonly MixedDesign _design;
    private readonly double[][] _rests;
    private readonly Vector512<double>[] _block;
    private readonly Vector512<double>[] _normal;
    private readonly Vector512<double>[] _squares;
    private readonly Vector512<double>[] _products;
    private readonly double[][] _targetRows;
    private readonly double[][][] _blockRests;

    /// <param name="design">The design.</param>
    /// <param name="rests">Centred responses.</param>
    /// <param name="withTargets">Whether <see cref="Targets"/> is wanted.</param>
    public LaneSolver(MixedDesign design, double[][] rests, bool withTargets)
    {
        _design = design;
        _rests = rests;
        _targetRows = withTargets ? [.. Enumerable.Range(0, design.Targets).Select(design.TargetRow)] : [];
        _block = new Vector512<double>[design.Blocks.Max(b => b.Size * (b.Size + b.Columns.Length + rests.Length))];
        _normal = new Vector512<double>[Math.Max(1, design.Rank * (design.Rank + rests.Length + _targetRows.Length))];
        _squares = new Vector512<double>[rests.Length];
        _products = new Vector512<double>[Math.Max(1, design.Blocks.Max(b => b.Columns.Length))];
        _blockRests = [.. design.Blocks.Select(b => rests.Select(r => b.Members.Select(i => r[i]).ToArray()).ToArray())];
    }

    /// <summary>−Σ ln C_ii − ½ ln|A|.</summary>
    public Vector512<double> LogDeterminants { get; private set; }

    /// <summary>Factors everything for eight sets of variances.</summary>
    /// <param name="variances">Variance by component.</param>
    /// <param name="replicate">Variance of one replicate, known part included.</param>
    public void Solve(ReadOnlySpan<Vector512<double>> variances, Vector512<double> replicate)
    {
        int p = _design.Rank, responses = _rests.Length;
        Array.Clear(_normal);
        Array.Clear(_squares);
        var logs = Vector512<double>.Zero;
        for (var b = 0; b < _design.Blocks.Count; b++)
        {
            logs -= Vector512.Log(FactorBlock(b, variances, replicate));
            Accumulate(_design.Blocks[b]);
        }
        for (var t = 0; t < _targetRows.Length; t++)
            for (var c = 0; c < p; c++) _normal[(p + responses + t) * p + c] = Vector512.Create(_targetRows[t][c]);
        logs -= Vector512.Log(LaneFactor.Factor(_normal, p, p + responses + _targetRows.Length));
        LogDeterminants = logs;
    }

    /// <summary>r'r of a response.</summary>
    public Vector512<double> Quadratic(int response)
    {
        var z = NormalRow(_design.Rank + response);
        return Vector512.Max(_squares[response] - LaneFactor.Dot(z, z), Vector512<double>.Zero);
    }

    /// <summary>Means (one response) and covariances of the targets: t means, then the lower triangle row by row.</summary>
    public void Targets(int response, Span<Vector512<double>> result)
    {
        int p = _design.Rank, at = _targetRows.Length;
        var z = NormalRow(p + response);
        for (var t = 0; t < _targetRows.Length; t++)
        {
            var u = NormalRow(p + _rests.Length + t);
            result[t] = LaneFactor.Dot(u, z);
            for (var s = 0; s <= t; s++) result[at++] = LaneFactor.Dot(u, NormalRow(p + _rests.Length + s));
        }
    }

    /// <summary>The weights that a target's estimate gives to the observations: V⁻¹ X A⁻¹ l.</summary>
    /// <param name="target">The target.</param>
    /// <param name="variances">As given to <see cref="Solve"/>.</param>
    /// <param name="replicate">As given to <see cref="Solve"/>.</param>
    /// <param name="weights">One per observation.</param>
    public void ObservationWeights(int target, ReadOnlySpan<Vector512<double>> variances, Vector512<double> replicate, Span<Vector512<double>> weights)
    {
        var p = _design.Rank;
        var coefficients = NormalRow(p + _rests.Length + target).ToArray();     // R⁻¹ l; after the next line A⁻¹ l
        LaneFactor.BackSubstitute(_normal, p, coefficients);
        for (var b = 0; b < _design.Blocks.Count; b++)
        {
            var block = _design.Blocks[b];
            FactorBlock(b, variances, replicate);
            var x = new Vector512<double>[block.Size];
            for (var c = 0; c < block.Columns.Length; c++)
                for (var i = 0; i < x.Length; i++)
                    x[i] += _block[(block.Size + c) * block.Size + i] * coefficients[block.Columns[c]];
            LaneFactor.BackSubstitute(_block, block.Size, x);
            for (var i = 0; i < x.Length; i++) weights[block.Members[i]] = x[i];
        }
    }

    private ReadOnlySpan<Vector512<double>> NormalRow(int row) => _normal.AsSpan(row * _design.Rank, _design.Rank);

    private Vector512<double> FactorBlock(int index, ReadOnlySpan<Vector512<double>> variances, Vector512<double> replicate)
    {
        var block = _design.Blocks[index];
        int n = block.Size, total = n + block.Columns.Length + _rests.Length;
        Array.Clear(_block, 0, n * n);
        ref var origin = ref MemoryMarshal.GetArrayDataReference(_block);
        for (var k = 0; k < variances.Length; k++)
        {
            var variance = variances[k];
            foreach (var entry in block.Kernels[k])
            {
                ref var to = ref Unsafe.Add(ref origin, entry.Position);
                to = Vector512.FusedMultiplyAdd(variance, Vector512.Create(entry.Value), to);
            }
        }
        for (var i = 0; i < n; i++) _block[i * n + i] += replicate * block.PerReplicate[i];
        for (var i = 0; i < block.Design.Length; i++) _block[n * n + i] = Vector512.Create(block.Design[i]);
        for (var r = 0; r < _rests.Length; r++)
        {
            var rest = _blockRests[index][r];
            for (var i = 0; i < n; i++) _block[(n + block.Columns.Length + r) * n + i] = Vector512.Create(rest[i]);
        }
        return LaneFactor.Factor(_block, n, total);
    }

    private void Accumulate(DesignBlock block)
    {
        int n = block.Size, p = _design.Rank, k = block.Columns.Length;
        var rows = _block.AsSpan(n * n, k * n);
        for (var i = 0; i < k; i++)
        {
            LaneFactor.Dots(rows.Slice(i * n, n), rows, i + 1, _products);
            var to = _normal.AsSpan(block.Columns[i] * p, p);
            for (var j = 0; j <= i; j++) to[block.Columns[j]] += _products[j];
        }
        for (var r = 0; r < _rests.Length; r++)
        {
            var y = _block.AsSpan((n + k + r) * n, n);
            _squares[r] += LaneFactor.Dot(y, y);
            LaneFactor.Dots(y, rows, k, _products);
            var to = _normal.AsSpan((p + r) * p, p);
            for (var j = 0; j < k; j++) to[block.Columns[j]] += _products[j];
        }
    }
}
