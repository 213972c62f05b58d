namespace Hushtrial.Statistics.Distributions;

/// <summary>Fisher's F distribution.</summary>
public static class FisherF
{
    /// <summary>P(F ≤ f).</summary>
    public static double Cdf(double f, double numerator, double denominator) => f <= 0 ? 0 : Tail(f, numerator, denominator, upper: false);

    /// <summary>P(F &gt; f); keeps its relative accuracy far out.</summary>
    public static double UpperTail(double f, double numerator, double denominator) => f <= 0 ? 1 : Tail(f, numerator, denominator, upper: true);

    /// <summary>The f with P(F ≤ f) = p.</summary>
    public static double Quantile(double p, double numerator, double denominator)
    {
        QuantileSearch.Probability(p);
        Func<double, double> rising = p < 0.5
            ? u => Math.Log(Cdf(Math.Exp(u), numerator, denominator)) - Math.Log(p)
            : u => Math.Log(1 - p) - Math.Log(UpperTail(Math.Exp(u), numerator, denominator));
        return Math.Exp(QuantileSearch.Root(rising, 0, 0.25));
    }

    private static double Tail(double f, double numerator, double denominator, bool upper)
    {
        double a = QuantileSearch.Freedom(numerator), b = QuantileSearch.Freedom(denominator), sum = b + a * f;
        return upper ? IncompleteBeta.Regularised(b / 2, a / 2, b / sum, a * f / sum) : IncompleteBeta.Regularised(a / 2, b / 2, a * f / sum, b / sum);
    }
}
