using System.Runtime.Intrinsics;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>How much of a combination's variance comes from which source of scatter.</summary>
/// <remarks>At a node the estimate of l'b is a'y with a = V⁻¹X(X'V⁻¹X)⁻¹l, so source k contributes sd_k² a'K_k a; the contributions add up to the
/// variance. They are averaged over <see cref="Nodes"/> nodes of equal weight and scaled so that their sum is the posterior mean of the variance.</remarks>
public sealed class VarianceSplit
{
    // Shares, not sums, come from these nodes: 64 keep them within some 2 % of the full grid.
    private const int Nodes = 64;

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
        var scales = posterior.RepresentativeScales(Nodes);
        var solver = new LaneSolver(design, [], withTargets: true);
        var variances = new Vector512<double>[components];
        var weights = Enumerable.Range(0, targets).Select(_ => new Vector512<double>[m]).ToArray();
        for (var start = 0; start < scales.Count; start += LaneFactor.Lanes)
        {
            var count = Math.Min(LaneFactor.Lanes, scales.Count - start);
            for (var k = 0; k < components; k++) variances[k] = Lanes(scales, start, k);
            var replicate = Lanes(scales, start, components);
            var known = Vector512.Create(design.Replicates.KnownVariance);
            solver.Solve(variances, replicate + known);
            for (var t = 0; t < targets; t++) solver.ObservationWeights(t, variances, replicate + known, weights[t]);
            for (var t = 0; t < targets; t++)
                for (var s = 0; s <= t; s++)
                {
                    for (var k = 0; k < components; k++) Add(sources[k], t, s, variances[k] * Through(design.Components[k].Kernel, weights[t], weights[s]), count);
                    var direct = Vector512<double>.Zero;
                    for (var i = 0; i < m; i++) direct += weights[t][i] * weights[s][i] / (double)design.Replicates.Counts[i];
                    Add(sources[components], t, s, replicate * direct, count);
                    Add(sources[components + 1], t, s, known * direct, count);
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

    private static Vector512<double> Lanes(List<double[]> scales, int start, int scatter)
    {
        Span<double> lanes = stackalloc double[LaneFactor.Lanes];
        for (var lane = 0; lane < lanes.Length; lane++)
        {
            var sd = scales[Math.Min(start + lane, scales.Count - 1)][scatter];
            lanes[lane] = sd * sd;
        }
        return Vector512.Create<double>(lanes);
    }

    private static Vector512<double> Through(double[,] kernel, Vector512<double>[] x, Vector512<double>[] y)
    {
        var sum = Vector512<double>.Zero;
        for (var i = 0; i < x.Length; i++)
            for (var j = 0; j < y.Length; j++)
                if (kernel[i, j] != 0) sum += kernel[i, j] * x[i] * y[j];
        return sum;
    }

    private static void Add(double[,] to, int t, int s, Vector512<double> value, int count)
    {
        var sum = 0.0;
        for (var lane = 0; lane < count; lane++) sum += value[lane];
        to[t, s] += sum / Nodes;
        if (s != t) to[s, t] += sum / Nodes;
    }
}
