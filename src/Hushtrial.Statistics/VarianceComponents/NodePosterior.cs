using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Posterior of a model's targets: a normal distribution at every node, nodes weighted.</summary>
public sealed class NodePosterior
{
    // Nodes that together weigh less than this are left out: they would move a 95 % limit by less than 1e-4 standard deviations.
    private const double Negligible = 1e-6;

    private readonly ScaleGrid _grid;
    private readonly int[] _nodes;
    private readonly double[] _weights;
    private readonly double[] _offset;
    private readonly float[] _moments;
    private readonly int _wide;

    private NodePosterior(MixedDesign design, Response response, ScaleGrid grid, int[] nodes, double[] weights, double[] offset, float[] moments)
    {
        Design = design;
        Response = response;
        _grid = grid;
        _nodes = nodes;
        _weights = weights;
        _offset = offset;
        _moments = moments;
        _wide = design.Targets + design.Targets * (design.Targets + 1) / 2;
    }

    /// <summary>The design.</summary>
    public MixedDesign Design { get; }

    /// <summary>The response.</summary>
    public Response Response { get; }

    /// <summary>Number of nodes that carry weight.</summary>
    public int Nodes => _nodes.Length;

    internal static NodePosterior Create(MixedDesign design, Response response, ScaleGrid grid, double[] weights, double[] offset, float[] moments)
    {
        var wide = design.Targets + design.Targets * (design.Targets + 1) / 2;
        var sorted = (double[])weights.Clone();
        Array.Sort(sorted);
        double tail = 0, least = 0;
        foreach (var w in sorted)
        {
            tail += w;
            if (tail > Negligible) break;
            least = w;
        }
        var nodes = Enumerable.Range(0, weights.Length).Where(g => weights[g] > least).ToArray();
        var kept = new float[nodes.Length * wide];
        for (var i = 0; i < nodes.Length; i++) moments.AsSpan(nodes[i] * wide, wide).CopyTo(kept.AsSpan(i * wide));
        return new(design, response, grid, nodes, Rescale([.. nodes.Select(g => weights[g])]), offset, kept);
    }

    /// <summary>Posterior of a combination of targets.</summary>
    /// <param name="combination">One weight per target.</param>
    /// <param name="extraVariance">Variance to add that does not average out; exact when what it stands for is normal.</param>
    /// <exception cref="InvalidOperationException">The design cannot estimate it: ask <see cref="MixedDesign.IsEstimable"/> first.</exception>
    public NormalMixture Along(ReadOnlySpan<double> combination, double extraVariance = 0)
    {
        if (!Design.IsEstimable(combination)) throw new InvalidOperationException("The design cannot estimate this combination of targets.");
        var means = new double[_nodes.Length];
        var variances = new double[_nodes.Length];
        var used = Used(combination);
        var shift = 0.0;
        foreach (var t in used) shift += combination[t] * _offset[t];
        for (var i = 0; i < _nodes.Length; i++)
        {
            var at = _moments.AsSpan(i * _wide, _wide);
            double mean = shift, variance = extraVariance;
            foreach (var t in used)
            {
                mean += combination[t] * at[t];
                foreach (var s in used) variance += combination[t] * combination[s] * Covariance(at, t, s);
            }
            means[i] = mean;
            variances[i] = Math.Max(variance, 1e-12);
        }
        return NormalMixture.Of(_weights, means, variances);
    }

    /// <summary>Variance between nodes of the mean of a combination: what not knowing the scatters adds.</summary>
    public double VarianceBetweenNodes(ReadOnlySpan<double> combination)
    {
        double sum = 0, square = 0;
        for (var i = 0; i < _nodes.Length; i++)
        {
            var mean = 0.0;
            for (var t = 0; t < combination.Length; t++) mean += combination[t] * _moments[i * _wide + t];
            sum += _weights[i] * mean;
            square += _weights[i] * mean * mean;
        }
        return Math.Max(0, square - sum * sum);
    }

    /// <summary>Posterior mean of a standard deviation.</summary>
    /// <param name="scatter">Position in <see cref="MixedDesign.ScatterNames"/>.</param>
    public double MeanScale(int scatter)
    {
        var sum = 0.0;
        for (var i = 0; i < _nodes.Length; i++) sum += _weights[i] * Scale(scatter, i);
        return sum;
    }

    /// <summary>Mean and standard deviation of the logarithm of a standard deviation, a posteriori.</summary>
    /// <param name="scatter">Position in <see cref="MixedDesign.ScatterNames"/>.</param>
    public (double Mean, double Sd) LogScale(int scatter)
    {
        double mean = 0, square = 0;
        for (var i = 0; i < _nodes.Length; i++)
        {
            var s = Math.Log(Scale(scatter, i));
            mean += _weights[i] * s;
            square += _weights[i] * s * s;
        }
        return (mean, Math.Sqrt(Math.Max(0, square - mean * mean)));
    }

