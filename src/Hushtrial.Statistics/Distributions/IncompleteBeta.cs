using MathNet.Numerics;

namespace Hushtrial.Statistics.Distributions;

/// <summary>Regularised incomplete beta function, accurate in relative terms in both tails and for parameters up to 1e8.</summary>
/// <remarks>Continued fraction of DLMF 8.17.22 by the modified Lentz method. The library function loses digits for large parameters because it
/// subtracts logarithms of gamma functions; here their difference is formed directly.</remarks>
internal static class IncompleteBeta
{
    /// <summary>I_x(a, b), given x and 1 − x so that neither loses digits.</summary>
    public static double Regularised(double a, double b, double x, double complement)
    {
        if (x <= 0) return 0;
        if (complement <= 0) return 1;
        return x <= (a + 1) / (a + b + 2) ? Fraction(a, b, x, complement) : 1 - Fraction(b, a, complement, x);
    }

    private static double Fraction(double a, double b, double x, double complement)
    {
        const double tiny = 1e-300;
        // 1 − (a + b) x / (a + 1), from 1 − x where the difference would lose digits.
        double c = 1, d = complement < 0.5 ? (1 - b + (a + b) * complement) / (a + 1) : 1 - (a + b) * x / (a + 1);
        d = 1 / (Math.Abs(d) < tiny ? tiny : d);
        var h = d;
        for (var m = 1; m < 20_000; m++)
        {
            var even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
            d = 1 / Guard(1 + even * d);
            c = Guard(1 + even / c);
            h *= d * c;
            var odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
            d = 1 / Guard(1 + odd * d);
            c = Guard(1 + odd / c);
            var factor = d * c;
            h *= factor;
            if (Math.Abs(factor - 1) < 4e-16) break;                // further factors are only rounding, and it adds up
        }
        return Math.Exp(a * Log(x, complement) + b * Log(complement, x) - LogBeta(a, b)) * h / a;

        static double Guard(double value) => Math.Abs(value) < tiny ? tiny : value;
    }

    // ln x, from 1 − x where x is near 1.
    private static double Log(double x, double complement) => complement < 0.5 ? LogOnePlus(-complement) : Math.Log(x);

    // ln B(a, b) without the cancellation of ln Γ(a) − ln Γ(a + b) for large a.
    internal static double LogBeta(double a, double b)
    {
        if (a < b) (a, b) = (b, a);
        if (a < 20) return SpecialFunctions.GammaLn(a) + SpecialFunctions.GammaLn(b) - SpecialFunctions.GammaLn(a + b);
        var difference = (a - 0.5) * LogOnePlus(b / a) + b * Math.Log(a + b) - b + Stirling(a + b) - Stirling(a);     // ln Γ(a + b) − ln Γ(a)
        return SpecialFunctions.GammaLn(b) - difference;
    }

    // ln Γ(z) − [(z − ½) ln z − z + ½ ln 2π], DLMF 5.11.1; below 1e-17 beyond the last term for z ≥ 20.
    private static double Stirling(double z)
    {
        var w = 1 / (z * z);
        return (1 / 12.0 - w * (1 / 360.0 - w * (1 / 1260.0 - w * (1 / 1680.0 - w / 1188.0)))) / z;
    }

    internal static double LogOnePlus(double x)
    {
        if (Math.Abs(x) > 0.5) return Math.Log(1 + x);
        var u = 1 + x;
        return u == 1 ? x : Math.Log(u) * x / (u - 1);          // Goldberg 1991, theorem 4
    }
}
