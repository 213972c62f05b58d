using CsCheck;

namespace Hushtrial.Quantities.Tests;

/// <summary>Laws that levels obey.</summary>
public sealed class LevelTests
{
    private static readonly Gen<double[]> _bands = Gen.Double[20, 120].Array[2, 31];

    [Fact]
    public void A_sum_is_at_least_the_loudest_and_at_most_10_lg_n_above_it() => _bands.Sample(dB =>
        Sum(dB) - dB.Max() is var excess && excess >= -1e-9 && excess <= (10 * Math.Log10(dB.Length)) + 1e-9);

    [Fact]
    public void Raising_every_source_raises_the_sum_as_much() => Gen.Select(_bands, Gen.Double[-15, 15]).Sample((dB, d) =>
        Math.Abs(Sum([.. dB.Select(x => x + d)]) - Sum(dB) - d) < 1e-9);

    [Fact]
    public void The_energy_mean_lies_between_the_arithmetic_mean_and_the_loudest() => _bands.Sample(dB =>
        Level.EnergyMean([.. dB.Select(Level.FromDecibels)]).Decibels is var mean && mean >= dB.Average() - 1e-9 && mean <= dB.Max() + 1e-9);

    // reference/levels/db-facts.csv (computed there by the definitions); three decimals are printed.
    [Fact]
    public void Sums_and_means_agree_with_the_table()
    {
        var facts = Hushtrial.Tests.Reference.Read("levels/db-facts.csv").ToDictionary(r => r["item"], r => r["value"]);
        double Fact(string item) => double.Parse(facts[item], System.Globalization.CultureInfo.InvariantCulture);
        double Mean(params double[] dB) => Level.EnergyMean([.. dB.Select(Level.FromDecibels)]).Decibels;
        Assert.Equal(Fact("sum of 60 and 70"), Sum([60, 70]), 0.0006);
        Assert.Equal(Fact("sum of 80, 80, 80"), Sum([80, 80, 80]), 0.0006);
        Assert.Equal(Fact("energy mean of 80 and 90"), Mean(80, 90), 0.0006);
        Assert.Equal(Fact("energy mean of 80 and 60"), Mean(80, 60), 0.0006);
        Assert.Equal(Fact("energy mean of 85, 88, 91"), Mean(85, 88, 91), 0.0006);
    }

    [Fact]
    public void Doubled_energy_is_3_dB_more_and_silence_has_no_level()
    {
        Assert.Equal(3.0103, Sum([60, 60]) - 60, 0.0001);
        Assert.Null(Level.FromMeanSquareRatio(0));
        Assert.Equal(-3.0103, Level.FromMeanSquareRatio(0.5)!.Value.Decibels, 0.0001);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(-301)]
    public void What_is_no_level_is_refused_with_its_value(double value)
    {
        Assert.Equal(value, Assert.Throws<ArgumentOutOfRangeException>(() => Level.FromDecibels(value)).ActualValue);
        Assert.Throws<ArgumentOutOfRangeException>(() => LevelDifference.FromDecibels(value * 2));
        Assert.Throws<ArgumentException>(() => Level.EnergySum([]));
        Assert.Throws<ArgumentException>(() => Level.EnergyMean([]));
    }

    private static double Sum(double[] dB) => Level.EnergySum([.. dB.Select(Level.FromDecibels)]).Decibels;
}
