using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Statistics.Simultaneous;

/// <summary>Single-step max-t: any family of contrasts, with the correlations they have.</summary>
public static class MaxT
{
    private const int Draws = 200_000;

    /// <summary>Critical value c with P(max_j |t_j| ≤ c) = confidence; z ~ N(0, correlation), t = z / sqrt(χ²_ν/ν).</summary>
    /// <param name="factor">Rows whose products are the covariances of the contrasts: contrasts × independent parts. Scales do not matter.</param>
    /// <param name="degreesOfFreedom">ν, common to the family.</param>
    /// <param name="confidence">For example 0.95.</param>
    /// <param name="seed">Seed of the draws of z; over ν the average is exact.</param>
    public static double CriticalValue(double[,] factor, double degreesOfFreedom, double confidence, ulong seed = 1)
    {
        int k = factor.GetLength(0), parts = factor.GetLength(1);
        var length = new double[k];
        for (var j = 0; j < k; j++)
        {
            for (var i = 0; i < parts; i++) length[j] += factor[j, i] * factor[j, i];
            length[j] = Math.Sqrt(length[j]);
        }
        var generator = new SeededGenerator(seed);
        var largest = new double[Draws];
        var z = new double[parts];
        for (var d = 0; d < Draws; d++)
        {
            for (var i = 0; i < parts; i++) z[i] = generator.NextNormal();
            for (var j = 0; j < k; j++)
            {
                var sum = 0.0;
                for (var i = 0; i < parts; i++) sum += factor[j, i] * z[i];
                largest[d] = Math.Max(largest[d], Math.Abs(sum) / length[j]);
            }
        }
        Array.Sort(largest);
        return QuantileSearch.Root(c => PooledScale.Average(degreesOfFreedom, s => Share(largest, c * s)) - confidence, 2.5, 0.5);
    }

    // Share of draws up to x, linear between them: a step function would stall the search.
    private static double Share(double[] sorted, double x)
    {
        var at = Array.BinarySearch(sorted, x);
        if (at < 0) at = ~at;
        if (at == 0 || at >= sorted.Length) return at / (double)sorted.Length;
        return (at - 1 + (x - sorted[at - 1]) / Math.Max(sorted[at] - sorted[at - 1], 1e-300)) / sorted.Length;
    }
}
