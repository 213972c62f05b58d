using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Statistics.Tests.Distributions;

/// <summary>The quick normal integral against the exact one, which is held against R (<see cref="DistributionTests"/>).</summary>
public class NormalTableTests
{
    [Fact]
    public void It_agrees_with_the_integral_to_rounding_and_in_the_tail_to_ten_digits()
    {
        for (var i = -100_000; i <= 100_000; i++)
        {
            // Steps that hit the points, the middles between them and what lies between.
            var z = i / 10_000.0;
            var exact = Gaussian.Cdf(z);
            Assert.Equal(exact, NormalTable.Cdf(z), 5e-16);
            Assert.Equal(Gaussian.UpperTail(z), NormalTable.UpperTail(z), 5e-16);
            Assert.Equal(exact, NormalTable.Cdf(z, out var density), 5e-16);
            Assert.Equal(Gaussian.Density(z), density, 2e-14);
            if (z < 0)
            {
                Assert.InRange(NormalTable.Cdf(z) / exact, 1 - 1e-10, 1 + 1e-10);
                Assert.InRange(NormalTable.UpperTail(-z) / exact, 1 - 1e-10, 1 + 1e-10);
            }
        }
    }

    [Theory]
    [InlineData(double.NegativeInfinity, 0)]
    [InlineData(-40, 0)]
    [InlineData(40, 1)]
    [InlineData(double.PositiveInfinity, 1)]
    public void Far_out_nothing_is_left(double z, double expected)
    {
        Assert.Equal(expected, NormalTable.Cdf(z));
        Assert.Equal(1 - expected, NormalTable.UpperTail(z));
        Assert.Equal(expected, NormalTable.Cdf(z, out var density));
        Assert.Equal(0, density);
    }

    [Fact]
    public void What_is_no_number_stays_none() => Assert.True(double.IsNaN(NormalTable.Cdf(double.NaN)) && double.IsNaN(NormalTable.Cdf(double.NaN, out _)));
}
