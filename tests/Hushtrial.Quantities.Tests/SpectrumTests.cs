namespace Hushtrial.Quantities.Tests;

/// <summary>A built spectrum whose totals were computed elsewhere from its band levels and the weightings of IEC 61672-1, Table 3.</summary>
public sealed class SpectrumTests
{
    private static readonly Band[] _octaves = [.. Band.Octaves.Take(9)];
    private static readonly double[] _cabin = [95, 104, 108, 100, 94, 88, 83, 76, 70];

    // The vector was computed with the weightings as printed, to a tenth, and is printed to a tenth: half a tenth twice.
    [Theory]
    [InlineData(FrequencyWeighting.A, 97.1)]
    [InlineData(FrequencyWeighting.C, 109.8)]
    [InlineData(FrequencyWeighting.Z, 110.2)]
    public void Its_totals_are_those_of_the_built_vector(FrequencyWeighting weighting, double total) =>
        Assert.Equal(total, Spectrum.Of(_octaves, _cabin).Total(weighting).Decibels, 0.1);

    [Fact]
    public void A_loss_per_band_leaves_the_built_vectors_levels()
    {
        double[] passive = [8, 9, 11, 18, 26, 31, 34, 38, 36];
        var left = Spectrum.Of(_octaves, _cabin).Minus(_octaves.Zip(passive).ToDictionary(p => p.First, p => LevelDifference.FromDecibels(p.Second)));
        Assert.Equal(81.9, left.Total(FrequencyWeighting.A).Decibels, 0.1);
        Assert.Equal(98.9, left.Total(FrequencyWeighting.C).Decibels, 0.1);
        Assert.Equal(99.5, left.Total(FrequencyWeighting.Z).Decibels, 0.1);
    }

    [Fact]
    public void Octaves_are_the_energy_sums_of_their_thirds()
    {
        var thirds = Spectrum.Of(Band.ThirdOctaves, [.. Enumerable.Repeat(80.0, 31)]);
        Assert.All(thirds.ToOctaves().Entries, e => Assert.Equal(80 + (10 * Math.Log10(3)), e.Value.Decibels, 1e-9));
    }

    [Fact]
    public void What_is_no_spectrum_is_refused()
    {
        Assert.Throws<ArgumentException>(() => Spectrum.Of([], []));
        Assert.Throws<ArgumentException>(() => Spectrum.Of(_octaves, [1, 2]));
        Assert.Throws<ArgumentException>(() => Spectrum.Of([Band.Octave(0), Band.Octave(0)], [1, 2]));
        Assert.Throws<ArgumentException>(() => Spectrum.Of([Band.Octave(0), Band.ThirdOctave(1)], [1, 2]));
    }
}
