using System.Diagnostics;
using System.Text.Json;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Tests;
using static Hushtrial.Signals.Tests.Levels.Signals;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>The pass of the checks: shape of the samples against plain loops, spectra and coherence against scipy.</summary>
public sealed class SignalPassTests
{
    [Theory]
    [InlineData(48_000, 100_000, 96)]
    [InlineData(44_100, 441 * 64 - 40, 88)]
    [InlineData(48_000, 480 * 64 - 5, 2000)]
    public void Holes_are_found_wherever_they_lie(int rate, int at, int length)
    {
        var x = Noise(3 * rate, 5);
        for (var i = 0; i < x.Length; i++) x[i] *= 0.1;
        Array.Fill(x, 0, at, length);
        Array.Fill(x, 0.0123, at + 20_000, length);
        var shape = Measure(rate, 1000, x).Shapes[0];
        Assert.Equal((length, at), (shape.LongestZeros, shape.ZerosAt));
        Assert.Equal((length, at + 20_000), (shape.LongestConstant, shape.ConstantAt));
    }

    [Fact]
    public void Flat_tops_are_counted_as_a_plain_loop_counts_them()
    {
        var x = Noise(200_000, 9);
        for (var i = 0; i < x.Length; i++) x[i] = Math.Clamp(0.2 * x[i], -0.6, 0.6);
        var shape = Measure(48_000, 0, x).Shapes[0];
        var (count, longest, run, runs) = (0, 0, 0, 0);
        foreach (var s in x)
        {
            if (Math.Abs(s) < 0.9995 * 0.6) { run = 0; continue; }
            count++;
            if (run++ == 0) runs++;
            longest = Math.Max(longest, run);
        }
        Assert.True(count > 100);
        Assert.Equal((0.6, count, longest, runs), (shape.Peak, shape.AtPeak, shape.LongestAtPeak, shape.PeakRuns));
        Assert.Equal(200_000 / 480, shape.BlockPeaks.Count);
        Assert.Equal(x.Skip(4800).Take(480).Average(s => s * s), shape.BlockMeanSquares[10], 1e-7);
    }

    /// <summary>Also where the span begins inside the recording and ends inside a block.</summary>
    [Theory]
    [InlineData(0, 200_000)]
    [InlineData(12_345, 150_001)]
    [InlineData(199_999, 1)]
    public void The_shape_alone_is_that_of_the_whole_pass(int first, int count)
    {
        var x = Noise(200_000, 9);
        for (var i = 0; i < x.Length; i++) x[i] = Math.Clamp(0.2 * x[i], -0.6, 0.6);
        Array.Fill(x, 0, 100_000, 300);
        var samples = new MemorySamples(48_000, x);
        var (whole, alone) = (SignalPass.Measure(samples, [0], first, count).Shapes[0], SignalPass.Shape(samples, 0, first, count));
        Assert.Equal(whole with { BlockMeanSquares = [], BlockPeaks = [] }, alone with { BlockMeanSquares = [], BlockPeaks = [] });
        Assert.Equal(whole.BlockMeanSquares, alone.BlockMeanSquares);
        Assert.Equal(whole.BlockPeaks, alone.BlockPeaks);
        Assert.Throws<ArgumentOutOfRangeException>(() => SignalPass.Shape(samples, 0, first, 200_001));
    }

    [Fact]
    public void A_short_span_has_no_low_spectra()
    {
        Assert.Null(Measure(48_000, 0, Noise(48_000, 1)).Low);
        Assert.NotNull(Measure(48_000, 0, Noise(70_000, 1)).Low);
    }

