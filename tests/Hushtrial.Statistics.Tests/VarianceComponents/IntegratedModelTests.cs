using Hushtrial.Statistics.Distributions;
using Hushtrial.Statistics.VarianceComponents;

namespace Hushtrial.Statistics.Tests.VarianceComponents;

public class IntegratedModelTests
{
    private sealed record Case(double[,] Columns, double[,] Targets, List<VarianceComponent> Components, ReplicateScatter Replicates, Response Response)
    {
        public MixedDesign Design => new(Columns, Targets, Components, Replicates);
    }

    // Two blocks of five observations, two treatments, effects shared by pairs of neighbours.
    private static Case Example(ulong seed, double knownVariance = 0, double floor = 0, bool oneBlock = false)
    {
        var g = new SeededGenerator(seed);
        const int m = 10;
        var columns = new double[m, 4];
        double[,] pairs = new double[m, m], wander = new double[m, m];
        var counts = new int[m];
        var means = new double[m];
        for (var i = 0; i < m; i++)
        {
            columns[i, i < 5 ? 0 : 1] = 1;
            if (i % 5 is 1 or 2) columns[i, 2] = 1;
            if (i % 5 is 3 or 4) columns[i, 3] = 1;
            counts[i] = 1 + g.NextIndex(3);
            means[i] = 90 + (i < 5 ? 0 : 2) - 7 * columns[i, 2] + g.NextNormal();
            for (var j = 0; j < m; j++)
            {
                if (i % 5 != 0 && j % 5 != 0 && i / 5 == j / 5 && (i % 5 - 1) / 2 == (j % 5 - 1) / 2) pairs[i, j] = 1;
                if (oneBlock || i / 5 == j / 5) wander[i, j] = Math.Exp(-Math.Abs(i - j) / 3.0);
            }
        }
        List<VarianceComponent> components = [new("pair", new LogNormalScale(1.6, 0.6), pairs, 6), new("wander", new HalfT(0.5), wander, 5)];
        return new(columns, new double[,] { { 0.5, 0.5, 0, 0 }, { 0, 0, 1, 0 }, { 0, 0, 0, 1 } }, components,
            new("replicate", new HalfT(1), counts, 7, knownVariance), new(means, 4 + g.NextUniform() * 8, floor));
    }

    [Theory, InlineData(1UL, 0.0, 0.0, false), InlineData(2UL, 0.08, 0.0, false), InlineData(3UL, 0.0, 0.9, true)]
    public void The_plain_twin_finds_the_same_on_the_same_nodes(ulong seed, double known, double floor, bool oneBlock)
    {
        var example = Example(seed, known, floor, oneBlock);
        var posterior = IntegratedModel.Integrate(example.Design, [example.Response])[0];
        var twin = new PlainTwin(example.Columns, example.Targets, example.Components, example.Replicates, example.Response);
        twin.RunTwoStages();
        foreach (double[] combination in new double[][] { [1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 1, -1], [1, 1, 0] })
        {
            NormalMixture ours = posterior.Along(combination), plain = twin.Along(combination);
            // Nodes of 1e-6 of the weight are left out, moments are kept in single precision.
            Assert.Equal(plain.Mean, ours.Mean, 2e-5);
            Assert.Equal(plain.Sd, ours.Sd, 1e-4 * plain.Sd);
            foreach (var p in new[] { 0.025, 0.05, 0.5, 0.975 }) Assert.Equal(plain.Quantile(p), ours.Quantile(p), 3e-4 * plain.Sd);
        }
    }

    [Fact]
    public void A_fine_grid_over_the_whole_range_agrees()
    {
        var example = Example(4);
        var fine = example with { Components = [.. example.Components.Select(c => c with { Nodes = 9 })], Replicates = example.Replicates with { Nodes = 11 } };
        var posterior = IntegratedModel.Integrate(fine.Design, [fine.Response])[0];
        var twin = new PlainTwin(example.Columns, example.Targets, example.Components, example.Replicates, example.Response);
        twin.RunWholeRange(25);
        var (ours, plain) = (posterior.Along([0, 1, -1]), twin.Along([0, 1, -1]));
        Assert.Equal(plain.Mean, ours.Mean, 0.02);                          // the method states 0.011 dB for its numbers of nodes
        Assert.Equal(plain.Quantile(0.975), ours.Quantile(0.975), 0.03);
    }

