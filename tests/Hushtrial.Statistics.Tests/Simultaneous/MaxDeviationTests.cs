using CsCheck;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Statistics.Simultaneous;
using Hushtrial.Statistics.VarianceComponents;

namespace Hushtrial.Statistics.Tests.Simultaneous;

public class MaxDeviationTests
{
    /// <summary>For k independent normals P(max |z| ≤ c) = (2 Φ(c) − 1)^k (Šidák 1967), solved for c.</summary>
    [Theory, InlineData(1), InlineData(4), InlineData(10)]
    public void Independent_members_have_the_exact_value(int members)
    {
        var deviates = new NormalDeviates(200_000, 3);
        var family = Enumerable.Range(0, members).Select(k => new FamilyMember([(deviates.Column(k), 2.0)], 0, 2)).ToList();
        var critical = MaxDeviation.CriticalValues(family, 0.95, 0.90);
        // Four standard errors of a quantile of 200 000 draws: 4 sqrt(p q / n) / density, at most 0.02 here.
        Assert.Equal(Gaussian.Quantile((1 + Math.Pow(0.95, 1.0 / members)) / 2), critical[0], 0.02);
        Assert.Equal(Gaussian.Quantile((1 + Math.Pow(0.90, 1.0 / members)) / 2), critical[1], 0.02);
    }

    [Fact]
    public void Selecting_and_sorting_find_the_same_quantiles() =>
        Gen.Select(Gen.Double[-5, 5].Array[1, 60], Gen.Int[0, 4], Gen.Double[0.01, 0.99], Gen.Double[0.01, 0.99]).Sample((values, equal, p, q) =>
        {
            // Ties too: rounded values repeat.
            double[] drawn = [.. values.Select(v => Math.Round(v, equal))];
            var found = MaxDeviation.CriticalValues([new([(drawn, 1.0)], 0.5, 1)], p, q);
            var sorted = drawn.Select(v => Math.Abs(v - 0.5)).Order().ToArray();
            foreach (var (probability, value) in new[] { (p, found[0]), (q, found[1]) })
            {
                var at = Math.Clamp(probability * sorted.Length - 0.5, 0, sorted.Length - 1);
                var i = (int)at;
                Assert.Equal(i + 1 < sorted.Length ? sorted[i] + (at - i) * (sorted[i + 1] - sorted[i]) : sorted[i], value, 1e-12);
            }
        }, iter: 2000);

    [Fact]
    public void Columns_of_deviates_are_repeatable_and_unlike_each_other()
    {
        var first = new NormalDeviates(50_000, 7);
        Assert.Equal(first.Column(2).ToArray(), new NormalDeviates(50_000, 7).Column(2).ToArray());
        double[] a = first.Column(0).ToArray(), b = first.Column(1).ToArray();
        Assert.Equal(0, a.Zip(b, (x, y) => x * y).Average(), 4 / Math.Sqrt(a.Length));      // four standard errors
        Assert.Equal(1, a.Average(x => x * x), 4 * Math.Sqrt(2.0 / a.Length));
    }
}