    /// <summary>The twin works at the full rate and knows nothing of the low-pass and the reduced rate of ours; segments differ by 3 ms in place.</summary>
    [Fact]
    public void Spectrum_coherence_and_comb_are_those_of_scipy()
    {
        const int Rate = 48_000;
        var (shared, alone, mine) = (Noise(12 * Rate, 21), Noise(12 * Rate, 22), Noise(12 * Rate, 23));
        var interleaved = new double[24 * Rate];
        var low = 0.0;
        for (var i = 0; i < 12 * Rate; i++)
        {
            // Below some 60 Hz both hear the same; above each its own. A phone's rhythm on the first.
            low += 0.008 * (shared[i] - low);
            var pulse = i * (26_000 / 120.0) / Rate % 1 < 0.125 ? 0.02 : 0;
            interleaved[2 * i] = (0.05 * low) + (0.01 * mine[i]) + pulse;
            interleaved[(2 * i) + 1] = (0.05 * low) + (0.03 * alone[i]);
        }
        var folder = Directory.CreateTempSubdirectory("hushtrial-");
        try
        {
            var path = Path.Combine(folder.FullName, "two.wav");
            using (var file = File.Create(path))
            using (var writer = new WaveWriter(file, Rate, 2, WaveSampleFormat.Integer16)) writer.Write(interleaved);
            using var twin = Twin(path);
            using var recording = Recording.Open(new BufferedBytes(File.ReadAllBytes(path)), "two.wav");
            var ours = SignalPass.Measure(recording.Samples!, [0, 1], 0, recording.Frames).Low!;
            double Theirs(string name) => twin.RootElement.GetProperty(name).GetDouble();
            Assert.Equal(Theirs("resolution"), ours.Resolution, 1e-9);
            Assert.Equal(Theirs("coherence"), ours.Coherence(0, 1, 20, 100), 0.01);
            Assert.Equal(Theirs("coherence_high"), ours.Coherence(1, 0, 200, 400), 0.01);
            // Neither all nor nothing, or agreement would say little.
            Assert.InRange(Theirs("coherence"), 0.2, 0.95);
            double Mean(double from, double to) => Enumerable.Range(0, ours.Density(0).Count).Where(k => k * ours.Resolution >= from && k * ours.Resolution <= to).Average(k => ours.Density(0)[k]);
            Assert.Equal(0, Decibels(Mean(100, 200) / Theirs("density_100_200")), 0.1);
            Assert.Equal(0, Decibels(Mean(700, 900) / Theirs("density_700_900")), 0.1);
            for (var k = 1; k <= 4; k++)
            {
                var line = (int)Math.Round(k * 26_000 / 120.0 / ours.Resolution);
                var around = Enumerable.Range(11, 23).SelectMany(i => new[] { ours.Density(0)[line - i], ours.Density(0)[line + i] }).Order().ToArray();
                var excess = Decibels(Enumerable.Range(line - 1, 3).Max(i => ours.Density(0)[i]) / ((around[22] + around[23]) / 2));
                Assert.Equal(twin.RootElement.GetProperty("excess").GetProperty(k.ToString(System.Globalization.CultureInfo.InvariantCulture)).GetDouble(), excess, 0.6);
            }
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    [Theory]
    [InlineData(16_000)]
    [InlineData(44_100)]
    [InlineData(96_000)]
    public void The_spectrum_does_not_depend_on_the_rate(int rate)
    {
        // A tone at 400 Hz with a mean square of 0.02; folding back would show at 600 Hz.
        var low = Measure(rate, 0, Sine(rate, 8, 400, 0.2)).Low!;
        double Sum(double from, double to) => Enumerable.Range(0, low.Density(0).Count).Where(k => k * low.Resolution >= from && k * low.Resolution <= to).Sum(k => low.Density(0)[k] * low.Resolution);
        Assert.Equal(0, Decibels(Sum(390, 410) / 0.02), 0.01);
        var above = Measure(rate, 0, Sine(rate, 8, Math.Round(rate / 3000.0) is var f && rate % f == 0 ? (rate / f) - 600 : 5000, 0.2)).Low!;
        Assert.True(Decibels(above.Density(0).Take((int)(900 / above.Resolution)).Max() * above.Resolution) < -70);
    }

    private static SpanSignals Measure(int rate, int from, double[] x) => SignalPass.Measure(new MemorySamples(rate, x), [0], from, x.Length - from);

    private static JsonDocument Twin(string path)
    {
        var start = new ProcessStartInfo("/usr/bin/python3", [Path.Combine(Reference.Root, "tests/twins/coherence_twin.py"), path]) { RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false };
        using var process = Process.Start(start)!;
        var error = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, $"the twin needs python3-scipy and python3-numpy: {error.Result}");
        return JsonDocument.Parse(output);
    }
}