    /// <summary>The posterior under another prior of one component: the same nodes, weighted anew.</summary>
    /// <param name="component">Position of the component.</param>
    /// <param name="prior">The prior to put in the place of the design's.</param>
    public NodePosterior Reweighted(int component, ScalePrior prior)
    {
        var old = Design.Components[component].Prior;
        var weights = new double[_weights.Length];
        for (var i = 0; i < weights.Length; i++)
        {
            var sd = Scale(component, i);
            weights[i] = _weights[i] * Math.Exp(prior.LogDensity(sd) - old.LogDensity(sd));
        }
        return new(Design, Response, _grid, _nodes, Rescale(weights), _offset, _moments);
    }

    /// <summary>Joint draws of all targets.</summary>
    /// <param name="count">Number of draws.</param>
    /// <param name="seed">Seed; equal seeds give equal draws.</param>
    public JointDraws Draw(int count, ulong seed) => Draw(new NormalDeviates(count, seed), count);

    /// <summary>Joint draws of all targets, made of the first columns of these deviates.</summary>
    /// <param name="deviates">The deviates.</param>
    /// <param name="count">Number of draws, at most as many as there are deviates.</param>
    /// <remarks>Nodes are taken in proportion to their weights by systematic sampling: the same distribution as independent picks with less chance in it.</remarks>
    public JointDraws Draw(NormalDeviates deviates, int count)
    {
        var t = Design.Targets;
        var values = Enumerable.Range(0, t).Select(_ => new double[count]).ToArray();
        var z = Enumerable.Range(0, t).Select(deviates.Column).ToArray();
        var factor = new double[t * t];
        double cumulative = 0, start = deviates.Uniform;
        var at = 0;
        for (var i = 0; i < _nodes.Length && at < count; i++)
        {
            cumulative += _weights[i] * count;
            // Draw number d belongs to the node within whose share d + start lies; the last node takes what rounding leaves.
            var end = i == _nodes.Length - 1 ? count : Math.Clamp((int)Math.Ceiling(cumulative - start), at, count);
            if (end == at) continue;
            Factor(i, factor);
            for (var k = 0; k < t; k++)
            {
                var to = values[k].AsSpan(at, end - at);
                to.Fill(_offset[k] + _moments[i * _wide + k]);
                for (var j = 0; j <= k; j++)
                {
                    var weight = factor[k * t + j];
                    if (weight == 0) continue;
                    WeightedSum.Add(to, z[j].Span.Slice(at, to.Length), weight);
                }
            }
            at = end;
        }
        return new(values);
    }

    /// <summary>A few nodes picked in proportion to weight × variance of the targets, so that heavy tails are not missed; each with what it stands for.</summary>
    internal List<(double[] Scales, double Weight)> Representatives(int count)
    {
        var shares = new double[_nodes.Length];
        var variances = new double[_nodes.Length];
        for (var i = 0; i < shares.Length; i++)
        {
            var at = _moments.AsSpan(i * _wide, _wide);
            for (var t = 0; t < Design.Targets; t++) variances[i] += Covariance(at, t, t);
            shares[i] = _weights[i] * variances[i];
        }
        var total = shares.Sum();
        var result = new List<(double[], double)>(count);
        var cumulative = 0.0;
        for (var i = 0; i < shares.Length && total > 0; i++)
        {
            cumulative += shares[i] / total * count;
            while (result.Count + 0.5 < cumulative && result.Count < count)
                result.Add(([.. Enumerable.Range(0, _grid.Axes.Length).Select(k => Scale(k, i))], total / (count * variances[i])));
        }
        return result;
    }

    private double Scale(int scatter, int i) => Math.Exp(_grid.Axes[scatter][_grid.Along(scatter, _nodes[i])]);

    private double Covariance(ReadOnlySpan<float> at, int t, int s) =>
        at[Design.Targets + (t >= s ? t * (t + 1) / 2 + s : s * (s + 1) / 2 + t)];

    // Semidefinite covariances happen (a target that is 0 by construction): a pivot that is only rounding counts as 0.
    private void Factor(int node, double[] factor)
    {
        var t = Design.Targets;
        var at = _moments.AsSpan(node * _wide, _wide);
        Array.Clear(factor);
        for (var j = 0; j < t; j++)
        {
            double full = Covariance(at, j, j), pivot = full;
            for (var k = 0; k < j; k++) pivot -= factor[j * t + k] * factor[j * t + k];
            if (pivot <= 1e-6 * full) continue;
            var diagonal = factor[j * t + j] = Math.Sqrt(pivot);
            for (var i = j + 1; i < t; i++)
            {
                var rest = Covariance(at, i, j);
                for (var k = 0; k < j; k++) rest -= factor[i * t + k] * factor[j * t + k];
                factor[i * t + j] = rest / diagonal;
            }
        }
    }

    private static int[] Used(ReadOnlySpan<double> combination)
    {
        var used = new List<int>();
        for (var t = 0; t < combination.Length; t++)
            if (combination[t] != 0) used.Add(t);
        return [.. used];
    }

    private static double[] Rescale(double[] weights)
    {
        var sum = weights.Sum();
        for (var i = 0; i < weights.Length; i++) weights[i] /= sum;
        return weights;
    }
}
