using Hushtrial.Quantities;
using Hushtrial.Signals.Filters;
using Hushtrial.Signals.Levels;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>Bands at reduced rates: their responses, the halvings, and what an edge cuts off.</summary>
public sealed class LowRateFilterTests
{
    [Theory]
    [InlineData(16_000)]
    [InlineData(22_050)]
    [InlineData(44_100)]
    [InlineData(48_000)]
    [InlineData(96_000)]
    [InlineData(192_000)]
    public void No_tone_changes_a_level_60_dB_below_it_by_more_than_a_thousandth(int rate)
    {
        var found = 0;
        foreach (var band in Band.ThirdOctaves.Concat(Band.Octaves))
        {
            if (BandFilter.Find(band, rate) is not { } full || LowRateFilter.Find(full) is not { } low) continue;
            found++;
            for (var i = 1; i < 4000; i++)
            {
                var f = i < 2000 ? rate / 2.0 * i / 2000 : band.ExactMidband.Hertz * Math.Pow(40, (i - 3000) / 1000.0);
                if (f >= rate / 2.0) continue;
                var (wanted, got) = (full.Response(f), low.Response(f));
                // Below half the reduced rate amplitude and phase count; above it a tone comes out folded, and its power counts.
                var error = f < rate / 2.0 / low.Factor
                    ? 2 * (got - wanted).Magnitude * wanted.Magnitude
                    : Math.Abs(Math.Pow(got.Magnitude, 2) - Math.Pow(wanted.Magnitude, 2));
                // Its own level, or one 60 dB below the tone, by 0.001 dB.
                var allowed = 2.3e-4 * Math.Max(Math.Pow(wanted.Magnitude, 2), 1e-6);
                Assert.True(error <= allowed, $"{band} at {rate} Hz, {f} Hz: {error / allowed}");
            }
        }
        Assert.True(found >= 8, $"{found} bands");
    }

    [Fact]
    public void Halving_keeps_the_lowest_twelfth_and_what_folds_onto_it_is_150_dB_down()
    {
        for (var i = 0; i <= 1000; i++)
        {
            var f = i / 12_000.0;
            Assert.Equal(1, HalfBand.Gain(f), 1e-7);
            Assert.InRange(Math.Abs(HalfBand.Gain(0.5 - f)), 0, Math.Pow(10, -150 / 20.0));
        }
        Assert.Equal(0.5, HalfBand.Gain(0.25), 1e-12);
    }

    [Theory]
    [InlineData(2, 0)]
    [InlineData(8, 0)]
    [InlineData(8, 3_250)]
    [InlineData(8, -5_500)]
    [InlineData(16, 7_999)]
    [InlineData(64, 31_337)]
    public void Shares_at_an_edge_make_sums_of_polynomials_exact(int factor, int milliframes)
    {
        var edges = new EdgeShares(factor);
        // A dozen values, so that what is cut off at the edges is no small part.
        var between = (factor * 12_000) + 345;
        var (first, shares) = edges.At(milliframes);
        var (later, laterShares) = edges.At(milliframes + between);
        foreach (var power in (ReadOnlySpan<int>)[0, 1, 2, 3, 4, 5])
        {
            double At(double frame) => Math.Pow((frame / factor / 6) - 1, power);
            var reduced = 0.0;
            for (var k = first; k < later + EdgeShares.Count; k++)
            {
                var share = k < later ? 1 : laterShares[k - later];
                if (k < first + EdgeShares.Count) share -= shares[k - first];
                reduced += factor * share * At(k * factor);
            }
            var expected = 0.0;
            for (var n = -200; n < 1000; n++)
                expected += At(n) * (Math.Clamp((milliframes + between - (n * 1000)) / 1000.0, 0, 1) - Math.Clamp((milliframes - (n * 1000)) / 1000.0, 0, 1));
            Assert.Equal(expected, reduced, 1e-9 * factor);
        }
    }
}
