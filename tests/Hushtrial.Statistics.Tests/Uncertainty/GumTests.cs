using Hushtrial.Statistics.Distributions;
using Hushtrial.Statistics.Uncertainty;

namespace Hushtrial.Statistics.Tests.Uncertainty;

/// <summary>Worked examples of JCGM 100:2008 (H.1, G.4) and JCGM 101:2008 (9.2); values in reference/statistics/gum.csv.</summary>
public class GumTests
{
    [Fact]
    public void End_gauge_of_H_1()
    {
        var budget = new UncertaintyBudget(
        [
            new("standard", 25, 1, 18), new("comparison", 9.7, 1, 25.6), new("expansion", 1.2e-6, 0), new("temperature", 0.41, 0),
            new("difference of expansion", 0.58e-6, 50_000_623 * 0.1, 50), new("difference of temperature", 0.029, 50_000_623 * 11.5e-6, 2),
        ]);
        Assert.Equal([25, 9.7, 0, 0, 2.9, 16.7], budget.Inputs.Select(i => Math.Round(i.Contribution, 1)));     // as printed
        Assert.Equal(31.71, budget.StandardUncertainty, 0.005);
        Assert.Equal(16.656, budget.EffectiveDegreesOfFreedom, 0.05);       // printed 16.7 from rounded contributions
        Assert.Equal(92.1, budget.Expanded(0.99), 0.2);                     // 93 printed: degrees of freedom cut to 16
    }

    [Fact]
    public void Four_equal_contributions_of_ten_degrees_have_forty_G_4() =>
        Assert.Equal(40, new UncertaintyBudget([.. Enumerable.Range(0, 4).Select(i => new UncertaintyInput($"{i}", 1, 1, 10))]).EffectiveDegreesOfFreedom, 1e-12);

    // 10⁶ draws: the standard error of a 97.5 % point of these sums is about 0.005.
    [Theory, InlineData(1, 2.00, 3.92, 0.02), InlineData(2, 2.00, 3.8794, 0.02), InlineData(3, 10.149, 17.02, 0.05)]
    public void Sums_of_JCGM_101_9_2(int example, double u, double endpoint, double tolerance)
    {
        static double Rectangular(SeededGenerator g, double sd) => (2 * g.NextUniform() - 1) * Math.Sqrt(3) * sd;
        var sum = DrawnDistribution.Of(1_000_000, 5, g => example switch
        {
            1 => g.NextNormal() + g.NextNormal() + g.NextNormal() + g.NextNormal(),
            2 => Rectangular(g, 1) + Rectangular(g, 1) + Rectangular(g, 1) + Rectangular(g, 1),
            _ => Rectangular(g, 1) + Rectangular(g, 1) + Rectangular(g, 1) + Rectangular(g, 10),
        });
        Assert.Equal(u, sum.StandardUncertainty, tolerance);
        Assert.Equal(endpoint, 0.5 * (sum.Quantile(0.975) - sum.Quantile(0.025)), tolerance);
        Assert.Equal(0.975, sum.Cdf(sum.Quantile(0.975)), 1e-5);
    }
}
