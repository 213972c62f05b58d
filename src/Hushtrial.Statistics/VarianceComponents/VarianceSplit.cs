using System.Runtime.Intrinsics;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>How much of a combination's variance comes from which source of scatter.</summary>
/// <remarks>At a node the estimate of l'b is a'y with a = V⁻¹X(X'V⁻¹X)⁻¹l, so source k contributes sd_k² a'K_k a; the contributions add up to the
/// variance. They are averaged over a few nodes picked by weight × variance and scaled so that their sum is the posterior mean of the variance.</remarks>
public sealed class VarianceSplit
{
    // Only shares come from these nodes: against the full grid each is within some 2 % of the total (tests).
    private const int Nodes = 128;

    private readonly double[][,] _bySource;
    private readonly NodePosterior _posterior;

    private VarianceSplit(NodePosterior posterior, double[][,] bySource)
    {
        _posterior = posterior;
        _bySource = bySource;
    }

    /// <summary>Splits the variances of a posterior's targets.</summary>
    public static VarianceSplit Of(NodePosterior posterior)
    {
        var design = posterior.Design;
        int targets = design.Targets, components = design.Components.Count, m = design.Observations;
        var sources = Enumerable.Range(0, components + 2).Select(_ => new double[targets, targets]).ToArray();
        var scales = posterior.Representatives(Nodes);
        var solver = new LaneSolver(design, [], withTargets: true);
        var variances = new Vector512<double>[components];
        var kernels = design.Components.Select(c => Entries(c.Kernel)).ToArray();
        var scaled = new Vector512<double>[m];
        var weights = Enumerable.Range(0, targets).Select(_ => new Vector512<double>[m]).ToArray();
        for (var start = 0; start < scales.Count; start += LaneFactor.Lanes)
        {
            var share = Lanes(start, i => i < scales.Count ? scales[i].Weight : 0);
            for (var k = 0; k < components; k++) variances[k] = Lanes(start, i => Square(scales[Math.Min(i, scales.Count - 1)].Scales[k]));
            var replicate = Lanes(start, i => Square(scales[Math.Min(i, scales.Count - 1)].Scales[components]));
            var known = Vector512.Create(design.Replicates.KnownVariance);
            solver.Solve(variances, replicate + known);
            for (var t = 0; t < targets; t++) solver.ObservationWeights(t, variances, replicate + known, weights[t]);
            for (var t = 0; t < targets; t++)
            {
                for (var k = 0; k < components; k++)
                {
                    var through = Through(kernels[k], weights[t]);
                    for (var s = 0; s <= t; s++) Add(sources[k], t, s, variances[k] * Product(through, weights[s]) * share);
                }
                for (var i = 0; i < m; i++) scaled[i] = weights[t][i] / (double)design.Replicates.Counts[i];
                for (var s = 0; s <= t; s++)
                {
                    var direct = Product(scaled, weights[s]) * share;
                    Add(sources[components], t, s, replicate * direct);
                    Add(sources[components + 1], t, s, known * direct);
                }
            }
        }
        return new(posterior, sources);
    }

    /// <summary>Contributions to the variance of a combination: one per scatter of the design, then the known variance of replicates.</summary>
    /// <param name="combination">One weight per target.</param>
    /// <param name="total">Variance that the contributions are to add up to.</param>
    public double[] Contributions(ReadOnlySpan<double> combination, double total)
    {
        var parts = new double[_bySource.Length];
        for (var k = 0; k < parts.Length; k++)
            for (var t = 0; t < combination.Length; t++)
                for (var s = 0; s < combination.Length; s++) parts[k] += combination[t] * combination[s] * _bySource[k][t, s];
        var sum = 0.0;
        for (var k = 0; k < parts.Length; k++) sum += parts[k] = Math.Max(0, parts[k]);
        for (var k = 0; k < parts.Length; k++) parts[k] = sum > 0 ? parts[k] / sum * total : 0;
        return parts;
    }

    /// <summary>The posterior that was split.</summary>
    public NodePosterior Posterior => _posterior;

    private static Vector512<double> Lanes(int start, Func<int, double> value)
    {
        Span<double> lanes = stackalloc double[LaneFactor.Lanes];
        for (var lane = 0; lane < lanes.Length; lane++) lanes[lane] = value(start + lane);
        return Vector512.Create<double>(lanes);
    }

    private static double Square(double x) => x * x;

    private static (int Row, int Column, double Value)[] Entries(double[,] kernel)
    {
        var entries = new List<(int, int, double)>();
        for (var i = 0; i < kernel.GetLength(0); i++)
            for (var j = 0; j < kernel.GetLength(1); j++)
                if (kernel[i, j] != 0) entries.Add((i, j, kernel[i, j]));
        return [.. entries];
    }

    private static Vector512<double>[] Through((int Row, int Column, double Value)[] kernel, Vector512<double>[] x)
    {
        var result = new Vector512<double>[x.Length];
        foreach (var (row, column, value) in kernel) result[row] += value * x[column];
        return result;
    }

    private static Vector512<double> Product(Vector512<double>[] x, Vector512<double>[] y) => LaneFactor.Dot(x, y);

    private static void Add(double[,] to, int t, int s, Vector512<double> value)
    {
        var sum = Vector512.Sum(value);
        to[t, s] += sum;
        if (s != t) to[s, t] += sum;
    }
}
