using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Posterior of a linear mixed model with the standard deviations integrated out on a grid: no Markov chain, no boundary, no degrees of freedom.</summary>
/// <remarks>Two stages: a coarse grid over the whole range of the priors finds where the weight lies, a fine one is laid there. Given a
/// node the targets are normal (flat prior on the fixed part), so the posterior is a mixture of normals.</remarks>
public static class IntegratedModel
{
    private const int CoarseNodes = 5;

    /// <summary>Integrates several responses on one design; what depends on the design alone is computed once.</summary>
    /// <param name="design">The design.</param>
    /// <param name="responses">The responses.</param>
    /// <returns>One posterior per response, in order.</returns>
    public static IReadOnlyList<NodePosterior> Integrate(MixedDesign design, IReadOnlyList<Response> responses)
    {
        if (responses.Count == 0) return [];
        var centred = responses.Select(r => design.Centre(r.Means)).ToArray();
        var coarse = ScaleGrid.Coarse([.. design.Components.Select(c => c.Prior), design.Replicates.Prior], CoarseNodes);
        var first = CoarseLogWeights(design, responses, [.. centred.Select(c => c.Residual)], coarse);
        int[] nodes = [.. design.Components.Select(c => c.Nodes), design.Replicates.Nodes];
        var result = new NodePosterior[responses.Count];
        Parallel.For(0, responses.Count, q =>
        {
            var grid = coarse.Refined(LogWeights.Normalise(first[q]), nodes);
            result[q] = Fine(design, responses[q], centred[q].Fitted, centred[q].Residual, grid);
        });
        return result;
    }

    private static double[][] CoarseLogWeights(MixedDesign design, IReadOnlyList<Response> responses, double[][] rests, ScaleGrid grid)
    {
        var result = responses.Select(_ => new double[grid.Count]).ToArray();
        var solver = new LaneSolver(design, rests, withTargets: false);
        Visit(design, grid, solver, (start, count) =>
        {
            for (var q = 0; q < responses.Count; q++)
            {
                var data = solver.LogDeterminants - 0.5 * solver.Quadratic(q);
                for (var lane = 0; lane < count; lane++) result[q][start + lane] = data[lane];
            }
        });
        for (var q = 0; q < responses.Count; q++) LogWeights.AddPriorAndWithin(design, responses[q], grid, result[q]);
        return result;
    }

    private static NodePosterior Fine(MixedDesign design, Response response, double[] offset, double[] rest, ScaleGrid grid)
    {
        var wide = design.Targets + design.Targets * (design.Targets + 1) / 2;
        var log = new double[grid.Count];
        var moments = new float[grid.Count * wide];
        var lanes = new Vector512<double>[wide];
        var solver = new LaneSolver(design, [rest], withTargets: true);
        Visit(design, grid, solver, (start, count) =>
        {
            var data = solver.LogDeterminants - 0.5 * solver.Quadratic(0);
            solver.Targets(0, lanes);
            var numbers = MemoryMarshal.Cast<Vector512<double>, double>(lanes);
            for (var lane = 0; lane < count; lane++)
            {
                log[start + lane] = data[lane];
                var to = moments.AsSpan((start + lane) * wide, wide);
                for (var i = 0; i < wide; i++) to[i] = (float)numbers[i * LaneFactor.Lanes + lane];
            }
        });
        LogWeights.AddPriorAndWithin(design, response, grid, log);
        return NodePosterior.Create(design, response, grid, LogWeights.Normalise(log), offset, moments);
    }

    private static void Visit(MixedDesign design, ScaleGrid grid, LaneSolver solver, Action<int, int> solved)
    {
        var components = design.Components.Count;
        var squares = grid.Axes.Select(axis => axis.Select(s => Math.Exp(2 * s)).ToArray()).ToArray();
        var variances = new Vector512<double>[components];
        Span<double> lanes = stackalloc double[LaneFactor.Lanes];
        for (var start = 0; start < grid.Count; start += LaneFactor.Lanes)
        {
            var count = Math.Min(LaneFactor.Lanes, grid.Count - start);
            for (var k = 0; k <= components; k++)
            {
                for (var lane = 0; lane < lanes.Length; lane++) lanes[lane] = squares[k][grid.Along(k, start + Math.Min(lane, count - 1))];
                var variance = Vector512.Create<double>(lanes);
                if (k < components) variances[k] = variance;
                else solver.Solve(variances, variance + Vector512.Create(design.Replicates.KnownVariance));
            }
            solved(start, count);
        }
    }
}
