using MathNet.Numerics;
using MathNet.Numerics.Integration;

namespace Hushtrial.Statistics.Distributions;

/// <summary>Averages over S = sqrt(χ²_ν / ν), the estimated over the true standard deviation: what stands between a normal statistic and its studentised one.</summary>
internal static class PooledScale
{
    private const int Panels = 16;
    private static readonly GaussLegendreRule Rule = new(-1, 1, 20);

    /// <summary>E g(S) for a smooth, bounded g.</summary>
    public static double Average(double degreesOfFreedom, Func<double, double> g)
    {
        var v = QuantileSearch.Freedom(degreesOfFreedom);
        // In t = ln s the density is v s^v exp(−v s²/2) times a constant; outside ± this range it holds less than 1e-15.
        double spread = 1 / Math.Sqrt(2 * v), low = -Math.Max(9 * spread, 36 / v), high = Math.Min(Math.Max(0.5 * Math.Log(90 / v + 1), 9 * spread), 9 * spread + 2);
        var constant = v / 2 * Math.Log(v) - (v / 2 - 1) * Math.Log(2) - SpecialFunctions.GammaLn(v / 2);
        var sum = 0.0;
        var half = (high - low) / (2 * Panels);
        for (var panel = 0; panel < Panels; panel++)
        {
            var centre = low + (2 * panel + 1) * half;
            for (var i = 0; i < Rule.Order; i++)
            {
                var t = centre + half * Rule.GetAbscissa(i);
                var s = Math.Exp(t);
                sum += half * Rule.GetWeight(i) * Math.Exp(constant + v * t - 0.5 * v * s * s) * g(s);
            }
        }
        return sum;
    }
}
