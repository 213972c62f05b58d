namespace Hushtrial.Statistics.Distributions;

/// <summary>Student's t distribution; degrees of freedom need not be whole.</summary>
public static class StudentT
{
    /// <summary>P(T ≤ t).</summary>
    public static double Cdf(double t, double degreesOfFreedom) => t < 0 ? UpperTail(-t, degreesOfFreedom) : 1 - UpperTail(t, degreesOfFreedom);

    /// <summary>P(T &gt; t); keeps its relative accuracy far out.</summary>
    public static double UpperTail(double t, double degreesOfFreedom)
    {
        var v = QuantileSearch.Freedom(degreesOfFreedom);
        if (t < 0) return 1 - UpperTail(-t, v);
        var square = t * t;
        return 0.5 * IncompleteBeta.Regularised(v / 2, 0.5, v / (v + square), square / (v + square));
    }

    /// <summary>P(|T| &gt; |t|).</summary>
    public static double TwoSided(double t, double degreesOfFreedom) => 2 * UpperTail(Math.Abs(t), degreesOfFreedom);

    /// <summary>The t with P(T ≤ t) = p.</summary>
    public static double Quantile(double p, double degreesOfFreedom)
    {
        QuantileSearch.Probability(p);
        if (p < 0.5) return -UpperQuantile(p, degreesOfFreedom);
        return p == 0.5 ? 0 : UpperQuantile(1 - p, degreesOfFreedom);
    }

    // In logarithms of t and of the tail the curve is nearly straight, however heavy the tail.
    private static double UpperQuantile(double tail, double v)
    {
        var start = Math.Log(Math.Max(-Gaussian.Quantile(tail), 1e-8));
        return Math.Exp(QuantileSearch.Root(u => Math.Log(tail) - Math.Log(UpperTail(Math.Exp(u), v)), start, 0.05));
    }
}
