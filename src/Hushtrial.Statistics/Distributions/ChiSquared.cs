using MathNet.Numerics;

namespace Hushtrial.Statistics.Distributions;

/// <summary>The chi-squared distribution.</summary>
public static class ChiSquared
{
    /// <summary>P(X ≤ x).</summary>
    public static double Cdf(double x, double degreesOfFreedom) => x <= 0 ? 0 : SpecialFunctions.GammaLowerRegularized(QuantileSearch.Freedom(degreesOfFreedom) / 2, x / 2);

    /// <summary>P(X &gt; x).</summary>
    public static double UpperTail(double x, double degreesOfFreedom) => x <= 0 ? 1 : SpecialFunctions.GammaUpperRegularized(QuantileSearch.Freedom(degreesOfFreedom) / 2, x / 2);

    /// <summary>The x with P(X ≤ x) = p.</summary>
    public static double Quantile(double p, double degreesOfFreedom)
    {
        QuantileSearch.Probability(p);
        Func<double, double> rising = p < 0.5
            ? u => LogCdf(Math.Exp(u), degreesOfFreedom) - Math.Log(p)
            : u => Math.Log(1 - p) - Math.Log(UpperTail(Math.Exp(u), degreesOfFreedom));
        return Math.Exp(QuantileSearch.Root(rising, Math.Log(degreesOfFreedom), 0.25));
    }

    // Near 0 by the series x^a e^(−x) Σ x^n / Γ(a + n + 1) (DLMF 8.7.1): the library rounds very small arguments to 0.
    private static double LogCdf(double x, double degreesOfFreedom)
    {
        double a = degreesOfFreedom / 2, y = x / 2;
        if (y > 0.1) return Math.Log(Cdf(x, degreesOfFreedom));
        double sum = 0, term = 1;
        for (var n = 1; n < 30; n++)
        {
            sum += term;
            term *= y / (a + n);
        }
        return a * Math.Log(y) - y - SpecialFunctions.GammaLn(a + 1) + Math.Log(sum);
    }
}
