using Hushtrial.Quantities;
using Hushtrial.Signals.Filters;
using Hushtrial.Signals.Levels;
using Hushtrial.Tests;
using static Hushtrial.Signals.Tests.Levels.Signals;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>Octave and one-third-octave bands through the whole engine: reference/band-filters, IEC 61260-1:2014.</summary>
public sealed class BandTests
{
    private const int PerThird = 10;

    /// <summary>Attenuation of every band for steady sines, ten to a one-third octave.</summary>
    private static List<(double Hertz, Dictionary<Band, double> Attenuation)> Sweep(int rate, double fromHertz)
    {
        var result = new List<(double, Dictionary<Band, double>)>();
        for (var k = (int)Math.Ceiling(10 * PerThird * Math.Log10(fromHertz / 1000)); ; k++)
        {
            var f = 1000 * Math.Pow(10, k / (10.0 * PerThird));
            // Closer to half the rate a second is too short for the mean of a square.
            if (f >= 0.499 * rate) return result;
            // Faded in over a second, so that the start of a tone does not splash into bands that should hear it 80 dB down.
            var x = Sine(rate, 5, f);
            for (var n = 0; n < rate; n++) x[n] *= 0.5 - (0.5 * Math.Cos(Math.PI * n / rate));
            var frames = (long)Math.Round(Math.Ceiling(f) * rate / f);
            var levels = new MemorySamples(rate, x).Levels((7L * rate) / 2, frames);
            result.Add((f, levels.Thirds.Concat(levels.Octaves).Where(b => b.Valid).ToDictionary(b => b.Band, b => Decibels(0.5) - Decibels(b.MeanSquare))));
        }
    }

    [Theory]
    [InlineData(48_000, 3, 31, 10)]
    [InlineData(44_100, 1000, 30, 9)]
    [InlineData(96_000, 2000, 31, 10)]
    public void Every_band_keeps_the_class_1_limits_bandwidth_and_summation(int rate, double fromHertz, int thirds, int octaves)
    {
        var sweep = Sweep(rate, fromHertz);
        var bands = sweep[0].Attenuation.Keys.Where(b => b.ExactMidband.Hertz > 5.5 * fromHertz).ToArray();
        Assert.Equal(thirds + octaves, sweep[0].Attenuation.Count);
        if (fromHertz < 10) Assert.Equal(thirds + octaves, bands.Length);
        foreach (var band in bands)
        {
            var filter = BandFilter.Find(band, rate)!;
            var bandwidth = 0.0;
            foreach (var (f, attenuation) in sweep)
            {
                var (least, most) = ClassOneMask.Limits(band.Fraction, f / band.ExactMidband.Hertz);
                var a = attenuation[band];
                // At the very edge of the band rounding decides which side of the step counts: 1e-6 off.
                var edge = Math.Abs(Math.Abs(Math.Log10(f / band.ExactMidband.Hertz)) - (0.15 / (int)band.Fraction)) < 1e-6;
                Assert.True(a >= (edge ? 1.2 : least) && (edge || a <= most), $"{band} at {rate} Hz: {a:F2} dB at {f:F1} Hz, allowed {least:F2}…{most:F2}");
                // What is measured is the filter that was designed; 60 dB down, the parts of a period at the ends of the span count.
                if (a < 60) Assert.Equal(-20 * Math.Log10(filter.Response(f).Magnitude), a, a < 40 ? 0.01 : 0.1);
                bandwidth += Math.Pow(10, -a / 10);
            }
            // Effective bandwidth (5.12): the integral over ln f against the nominal width, within 0.4 dB for class 1. A Butterworth band of
            // this order with −3 dB edges has 0.19 dB (octave: 0.16 dB) too much; ten points to a one-third octave integrate so smooth a curve to 0.01 dB. Half the rate cuts the upper skirt off the highest.
            var deviation = Decibels(bandwidth / (PerThird * 3 / (int)band.Fraction));
            Assert.InRange(deviation, -0.4, 0.4);
            var goal = band.UpperEdge.Hertz > 0.45 * rate ? 0.15 : 0.03;
            Assert.Equal(band.Fraction == BandFraction.Octave ? 0.16 : 0.19, deviation, goal);
        }
        // Summation of outputs (5.16): a tone anywhere between the midbands of two neighbours, +0.8/−1.8 dB for class 1.
        foreach (var set in bands.GroupBy(b => b.Fraction))
        {
            var ordered = set.Order().ToArray();
            foreach (var (f, attenuation) in sweep.Where(s => s.Hertz >= ordered[0].ExactMidband.Hertz && s.Hertz <= ordered[^1].ExactMidband.Hertz))
                Assert.InRange(Decibels(ordered.Sum(b => Math.Pow(10, -attenuation[b] / 10))), -1.8, 0.8);
        }
    }

