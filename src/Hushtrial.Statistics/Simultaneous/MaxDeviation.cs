using Hushtrial.Statistics.VarianceComponents;

namespace Hushtrial.Statistics.Simultaneous;

/// <summary>Simultaneous critical values of a family of numbers from joint draws.</summary>
public static class MaxDeviation
{
    /// <summary>Quantiles of max_j |d_j − m_j| / s_j over draws d.</summary>
    /// <param name="draws">For each member of the family one value per draw.</param>
    /// <param name="means">Mean of each member.</param>
    /// <param name="sds">Standard deviation of each member, above 0.</param>
    /// <param name="probabilities">Wanted probabilities.</param>
    /// <returns>One critical value per probability: intervals m_j ± c s_j hold all at once with that probability.</returns>
    public static double[] CriticalValues(IReadOnlyList<double[]> draws, IReadOnlyList<double> means, IReadOnlyList<double> sds, params double[] probabilities)
    {
        if (draws.Count == 0) throw new ArgumentException("A family has at least one member.", nameof(draws));
        var largest = new double[draws[0].Length];
        for (var j = 0; j < draws.Count; j++)
        {
            double mean = means[j], scale = 1 / sds[j];
            var values = draws[j];
            for (var i = 0; i < largest.Length; i++) largest[i] = Math.Max(largest[i], Math.Abs(values[i] - mean) * scale);
        }
        var distribution = new Uncertainty.DrawnDistribution(largest);
        return [.. probabilities.Select(distribution.Quantile)];
    }
}
