using CsCheck;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Statistics.VarianceComponents;

namespace Hushtrial.Statistics.Tests.VarianceComponents;

public class NormalMixtureTests
{
    [Fact]
    public void Gathering_in_cells_moves_95_percent_limits_by_less_than_a_ten_thousandth_of_the_sd() => Gen.ULong.Sample(seed =>
    {
        var g = new SeededGenerator(seed);
        const int n = 5000;
        double[] w = new double[n], m = new double[n], v = new double[n];
        for (var i = 0; i < n; i++)
        {
            var log = g.NextNormal() * 0.5;
            (w[i], v[i], m[i]) = (g.NextUniform(), Math.Exp(2 * log), 20 + 0.3 * log + 0.4 * g.NextNormal());
        }
        var sum = w.Sum();
        for (var i = 0; i < n; i++) w[i] /= sum;
        NormalMixture exact = NormalMixture.Exact(w, m, v), gathered = NormalMixture.Of(w, m, v);
        return Math.Abs(exact.Mean - gathered.Mean) < 1e-9 && Math.Abs(exact.Sd - gathered.Sd) < 1e-9
            && new[] { 0.025, 0.3, 0.95, 0.975 }.All(p => Math.Abs(exact.Quantile(p) - gathered.Quantile(p)) < 1e-4 * exact.Sd)
            && new[] { 0.001, 0.999 }.All(p => Math.Abs(exact.Quantile(p) - gathered.Quantile(p)) < 1e-3 * exact.Sd);
    }, iter: 20);

    [Fact]
    public void Quantile_and_distribution_function_are_inverse_even_for_two_far_peaks() => Gen.Select(Gen.Double[0.001, 0.999], Gen.Double[0.02, 0.98], Gen.Double[0.1, 80]).Sample((p, w, far) =>
    {
        var mixture = NormalMixture.Exact([w, 1 - w], [0, far], [1, 0.01]);
        return Math.Abs(mixture.Cdf(mixture.Quantile(p)) - p) < 1e-7 && Math.Abs(mixture.Cdf(1) + mixture.UpperTail(1) - 1) < 1e-12;
    }, iter: 300);
}
