using Hushtrial.Statistics.VarianceComponents;

namespace Hushtrial.Statistics.Tests.VarianceComponents;

/// <summary>The integrated model again, slowly and obviously: dense algebra by elimination, nested loops over a plain grid, nothing shared, nothing pruned.</summary>
internal sealed class PlainTwin(double[,] x, double[,] targets, IReadOnlyList<VarianceComponent> components, ReplicateScatter replicates, Response response)
{
    private readonly int _m = x.GetLength(0);
    private readonly int _p = x.GetLength(1);

    public List<double> Weights { get; } = [];

    public List<(double[] Mean, double[,] Covariance, double[] LogScales)> Nodes { get; } = [];

    /// <summary>Both stages of the method, with its numbers of nodes.</summary>
    public void RunTwoStages()
    {
        var ranges = Priors().Select(p => (Low: Math.Log(p.Low), High: Math.Log(p.High))).ToArray();
        Run(ranges, [.. Enumerable.Repeat(5, ranges.Length)]);
        var refined = new (double, double)[ranges.Length];
        for (var k = 0; k < ranges.Length; k++)
        {
            double mean = Average(k), variance = 0, step = (ranges[k].High - ranges[k].Low) / 4;
            for (var g = 0; g < Nodes.Count; g++) variance += Weights[g] * Math.Pow(Nodes[g].LogScales[k] - mean, 2);
            var sd = Math.Max(Math.Sqrt(variance), 0.3 * step);
            refined[k] = (Math.Max(ranges[k].Low, mean - 3.2 * sd), Math.Min(ranges[k].High, mean + 3.2 * sd));
        }
        Run(refined, [.. components.Select(c => c.Nodes), replicates.Nodes]);
    }

    /// <summary>One even grid over the whole range of the priors.</summary>
    public void RunWholeRange(int nodes)
    {
        var ranges = Priors().Select(p => (Math.Log(p.Low), Math.Log(p.High))).ToArray();
        Run(ranges, [.. Enumerable.Repeat(nodes, ranges.Length)]);
    }

    public double Average(int scale) => Enumerable.Range(0, Nodes.Count).Sum(g => Weights[g] * Nodes[g].LogScales[scale]);

    public NormalMixture Along(double[] combination) => NormalMixture.Exact([.. Weights],
        [.. Nodes.Select(n => combination.Select((c, t) => c * n.Mean[t]).Sum())],
        [.. Nodes.Select(n => { var v = 0.0; for (var t = 0; t < combination.Length; t++) for (var s = 0; s < combination.Length; s++) v += combination[t] * combination[s] * n.Covariance[t, s]; return v; })]);

    /// <summary>Shares of the mean variance of a combination by source, over all nodes: sd² a'Ka with a = V⁻¹X(X'V⁻¹X)⁻¹l.</summary>
    public double[] Shares(double[] combination)
    {
        var shares = new double[components.Count + 1];
        for (var g = 0; g < Nodes.Count; g++)
        {
            var sd = Nodes[g].LogScales.Select(Math.Exp).ToArray();
            var (inverse, _) = Invert(Covariance(sd));
            var (covariance, _) = Invert(Normal(inverse));
            var a = new double[_m];
            for (var i = 0; i < _m; i++)
                for (var j = 0; j < _m; j++)
                    for (var p = 0; p < _p; p++)
                        for (var q = 0; q < _p; q++)
                            for (var t = 0; t < combination.Length; t++) a[i] += inverse[i, j] * x[j, p] * covariance[p, q] * targets[t, q] * combination[t];
            for (var i = 0; i < _m; i++)
            {
                shares[^1] += Weights[g] * sd[^1] * sd[^1] * a[i] * a[i] / replicates.Counts[i];
                for (var j = 0; j < _m; j++)
                    for (var k = 0; k < components.Count; k++) shares[k] += Weights[g] * sd[k] * sd[k] * a[i] * components[k].Kernel[i, j] * a[j];
            }
        }
        var sum = shares.Sum();
        return [.. shares.Select(s => s / sum)];
    }

    private double[,] Covariance(double[] sd)
    {
        var v = new double[_m, _m];
        for (var i = 0; i < _m; i++)
        {
            for (var j = 0; j < _m; j++)
                for (var k = 0; k < components.Count; k++) v[i, j] += sd[k] * sd[k] * components[k].Kernel[i, j];
            v[i, i] += (sd[^1] * sd[^1] + replicates.KnownVariance) / replicates.Counts[i];
        }
        return v;
    }

