using System.Runtime.Intrinsics;
using Hushtrial.Signals.Levels;
using static Hushtrial.Signals.Tests.Levels.Signals;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>Narrow-band spectra: checks against what the definitions give by hand.</summary>
public sealed class NarrowBandTests
{
    private static NarrowBandSpectrum Spectrum(int rate, double[] x, int points) =>
        NarrowBand.Spectrum(new MemorySamples(rate, x), 0, 0, x.Length, points, cancellation: TestContext.Current.CancellationToken);

    [Theory]
    [InlineData(256)]
    [InlineData(8192)]
    public void The_transform_equals_the_definition(int points)
    {
        var re = Noise(points, 1);
        var im = Noise(points, 2);
        var (x, y) = ((double[])re.Clone(), (double[])im.Clone());
        new Fourier(points).Transform(x, y);
        foreach (var k in (ReadOnlySpan<int>)[0, 1, 7, points / 2, points - 1])
        {
            var (sumR, sumI) = (0.0, 0.0);
            for (var n = 0; n < points; n++)
            {
                var (sin, cos) = Math.SinCos(-2 * Math.PI * ((long)k * n % points) / points);
                sumR += (re[n] * cos) - (im[n] * sin);
                sumI += (re[n] * sin) + (im[n] * cos);
            }
            // Rounding of a sum of N numbers of size 1.
            Assert.InRange(Math.Abs(sumR - x[k]) + Math.Abs(sumI - y[k]), 0, 1e-12 * points);
        }
    }

    [Theory]
    [InlineData(256)]
    [InlineData(512)]
    [InlineData(1024)]
    [InlineData(2048)]
    [InlineData(8192)]
    [InlineData(65_536)]
    public void Power_of_segments_that_overlap_by_half_equals_that_of_the_plain_transform(int points)
    {
        // Three segments: two in one transform, the last in one of its own. The frames come in portions of all sizes.
        var frames = Noise(2 * points, 9);
        var expected = new double[points];
        var fourier = new Fourier(points);
        foreach (var start in (ReadOnlySpan<int>)[0, points / 2, points])
        {
            var re = new double[points];
            for (var i = 0; i < points; i++) re[i] = frames[start + i] * (0.5 - (0.5 * Math.Cos(2 * Math.PI * i / points)));
            var im = new double[points];
            fourier.Transform(re, im);
            for (var k = 0; k < points; k++) expected[k] += (re[k] * re[k]) + (im[k] * im[k]);
        }
        double[] Sum<TOps, TVector>() where TOps : struct, ILanes<TVector> where TVector : unmanaged
        {
            var tables = new TransformTables<TOps, TVector>(points);
            var (transform, halves) = (new PowerTransform<TOps, TVector>(tables), new SegmentHalves<TOps, TVector>(tables));
            void Take(ReadOnlySpan<double> some)
            {
                for (int count; !some.IsEmpty; some = some[count..])
                {
                    count = Math.Min(some.Length, halves.Room.Length);
                    some[..count].CopyTo(halves.Room);
                    transform.Fill(count, halves);
                }
            }
            // Another recording before, of which nothing may be left but its sums.
            Take(frames.AsSpan(7, points));
            transform.End(halves);
            transform.AddTo(new double[points]);
            for (int at = 0, size = 1; at < frames.Length; at += size, size = (size * 3) + 1)
                Take(frames.AsSpan(at, Math.Min(size, frames.Length - at)));
            transform.End(halves);
            var power = new double[points];
            transform.AddTo(power);
            return power;
        }
        foreach (var power in new[] { Sum<EightLanes, Vector512<double>>(), Sum<FourLanes, Vector256<double>>(), Sum<TwoLanes, Vector128<double>>() })
            for (var k = 0; k < points; k++)
                // Real and imaginary part mix two segments; a line and its mirror together do not.
                Assert.Equal(2 * expected[k], power[k] + power[(points - k) % points], 1e-11 * points);
    }

    [Fact]
    public void A_sine_on_a_line_reads_its_mean_square()
    {
        var spectrum = Spectrum(48_000, Sine(48_000, 2, 48_000 / 8192.0 * 171), 8192);
        Assert.Equal(-3.0103, Decibels(spectrum.LinePower(171)), 0.0001);
        Assert.Equal(-3.0103, Decibels(spectrum.MeanSquareBetween(900, 1100)), 0.0001);
        // Scalloping of the Hann window half-way between lines: 1.4236 dB (Harris 1978, doi 10.1109/PROC.1978.10837, Table I: 1.42).
        var between = Spectrum(48_000, Sine(48_000, 2, 48_000 / 8192.0 * 171.5), 8192);
        Assert.Equal(-3.0103 - 1.42, Decibels(between.LinePower(171)), 0.01);
    }

    [Fact]
    public void The_density_adds_up_to_the_mean_square()
    {
        var x = Noise(480_000, 3);
        var spectrum = Spectrum(48_000, x, 4096);
        // 10 s of white noise: the two differ by what the window leaves out at both ends.
        Assert.Equal(Decibels(x.Average(v => v * v)), Decibels(spectrum.Density.Sum() * spectrum.Resolution), 0.02);
        Assert.Equal(spectrum.Density.Sum() * spectrum.Resolution, spectrum.MeanSquareBetween(0, 30_000), 1e-3);
    }

    [Fact]
    public void Neighbouring_segments_overlap_by_half_and_a_lone_last_one_counts()
    {
        Assert.Equal(1, Spectrum(48_000, Noise(1535, 4), 1024).Segments);
        Assert.Equal(2, Spectrum(48_000, Noise(1536, 4), 1024).Segments);
        // Three segments of a stationary tone: the odd one must weigh like the others.
        Assert.Equal(-3.0103, Decibels(Spectrum(48_000, Sine(48_000, 2048 / 48_000.0, 48_000 / 1024.0 * 64), 1024).LinePower(64)), 0.0001);
    }

    [Fact]
    public void A_span_shorter_than_a_segment_is_refused() =>
        Assert.Equal("frameCount", Assert.Throws<ArgumentOutOfRangeException>(() => Spectrum(48_000, new double[1000], 1024)).ParamName);

    [Theory]
    [InlineData(1000)]
    [InlineData(200_000)]
    [InlineData(300_001)]
    public void The_number_of_threads_changes_nothing(int frames)
    {
        var x = Signals.Noise(frames, 3);
        var (one, four) = (Of(1), Of(4));
        Assert.Equal(one.Segments, four.Segments);
        Assert.Equal(one.Density, four.Density);
        // And the parts hold all of it: the density of white noise adds up to its mean square.
        var meanSquare = x.Sum(v => v * v) / x.Length;
        Assert.Equal(1, one.MeanSquareBetween(0, 24_000) / meanSquare, 0.1);

        NarrowBandSpectrum Of(int threads) => NarrowBand.Spectrum(new MemorySamples(48_000, x), 0, 0, x.Length, 256, threads, TestContext.Current.CancellationToken);
    }
}
