using MathNet.Numerics.Integration;

namespace Hushtrial.Statistics.Distributions;

/// <summary>Distribution of the range of k normal means over their estimated standard error.</summary>
public static class StudentizedRange
{
    private const int Panels = 8;
    private static readonly GaussLegendreRule Rule = new(-1, 1, 16);

    /// <summary>P(Q ≤ q).</summary>
    /// <param name="q">The range over the standard error.</param>
    /// <param name="groups">Number of means, at least 2.</param>
    /// <param name="degreesOfFreedom">Degrees of freedom of the standard error.</param>
    public static double Cdf(double q, int groups, double degreesOfFreedom)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(groups, 2);
        return q <= 0 ? 0 : Math.Min(1, PooledScale.Average(degreesOfFreedom, s => RangeCdf(q * s, groups)));
    }

    /// <summary>P(Q &gt; q).</summary>
    public static double UpperTail(double q, int groups, double degreesOfFreedom) => Math.Max(0, 1 - Cdf(q, groups, degreesOfFreedom));

    /// <summary>The q with P(Q ≤ q) = p; good to some 7 digits.</summary>
    public static double Quantile(double p, int groups, double degreesOfFreedom)
    {
        QuantileSearch.Probability(p);
        return Math.Exp(QuantileSearch.Root(u => Cdf(Math.Exp(u), groups, degreesOfFreedom) - p, Math.Log(3.5), 0.2));
    }

    // Range of k standard normals: k ∫ φ(z) [Φ(z) − Φ(z − w)]^(k−1) dz.
    private static double RangeCdf(double w, int groups)
    {
        var sum = 0.0;
        const double low = -8, high = 8, half = (high - low) / (2 * Panels);
        for (var panel = 0; panel < Panels; panel++)
            for (var i = 0; i < Rule.Order; i++)
            {
                var z = low + (2 * panel + 1) * half + half * Rule.GetAbscissa(i);
                sum += half * Rule.GetWeight(i) * Gaussian.Density(z) * Math.Pow(Math.Max(0, Gaussian.Cdf(z) - Gaussian.Cdf(z - w)), groups - 1);
            }
        return groups * sum;
    }
}