    [Fact]
    public void Several_responses_together_equal_each_alone()
    {
        var example = Example(5);
        var second = new Response([.. example.Response.Means.Select((v, i) => 0.3 * v + i)], 3);
        var together = IntegratedModel.Integrate(example.Design, [example.Response, second]);
        var alone = IntegratedModel.Integrate(example.Design, [second])[0];
        Assert.Equal(alone.Along([0, 1, 0]).Quantile(0.9), together[1].Along([0, 1, 0]).Quantile(0.9), 1e-9);
    }

    [Fact]
    public void Draws_have_the_mixture_s_mean_sd_and_correlation()
    {
        var example = Example(6);
        var posterior = IntegratedModel.Integrate(example.Design, [example.Response])[0];
        var draws = posterior.Draw(100_000, seed: 11);
        double[] difference = draws.Along([0, 1, -1]);
        var exact = posterior.Along([0, 1, -1]);
        var mean = difference.Average();
        Assert.Equal(exact.Mean, mean, 5 * exact.Sd / Math.Sqrt(difference.Length));
        Assert.Equal(exact.Sd, Math.Sqrt(difference.Average(d => (d - mean) * (d - mean))), 0.02 * exact.Sd);
        Assert.Equal(0.975, difference.Count(d => d < exact.Quantile(0.975)) / 100_000.0, 0.003);      // six standard errors
        Assert.Equal(difference, posterior.Draw(100_000, seed: 11).Along([0, 1, -1]));
    }

    [Fact]
    public void Reweighting_equals_integrating_with_the_other_prior()
    {
        var example = Example(7);
        var wide = example with { Components = [.. example.Components.Select(c => c with { Nodes = 15 })] };
        var doubled = IntegratedModel.Integrate(wide.Design, [wide.Response])[0].Reweighted(0, wide.Components[0].Prior.Scaled(2)).Along([0, 1, -1]);
        var direct = IntegratedModel.Integrate((wide with { Components = [wide.Components[0] with { Prior = wide.Components[0].Prior.Scaled(2) }, wide.Components[1]] }).Design, [wide.Response])[0].Along([0, 1, -1]);
        Assert.Equal(direct.Mean, doubled.Mean, 0.03);
        Assert.Equal(direct.Sd, doubled.Sd, 0.05 * direct.Sd);             // the nodes were laid for the other prior
    }

    [Fact]
    public void Shares_of_the_variance_add_up_and_a_lone_source_takes_all()
    {
        var example = Example(8);
        var posterior = IntegratedModel.Integrate(example.Design, [example.Response])[0];
        var parts = VarianceSplit.Of(posterior).Contributions([0, 1, -1], 3.0);
        Assert.Equal(3.0, parts.Sum(), 1e-12);
        Assert.All(parts, p => Assert.True(p >= 0));
        var lone = example with { Components = [], Replicates = example.Replicates with { KnownVariance = 0 } };
        var only = VarianceSplit.Of(IntegratedModel.Integrate(lone.Design, [lone.Response])[0]).Contributions([0, 1, -1], 2.0);
        Assert.Equal([2.0, 0.0], only);
    }

    [Fact]
    public void Shares_agree_with_the_full_grid()
    {
        var example = Example(8);
        var posterior = IntegratedModel.Integrate(example.Design, [example.Response])[0];
        var twin = new PlainTwin(example.Columns, example.Targets, example.Components, example.Replicates, example.Response);
        twin.RunTwoStages();
        var shares = twin.Shares([0, 1, -1]);
        var parts = VarianceSplit.Of(posterior).Contributions([0, 1, -1], 1.0);
        for (var k = 0; k < shares.Length; k++) Assert.Equal(shares[k], parts[k], 0.02);
    }

    [Fact]
    public void What_the_design_cannot_separate_is_not_estimable()
    {
        // Two treatments always together: only their sum is determined.
        var columns = new double[,] { { 1, 0, 0 }, { 1, 1, 1 }, { 1, 0, 0 }, { 1, 1, 1 } };
        var design = new MixedDesign(columns, new double[,] { { 0, 1, 0 }, { 0, 0, 1 } }, [], new("r", new HalfT(1), [1, 1, 1, 1], 5));
        Assert.False(design.IsEstimable([1, 0]));
        Assert.False(design.IsEstimable([1, -1]));
        Assert.True(design.IsEstimable([1, 1]));
        Assert.Throws<InvalidOperationException>(() => IntegratedModel.Integrate(design, [new([1, 2, 3, 4], 0)])[0].Along([1, -1]));
    }
}
