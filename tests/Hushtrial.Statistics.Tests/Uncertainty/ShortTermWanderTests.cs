using Hushtrial.Statistics.Distributions;
using Hushtrial.Statistics.Uncertainty;

namespace Hushtrial.Statistics.Tests.Uncertainty;

/// <summary>The estimate against processes whose standard deviation of the mean is known in closed form.</summary>
public sealed class ShortTermWanderTests
{
    [Theory]
    [InlineData(2, 12)]
    [InlineData(2, 30)]
    [InlineData(0.5, 12)]
    public void The_typical_estimate_is_right_within_10_percent_where_naive_averaging_is_far_too_small(double tau, double seconds)
    {
        var generator = new SeededGenerator(3);
        var ratios = new List<double>();
        var naive = new List<double>();
        var truth = Math.Sqrt(2 * tau / seconds * (1 - (tau / seconds * (1 - Math.Exp(-seconds / tau)))));
        for (var trial = 0; trial < 200; trial++)
        {
            var readings = Enumerable.Range(0, 12).Select(_ => Reading(generator, tau, seconds)).ToList();
            ratios.Add(ShortTermWander.Estimate(readings, 0.5)!.SdOfMean(seconds) / truth);
            naive.Add(Math.Sqrt(readings.Average(r => r.Sum(x => Math.Pow(x - r.Average(), 2)) / (r.Length - 1) / r.Length)) / truth);
        }
        // 200 trials with a spread of about 0.3 leave 0.03 of the median to chance; three times that.
        Assert.InRange(ratios.Order().ElementAt(100), 0.9, 1.15);
        Assert.True(naive.Order().ElementAt(100) < 0.75);
    }

    [Fact]
    public void Uncorrelated_values_average_as_the_square_root_of_their_number()
    {
        var generator = new SeededGenerator(5);
        var readings = Enumerable.Range(0, 40).Select(_ => Enumerable.Range(0, 40).Select(_ => generator.NextNormal()).ToArray()).ToList();
        // 1600 values: the standard deviation is known to 2 %, and a little correlation may be fitted by chance.
        Assert.InRange(ShortTermWander.Estimate(readings, 0.5)!.SdOfMean(20), 0.85 / Math.Sqrt(40), 1.3 / Math.Sqrt(40));
    }

    [Fact]
    public void Too_short_or_constant_readings_say_nothing()
    {
        Assert.Null(ShortTermWander.Estimate([[1, 2, 3]], 0.5));
        Assert.Null(ShortTermWander.Estimate([Enumerable.Repeat(7.0, 20).ToArray()], 0.5));
    }

    // Means over half seconds of an Ornstein–Uhlenbeck process of unit variance, stepped finely.
    private static double[] Reading(SeededGenerator generator, double tau, double seconds)
    {
        const int Fine = 25;
        var keep = Math.Exp(-0.5 / Fine / tau);
        var fresh = Math.Sqrt(1 - (keep * keep));
        var x = generator.NextNormal();
        return [.. Enumerable.Range(0, (int)(seconds / 0.5)).Select(_ => Enumerable.Range(0, Fine).Average(_ => x = (keep * x) + (fresh * generator.NextNormal())))];
    }
}
