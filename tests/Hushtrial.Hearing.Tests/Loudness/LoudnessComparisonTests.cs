using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Loudness;

public class LoudnessComparisonTests
{
    private static Spectrum Flat(double level) => Spectrum.Of(StationaryLoudness.Bands, Enumerable.Repeat(level, 28).ToArray());

    private static Dictionary<Band, LevelDifference> HalfWidth(double dB) =>
        StationaryLoudness.Bands.ToDictionary(b => b, _ => LevelDifference.FromDecibels(dB));

    [Fact]
    public void Ten_decibels_less_is_about_half_as_loud_and_a_tenth_of_the_energy()
    {
        var comparison = LoudnessComparison.Between(Flat(80), Flat(70), HalfWidth(0), SoundField.Diffuse);
        Assert.InRange(comparison.LoudnessRatio.Value, 0.45, 0.58); // common practice, no source: about a half
        Assert.Equal(0.1, comparison.EnergyRatio.Value, 1e-9);
        Assert.Equal(10, comparison.LevelDropA.Decibels, 1e-9);
        Assert.Equal(comparison.LoudnessRatio.Value, comparison.LoudnessRatio.Low, 1e-12);
    }

    [Fact]
    public void The_interval_is_the_loudness_at_the_limits()
    {
        var comparison = LoudnessComparison.Between(Flat(80), Flat(70), HalfWidth(2), SoundField.Diffuse);
        var low = LoudnessComparison.Between(Flat(80), Flat(68), HalfWidth(0), SoundField.Diffuse).LoudnessRatio.Value;
        var high = LoudnessComparison.Between(Flat(80), Flat(72), HalfWidth(0), SoundField.Diffuse).LoudnessRatio.Value;
        Assert.Equal(low, comparison.LoudnessRatio.Low, 1e-12);
        Assert.Equal(high, comparison.LoudnessRatio.High, 1e-12);
        Assert.Contains("sone", comparison.Sentence(), StringComparison.Ordinal);
    }
}
