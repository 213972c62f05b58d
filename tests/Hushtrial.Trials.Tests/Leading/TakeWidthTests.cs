using Hushtrial.Quantities;
using Hushtrial.Trials.Leading;

namespace Hushtrial.Trials.Tests.Leading;

/// <summary>How well a take is known: the statistical floor of a band of Gaussian noise, 4.34/√(B T) (method, 1.3: 50 Hz, 12 s: 0.37 dB), and its wander.</summary>
public sealed class TakeWidthTests
{
    [Theory]
    [InlineData(50, 12, 0.37)]
    [InlineData(100, 12, 0.26)]
    [InlineData(1000, 12, 0.08)]
    public void A_steady_level_is_known_as_well_as_its_lowest_band(double hertz, double seconds, double floor)
    {
        var band = Band.ThirdOctaves.First(b => b.NominalHertz.Equals(hertz));
        var width = TakeWidth.Of([.. Enumerable.Repeat(1e-3, (int)(seconds * 8))], new Dictionary<Band, double> { [band] = 1e-3 });
        // The table prints hundredths.
        Assert.Equal(floor, width.HalfWidth!.Value / 1.96, 0.0051);
        Assert.Null(width.SecondsForBeats);
    }

    [Fact]
    public void A_band_that_bears_nothing_does_not_count()
    {
        Band Third(double hertz) => Band.ThirdOctaves.First(b => b.NominalHertz.Equals(hertz));
        var width = TakeWidth.Of([.. Enumerable.Repeat(1e-3, 96)], new Dictionary<Band, double> { [Third(25)] = 1e-3, [Third(1000)] = 1e-3 });
        Assert.Equal(0.08, width.HalfWidth!.Value / 1.96, 0.0051);
    }

    [Fact]
    public void A_level_that_wanders_takes_longer()
    {
        // A step of 6 dB in the middle: nobody knows the mean of that.
        var width = TakeWidth.Of([.. Enumerable.Range(0, 96).Select(i => i < 48 ? 1e-3 : 4e-3)], new Dictionary<Band, double>());
        Assert.True(width.HalfWidth > 2, $"{width.HalfWidth}");
        Assert.False(width.Enough(12, 1.2));
    }

    [Fact]
    public void A_beat_asks_for_ten_swings()
    {
        var width = TakeWidth.Of([.. Enumerable.Range(0, 96).Select(i => 1e-3 * Math.Pow(10, 0.3 * Math.Sin(2 * Math.PI * 0.5 * i * 0.125)))], new Dictionary<Band, double>());
        Assert.Equal(20, width.SecondsForBeats!.Value, 1.0);
        Assert.False(width.Enough(12, 10));
    }

    [Fact]
    public void Nothing_is_told_of_a_take_that_has_hardly_begun() => Assert.Null(TakeWidth.Of([.. Enumerable.Repeat(1e-3, 31)], new Dictionary<Band, double>()).HalfWidth);
}
