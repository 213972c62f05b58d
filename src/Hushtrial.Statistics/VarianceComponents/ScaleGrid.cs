namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>A product grid over the standard deviations, equally spaced in their logarithms.</summary>
internal sealed class ScaleGrid
{
    private readonly int[] _strides;

    /// <summary>Lays a grid.</summary>
    /// <param name="axes">Natural logarithms of the standard deviations by scatter, the replicates' last; the last runs fastest.</param>
    public ScaleGrid(double[][] axes)
    {
        Axes = axes;
        _strides = new int[axes.Length];
        var stride = 1;
        for (var k = axes.Length - 1; k >= 0; k--)
        {
            _strides[k] = stride;
            stride *= axes[k].Length;
        }
        Count = stride;
    }

    public double[][] Axes { get; }

    public int Count { get; }

    /// <summary>Position along axis <paramref name="axis"/> of node <paramref name="node"/>.</summary>
    public int Along(int axis, int node) => node / _strides[axis] % Axes[axis].Length;

    public static double[] Even(double low, double high, int nodes)
    {
        var axis = new double[nodes];
        for (var i = 0; i < nodes; i++) axis[i] = low + (high - low) * i / (nodes - 1);
        return axis;
    }

    /// <summary>The coarse grid: as many nodes per scatter over the whole range of its prior.</summary>
    public static ScaleGrid Coarse(IEnumerable<ScalePrior> priors, int nodes) =>
        new([.. priors.Select(p => Even(Math.Log(p.Low), Math.Log(p.High), nodes))]);

    /// <summary>The fine grid: mean ± 3.2 standard deviations of what the coarse one found, inside the prior's range.</summary>
    public ScaleGrid Refined(double[] weights, int[] nodes)
    {
        var axes = new double[Axes.Length][];
        for (var k = 0; k < axes.Length; k++)
        {
            double mean = 0, square = 0;
            for (var g = 0; g < Count; g++) mean += weights[g] * Axes[k][Along(k, g)];
            for (var g = 0; g < Count; g++)
            {
                var d = Axes[k][Along(k, g)] - mean;
                square += weights[g] * d * d;
            }
            var step = Axes[k][1] - Axes[k][0];
            var sd = Math.Max(Math.Sqrt(square), 0.3 * step);
            axes[k] = Even(Math.Max(mean - 3.2 * sd, Axes[k][0]), Math.Min(mean + 3.2 * sd, Axes[k][^1]), nodes[k]);
        }
        return new(axes);
    }
}
