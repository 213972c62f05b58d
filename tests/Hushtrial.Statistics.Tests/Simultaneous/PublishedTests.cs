using Hushtrial.Statistics.Distributions;
using Hushtrial.Statistics.Simultaneous;
using Hushtrial.Tests;

namespace Hushtrial.Statistics.Tests.Simultaneous;

/// <summary>Tukey's comparison of PlantGrowth, and equivalence and Welch tests of the sleep data, as R 4.2.2 gives them.</summary>
public class PublishedTests
{
    [Fact]
    public void Tukey_comparisons_of_plant_growth()
    {
        var groups = Reference.Read("statistics/data_plantgrowth.csv").GroupBy(r => r["group"]).ToDictionary(g => g.Key, g => g.Select(r => r.Number("weight")).ToArray());
        var residual = groups.Values.Sum(g => g.Sum(x => (x - g.Average()) * (x - g.Average()))) / 27;
        Assert.Equal(0.3885959259, residual, 1e-10);
        var rows = Reference.Read("statistics/anova_tukey.csv").Where(r => r["quantity"].StartsWith("Tukey", StringComparison.Ordinal)).ToArray();
        Assert.Equal(3, rows.Length);
        foreach (var row in rows)
        {
            var names = row["quantity"]["Tukey ".Length..].Split(':')[0].Split('-');
            var expected = row["value"].Split(';').Select(v => double.Parse(v, System.Globalization.CultureInfo.InvariantCulture)).ToArray();
            double difference = groups[names[0]].Average() - groups[names[1]].Average(), error = Math.Sqrt(residual * 2 / 10);
            var half = TukeyKramer.CriticalValue(0.95, 3, 27) * error;
            Assert.Equal(expected[0], difference, 1e-9);
            Assert.Equal(expected[1], difference - half, 2e-6);         // qtukey of R stops at about 1e-6
            Assert.Equal(expected[2], difference + half, 2e-6);
            Assert.Equal(expected[3], TukeyKramer.PValue(difference / error, 3, 27), 2e-6);
        }
    }

    [Fact]
    public void F_test_of_plant_growth() => Assert.Equal(0.01590996, FisherF.UpperTail(4.846088, 2, 27), 1e-8);

    [Fact]
    public void Paired_equivalence_of_the_sleep_data()
    {
        double[] d = [1.2, 2.4, 1.3, 1.3, 0, 1, 1.8, 0.8, 4.6, 1.4];
        double mean = d.Average(), error = Math.Sqrt(d.Sum(x => (x - mean) * (x - mean)) / 9 / 10);
        Assert.Equal(0.388958724, error, 1e-9);
        Assert.Equal(0.002832890, StudentT.TwoSided(mean / error, 9), 1e-9);
        // The table prints t to six decimals and p from it: a few 1e-9 remain.
        Assert.Equal(0.021116866, Equivalence.PValue(mean, error, 9, 2.5), 1e-8);
        Assert.Equal(0.154157236, Equivalence.PValue(mean, error, 9, 2.0), 1e-8);
        Assert.Equal(0.700114237, mean - StudentT.Quantile(0.975, 9) * error, 1e-9);
        Assert.Equal(2.293005267, mean + StudentT.Quantile(0.95, 9) * error, 1e-9);
    }

    [Fact]
    public void Welch_test_of_the_sleep_data()
    {
        Assert.Equal(0.0793941402, StudentT.TwoSided(-1.860813467, 17.77647352), 1e-9);
        var half = StudentT.Quantile(0.975, 17.77647352) * (1.58 / 1.860813467);
        Assert.Equal(-3.365483231, -1.58 - half, 1e-6);
        Assert.Equal(0.205483231, -1.58 + half, 1e-6);
    }

    [Fact]
    public void Max_t_of_independent_contrasts_is_the_studentised_maximum()
    {
        // Infinite-like degrees of freedom: P(max |z| ≤ c) = (2Φ(c) − 1)^k. Draws: 0.005.
        var identity = new double[4, 4];
        for (var i = 0; i < 4; i++) identity[i, i] = i + 1;
        var exact = Gaussian.Quantile(0.5 * (1 + Math.Pow(0.95, 0.25)));
        Assert.Equal(exact, MaxT.CriticalValue(identity, 1e6, 0.95), 0.015);
    }

    [Fact]
    public void Max_t_of_one_contrast_is_Student_t() =>
        Assert.Equal(StudentT.Quantile(0.975, 5), MaxT.CriticalValue(new double[,] { { 2.0 } }, 5, 0.95), 0.015);
}