    [Fact]
    public void The_limits_are_those_of_table_1()
    {
        var rows = Reference.Read("band-filters/limits.csv");
        Assert.Equal(10, rows.Count);
        foreach (var fraction in Enum.GetValues<BandFraction>())
        {
            var column = fraction == BandFraction.Octave ? "octave_ratio" : "third_ratio";
            // The table prints six or five decimals of a ratio.
            Assert.Equal(rows.Select(r => r.Number(column)).Distinct(), ClassOneMask.Ratios(fraction), (a, b) => Math.Abs(a - b) < 1e-5);
            foreach (var row in rows)
            {
                var step = row["exponent"].EndsWith('-') ? -1e-9 : row["exponent"].EndsWith('+') ? 1e-9 : 0;
                var exponent = double.Parse(row["exponent"].TrimEnd('+', '-'), System.Globalization.CultureInfo.InvariantCulture);
                var exact = 1 + ((Math.Pow(10, 0.3 * exponent) - 1) * (Math.Pow(10, 0.15 / (int)fraction) - 1) / (Math.Pow(10, 0.15) - 1));
                foreach (var ratio in (ReadOnlySpan<double>)[exact + step, 1 / (exact + step)])
                {
                    var (least, most) = ClassOneMask.Limits(fraction, ratio);
                    Assert.Equal(row.Number("class1_min_db"), least, 1e-6);
                    if (double.IsFinite(row.Number("class1_max_db"))) Assert.Equal(row.Number("class1_max_db"), most, 1e-6);
                    else Assert.Equal(double.PositiveInfinity, most);
                }
            }
        }
    }

    [Fact]
    public void The_bands_have_the_frequencies_of_the_base_ten_system()
    {
        var rows = Reference.Read("band-filters/frequencies.csv");
        Assert.Equal(45, rows.Count);
        foreach (var row in rows)
        {
            var index = (int)row.Number("index");
            var band = string.Equals(row["kind"], "octave", StringComparison.Ordinal) ? Band.Octave(index) : Band.ThirdOctave(index);
            Assert.Equal(row.Number("nominal_hz"), band.NominalHertz);
            // Four decimals are printed.
            Assert.Equal(row.Number("exact_hz"), band.ExactMidband.Hertz, 5.1e-5);
            Assert.Equal(row.Number("lower_edge_hz"), band.LowerEdge.Hertz, 5.1e-5);
            Assert.Equal(row.Number("upper_edge_hz"), band.UpperEdge.Hertz, 5.1e-5);
        }
    }

    [Theory]
    [InlineData(44_100)]
    [InlineData(48_000)]
    public void A_logarithmic_sweep_puts_the_same_energy_into_every_band(int rate)
    {
        // Time-invariant operation, IEC 61260-1:2014, 5.14 (clause from memory): a sweep of constant rate on a logarithmic axis.
        const double from = 5, seconds = 20;
        var to = 0.4995 * rate;
        var x = new double[(int)(rate * seconds) + (2 * rate)];
        var growth = Math.Log(to / from) / seconds;
        for (var n = 0; n < rate * seconds; n++)
            x[n] = Math.Sin(2 * Math.PI * from / growth * (Math.Exp(growth * n / rate) - 1));
        var levels = new MemorySamples(rate, x).Levels();
        var total = levels.Seconds;
        foreach (var b in levels.Thirds.Concat(levels.Octaves).Where(b => b.Valid))
        {
            var expected = 0.5 * 0.3 * Math.Log(10) / (int)b.Band.Fraction / growth / total;
            // Class 1 allows 0.4 dB; a Butterworth band with −3 dB edges takes 0.19 dB (octave: 0.16 dB) too much. The lowest bands hear the start of the sweep two octaves below them. Half the rate cuts the upper skirt
            // off the highest bands: 0.11 dB of the octave at 16 kHz with 48 kHz.
            var excess = b.Band.Fraction == BandFraction.Octave ? 0.16 : 0.19;
            Assert.Equal(Decibels(expected) + excess, Decibels(b.MeanSquare), b.Band.UpperEdge.Hertz > 0.45 * rate ? 0.15 : 0.03);
        }
    }

    [Theory]
    [InlineData(48_000, "")]
    [InlineData(44_100, "the 20 kHz one-third-octave band needs a sampling rate of at least 48000 Hz; this recording has 44100 Hz|the 16 kHz octave band needs a sampling rate of at least 48000 Hz; this recording has 44100 Hz")]
    public void A_band_that_does_not_fit_the_rate_says_what_it_needs(int rate, string reasons)
    {
        var levels = new MemorySamples(rate, Noise(rate, 5)).Levels();
        Assert.Equal(31, levels.Thirds.Count);
        Assert.Equal(10, levels.Octaves.Count);
        var invalid = levels.Thirds.Concat(levels.Octaves).Where(b => !b.Valid).ToArray();
        Assert.Equal(reasons, string.Join('|', invalid.Select(b => b.Reason)));
        Assert.All(invalid, b => Assert.Equal(0, b.MeanSquare));
    }

    [Theory]
    [InlineData(16_000, 6300, 4000)]
    [InlineData(22_050, 8000, 4000)]
    [InlineData(24_000, 10_000, 8000)]
    [InlineData(32_000, 12_500, 8000)]
    [InlineData(44_100, 16_000, 8000)]
    [InlineData(48_000, 20_000, 16_000)]
    [InlineData(192_000, 20_000, 16_000)]
    public void The_highest_bands_of_a_rate_are_those_that_keep_class_1(int rate, double third, double octave)
    {
        Assert.Equal(third, Band.ThirdOctaves.Where(b => BandFilter.Find(b, rate) is not null).Max(b => b.NominalHertz));
        Assert.Equal(octave, Band.Octaves.Where(b => BandFilter.Find(b, rate) is not null).Max(b => b.NominalHertz));
    }
}
