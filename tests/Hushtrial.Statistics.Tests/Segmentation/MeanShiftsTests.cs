using Hushtrial.Statistics.Distributions;
using Hushtrial.Statistics.Segmentation;
using Hushtrial.Tests;

namespace Hushtrial.Statistics.Tests.Segmentation;

/// <summary>The pruned search against a published series and against the search without pruning.</summary>
public sealed class MeanShiftsTests
{
    private static readonly double[] _nile = [.. Reference.Read("statistics/nile.csv").Select(r => r.Number("flow"))];

    /// <summary>Cobb 1978: the flow of the Nile falls after 1898, the 28th year. The two, four breaks of segments of 15 years and more, and the sums
    /// of squares: R's strucchange (see the table's head). A penalty between the gains of one more break picks their number.</summary>
    [Theory]
    [InlineData(1_300_000, new int[0])]
    [InlineData(100_000, new[] { 28 })]
    [InlineData(30_000, new[] { 28, 83 })]
    [InlineData(20_000, new[] { 28, 45, 68, 83 })]
    public void The_Nile_changes_where_the_literature_says(double penalty, int[] breaks) => Assert.Equal(breaks, MeanShifts.Find([_nile], [1], penalty, 15));

    [Theory]
    [InlineData(new int[0], 2_835_157)]
    [InlineData(new[] { 28 }, 1_597_457)]
    [InlineData(new[] { 28, 83 }, 1_552_924)]
    [InlineData(new[] { 28, 68, 83 }, 1_538_097)]
    [InlineData(new[] { 28, 45, 68, 83 }, 1_507_888)]
    public void Squares_of_the_Nile_are_those_that_strucchange_prints(int[] breaks, double squares)
    {
        int[] cuts = [0, .. breaks, 100];
        // Printed to whole numbers.
        Assert.InRange(cuts.Zip(cuts.Skip(1), (a, b) => MeanShifts.SquaresWithin([_nile], [1], a, b)).Sum() - squares, -0.5, 0.5);
    }

    [Fact]
    public void Pruning_leaves_the_minimum_of_the_whole_search()
    {
        var generator = new SeededGenerator(11);
        for (var trial = 0; trial < 200; trial++)
        {
            var (n, dimensions, shortest) = (1 + generator.NextIndex(60), 1 + generator.NextIndex(3), 1 + generator.NextIndex(5));
            var level = new double[dimensions];
            var series = Enumerable.Range(0, dimensions).Select(_ => new double[n]).ToArray();
            for (var t = 0; t < n; t++)
                for (var g = 0; g < dimensions; g++)
                {
                    if (generator.NextUniform() < 0.08) level[g] = 4 * generator.NextNormal();
                    series[g][t] = level[g] + generator.NextNormal();
                }
            double[] weights = [.. Enumerable.Range(0, dimensions).Select(_ => 0.3 + generator.NextUniform())];
            var penalty = 1 + (9 * generator.NextUniform());
            var found = MeanShifts.Find(series, weights, penalty, shortest);
            var (cost, changes) = Whole(series, weights, penalty, shortest);
            Assert.Equal(changes, found);
            int[] cuts = [0, .. found, n];
            Assert.Equal(cost, cuts.Zip(cuts.Skip(1), (a, b) => MeanShifts.SquaresWithin(series, weights, a, b)).Sum() + (penalty * found.Count), 1e-6);
        }
    }

    [Fact]
    public void A_large_offset_does_not_spoil_the_squares()
    {
        double[] far = [.. _nile.Select(x => x + 1e7)];
        Assert.Equal(MeanShifts.Find([_nile], [1], 100_000), MeanShifts.Find([far], [1], 100_000));
    }

    [Fact]
    public void Wrong_arguments_are_refused()
    {
        Assert.Throws<ArgumentException>(() => MeanShifts.Find([], [], 1));
        Assert.Throws<ArgumentException>(() => MeanShifts.Find([[1, 2], [1]], [1, 1], 1));
        Assert.Throws<ArgumentException>(() => MeanShifts.Find([[1, double.NaN]], [1], 1));
        Assert.Throws<ArgumentException>(() => MeanShifts.Find([[1, 2]], [0], 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => MeanShifts.Find([[1, 2]], [1], 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => MeanShifts.Find([[1, 2]], [1], 1, 0));
    }

    // Every last segment of every length, squares summed from their definition; costs two equal minima a different answer only by chance 0.
    private static (double Cost, int[] Changes) Whole(double[][] series, double[] weights, double penalty, int shortest)
    {
        var n = series[0].Length;
        if (n < 2 * shortest) return (Cost(0, n), []);
        var best = new (double Cost, int[] Changes)[n + 1];
        for (var end = 0; end <= n; end++)
        {
            best[end] = end >= shortest ? (Cost(0, end), []) : (double.PositiveInfinity, []);
            for (var start = shortest; start + shortest <= end; start++)
                if (best[start].Cost + Cost(start, end) + penalty is var cost && cost < best[end].Cost) best[end] = (cost, [.. best[start].Changes, start]);
        }
        return best[n];

        double Cost(int first, int end) => series.Zip(weights, (s, w) => { var part = s[first..end]; var mean = part.Average(); return w * part.Sum(x => (x - mean) * (x - mean)); }).Sum();
    }
}
