using Hushtrial.Tests;

namespace Hushtrial.Quantities.Tests;

/// <summary>reference/band-filters/frequencies.csv: base-ten frequencies by the formulas of IEC 61260-1:2014, 5.2 to 5.5; nominal ones as in ISO 266.</summary>
public sealed class BandTests
{
    [Fact]
    public void Every_band_has_the_frequencies_of_the_table()
    {
        var rows = Reference.Read("band-filters/frequencies.csv");
        Assert.True(rows.Count > 40);
        foreach (var row in rows)
        {
            var index = (int)row.Number("index");
            var band = row["kind"] == "octave" ? Band.Octave(index) : Band.ThirdOctave(index);
            Assert.Equal(row.Number("nominal_hz"), band.NominalHertz);
            // The table prints six digits, at least one of them before the point.
            Assert.Equal(1, band.ExactMidband.Hertz / row.Number("exact_hz"), 1e-5);
            Assert.Equal(1, band.LowerEdge.Hertz / row.Number("lower_edge_hz"), 1e-5);
            Assert.Equal(1, band.UpperEdge.Hertz / row.Number("upper_edge_hz"), 1e-5);
            Assert.Equal(band, Band.FromNominal(band.Fraction, band.NominalHertz));
        }
    }

    [Fact]
    public void Bands_touch_and_three_thirds_make_an_octave()
    {
        Assert.Equal(31, Band.ThirdOctaves.Count);
        Assert.Equal(10, Band.Octaves.Count);
        foreach (var (low, high) in Band.ThirdOctaves.Zip(Band.ThirdOctaves.Skip(1))) Assert.Equal(1, low.UpperEdge.Hertz / high.LowerEdge.Hertz, 1e-12);
        foreach (var octave in Band.Octaves)
        {
            var thirds = octave.Thirds.ToList();
            Assert.Equal(1, thirds[0].LowerEdge.Hertz / octave.LowerEdge.Hertz, 1e-12);
            Assert.Equal(1, thirds[2].UpperEdge.Hertz / octave.UpperEdge.Hertz, 1e-12);
        }
    }

    [Theory]
    [InlineData(130)]
    [InlineData(0)]
    [InlineData(1e9)]
    public void A_frequency_that_is_no_midband_names_no_band(double hertz) => Assert.Null(Band.FromNominal(BandFraction.ThirdOctave, hertz));
}