    private double[,] Normal(double[,] inverse)
    {
        var normal = new double[_p, _p];
        for (var a = 0; a < _p; a++)
            for (var b = 0; b < _p; b++)
                for (var i = 0; i < _m; i++)
                    for (var j = 0; j < _m; j++) normal[a, b] += x[i, a] * inverse[i, j] * x[j, b];
        return normal;
    }

    private List<ScalePrior> Priors() => [.. components.Select(c => c.Prior), replicates.Prior];

    private void Run((double Low, double High)[] ranges, int[] counts)
    {
        Weights.Clear();
        Nodes.Clear();
        var logs = new List<double>();
        var index = new int[counts.Length];
        while (true)
        {
            var logScales = index.Select((i, k) => ranges[k].Low + (ranges[k].High - ranges[k].Low) * i / (counts[k] - 1)).ToArray();
            logs.Add(Visit(logScales));
            var k = counts.Length - 1;
            while (k >= 0 && ++index[k] == counts[k]) index[k--] = 0;
            if (k < 0) break;
        }
        var top = logs.Max();
        var sum = logs.Sum(l => Math.Exp(l - top));
        Weights.AddRange(logs.Select(l => Math.Exp(l - top) / sum));
    }

    private double Visit(double[] logScales)
    {
        var sd = logScales.Select(Math.Exp).ToArray();
        var replicate = sd[^1] * sd[^1] + replicates.KnownVariance;
        var (inverse, logDeterminant) = Invert(Covariance(sd));
        var right = new double[_p];
        for (var a = 0; a < _p; a++)
            for (var i = 0; i < _m; i++)
                for (var j = 0; j < _m; j++) right[a] += x[i, a] * inverse[i, j] * response.Means[j];
        var (covariance, logNormal) = Invert(Normal(inverse));
        var coefficients = new double[_p];
        for (var a = 0; a < _p; a++)
            for (var b = 0; b < _p; b++) coefficients[a] += covariance[a, b] * right[b];
        var rest = new double[_m];
        for (var i = 0; i < _m; i++)
        {
            rest[i] = response.Means[i];
            for (var a = 0; a < _p; a++) rest[i] -= x[i, a] * coefficients[a];
        }
        var quadratic = 0.0;
        for (var i = 0; i < _m; i++)
            for (var j = 0; j < _m; j++) quadratic += rest[i] * inverse[i, j] * rest[j];
        var log = -0.5 * (logDeterminant + logNormal + quadratic) - 0.5 * (replicates.Counts.Sum() - _m) * Math.Log(replicate) - response.WithinSumOfSquares / (2 * replicate);
        for (var k = 0; k < logScales.Length; k++) log += Priors()[k].LogDensity(sd[k]) + logScales[k];
        if (response.ReplicateFloor > 0) log -= 32 * Math.Pow(Math.Max(0, Math.Log(response.ReplicateFloor / sd[^1])), 2);
        var t = targets.GetLength(0);
        var mean = new double[t];
        var targetCovariance = new double[t, t];
        for (var r = 0; r < t; r++)
            for (var a = 0; a < _p; a++)
            {
                mean[r] += targets[r, a] * coefficients[a];
                for (var s = 0; s < t; s++)
                    for (var b = 0; b < _p; b++) targetCovariance[r, s] += targets[r, a] * covariance[a, b] * targets[s, b];
            }
        Nodes.Add((mean, targetCovariance, logScales));
        return log;
    }

    // Gauss-Jordan with pivoting.
    private static (double[,] Inverse, double LogDeterminant) Invert(double[,] matrix)
    {
        var n = matrix.GetLength(0);
        var a = (double[,])matrix.Clone();
        var inverse = new double[n, n];
        for (var i = 0; i < n; i++) inverse[i, i] = 1;
        var log = 0.0;
        for (var c = 0; c < n; c++)
        {
            var pivot = Enumerable.Range(c, n - c).MaxBy(r => Math.Abs(a[r, c]));
            for (var k = 0; k < n; k++)
            {
                (a[c, k], a[pivot, k]) = (a[pivot, k], a[c, k]);
                (inverse[c, k], inverse[pivot, k]) = (inverse[pivot, k], inverse[c, k]);
            }
            var d = a[c, c];
            log += Math.Log(Math.Abs(d));
            for (var k = 0; k < n; k++)
            {
                a[c, k] /= d;
                inverse[c, k] /= d;
            }
            for (var r = 0; r < n; r++)
            {
                if (r == c) continue;
                var f = a[r, c];
                for (var k = 0; k < n; k++)
                {
                    a[r, k] -= f * a[c, k];
                    inverse[r, k] -= f * inverse[c, k];
                }
            }
        }
        return (inverse, log);
    }
}
