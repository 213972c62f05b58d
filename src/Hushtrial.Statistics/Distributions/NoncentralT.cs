namespace Hushtrial.Statistics.Distributions;

/// <summary>Noncentral t: a normal of mean δ and variance 1 over an independent S = sqrt(χ²_ν / ν). Used for power.</summary>
public static class NoncentralT
{
    /// <summary>P(T ≤ t).</summary>
    public static double Cdf(double t, double degreesOfFreedom, double noncentrality) =>
        PooledScale.Average(degreesOfFreedom, s => Gaussian.Cdf(t * s - noncentrality));

    /// <summary>P(T &gt; t).</summary>
    public static double UpperTail(double t, double degreesOfFreedom, double noncentrality) =>
        PooledScale.Average(degreesOfFreedom, s => Gaussian.UpperTail(t * s - noncentrality));

    /// <summary>The t with P(T ≤ t) = p.</summary>
    public static double Quantile(double p, double degreesOfFreedom, double noncentrality)
    {
        QuantileSearch.Probability(p);
        return QuantileSearch.Root(t => Cdf(t, degreesOfFreedom, noncentrality) - p, noncentrality, 0.5);
    }
}
