using System.Numerics;
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
    public void A_halving_stands_for_the_zeros_that_a_band_needs_at_half_the_rate()
    {
        // 1/D(z) = D(−z)/D₂(z²): what the halving passes near half the rate, as a part of what it passes where that folds to, is as |D(−z)| has it.
        var full = BandFilter.Find(Band.ThirdOctaves[15], 48_000)!;
        Complex D(double cycles)
        {
            var z = Complex.Exp(new(0, -2 * Math.PI * cycles));
            var product = Complex.One;
            for (var i = 0; i < 3; i++) product *= 1 - (z * full.Feedback1[i]) - (z * z * full.Feedback2[i]);
            return product;
        }
        for (var i = 0; i < 50; i++)
        {
            var f = 0.1 + (0.15 * i / 50);
            var wanted = (D(f) / D(0.5 - f)).Magnitude;
            static double Folded(HalvingFilter filter, double f) => filter.At(0.5 - f).Magnitude / filter.At(f).Magnitude;
            Assert.InRange(Folded(HalvingFilter.First, f) / wanted, 0.4, 1.25);
            // The later one has to hold down what the common numerator has made grow.
            Assert.InRange(Folded(HalvingFilter.Later, f) / wanted, 0, 1.25);
        }
        Assert.Equal(1, HalvingFilter.First.At(0).Magnitude, 1e-14);
        Assert.Equal(1, HalvingFilter.Later.At(0).Magnitude, 1e-14);
        Assert.InRange(HalvingFilter.Later.At(0.5).Magnitude, 0, 1e-14);
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
        foreach (var power in (ReadOnlySpan<int>)[0, 1, 2, 3, 4, 5, 6, 7])
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
