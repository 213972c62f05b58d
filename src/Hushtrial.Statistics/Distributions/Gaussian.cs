using MathNet.Numerics;

namespace Hushtrial.Statistics.Distributions;

/// <summary>The standard normal distribution.</summary>
public static class Gaussian
{
    private const double RootTwo = 1.4142135623730950488;
    private const double LogRootTwoPi = 0.91893853320467274178;

    /// <summary>P(Z ≤ x).</summary>
    public static double Cdf(double x) => 0.5 * SpecialFunctions.Erfc(-x / RootTwo);

    /// <summary>P(Z &gt; x); keeps its relative accuracy far out, where 1 − CDF is 0.</summary>
    public static double UpperTail(double x) => 0.5 * SpecialFunctions.Erfc(x / RootTwo);

    /// <summary>Density at x.</summary>
    public static double Density(double x) => Math.Exp(LogDensity(x));

    /// <summary>Natural logarithm of the density at x.</summary>
    public static double LogDensity(double x) => -0.5 * x * x - LogRootTwoPi;

    /// <summary>The x with P(Z ≤ x) = p.</summary>
    /// <param name="p">Probability, above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="p"/> is not inside (0, 1).</exception>
    public static double Quantile(double p)
    {
        if (p is not (> 0 and < 1)) throw new ArgumentOutOfRangeException(nameof(p), p, "A probability inside (0, 1) is needed.");
        var x = -RootTwo * SpecialFunctions.ErfcInv(2 * p);
        // One Newton step on the smaller tail removes what the rational approximation leaves.
        var error = p < 0.5 ? Cdf(x) - p : (1 - p) - UpperTail(x);
        return x - error / Density(x);
    }
}
