using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Signals.Rendering;
using Hushtrial.Tests;
using static Hushtrial.Signals.Tests.Levels.Signals;

namespace Hushtrial.Signals.Tests.Rendering;

/// <summary>Curve and filter against tests/twins/rendering_twin.py (scipy's PchipInterpolator, firwin2 and freqz); loops and band gains by laws of their own.</summary>
public sealed class RenderingTests
{
    private const int Rate = 16_000;

    // A loss with a plateau, a dip, steep slopes and uneven steps; invented.
    private static readonly (double Hertz, double Gain)[] _points = [(20, -3), (50, -3), (63, -1), (125, -9.5), (250, -21), (500, -24), (630, -36), (1000, -35.5), (4000, -41), (6300, -30)];

    [Fact]
    public void Curve_and_filter_are_those_of_scipy()
    {
        const int taps = 4801;
        using var twin = Twin(taps);
        double[] Theirs(string name) => [.. twin.RootElement.GetProperty(name).EnumerateArray().Select(e => e.GetDouble())];
        var curve = new GainCurve(_points);
        foreach (var (hertz, gain) in Theirs("hertz").Zip(Theirs("curve"))) Assert.Equal(gain, curve.At(hertz), 1e-9);
        var filter = LinearPhaseFilter.Design(curve.At, Rate, taps);
        // Both take the same samples of the response: what is left is rounding.
        foreach (var (i, tap) in Theirs("taps").Index()) Assert.Equal(tap, filter.Taps[97 * i], 1e-12);
        Assert.Equal(filter.Taps[0], filter.Taps[^1]);
        // The window smooths over 3.3 Hz: at 20 Hz nothing, on the steep slope at 125 Hz a tenth of a decibel.
        foreach (var (point, response) in _points.Zip(Theirs("response"))) Assert.Equal(point.Gain, response, 0.3);
    }

    [Fact]
    public void Between_two_points_a_curve_stays_between_their_values()
    {
        var curve = new GainCurve(_points);
        for (var i = 0; i + 1 < _points.Length; i++)
            for (var t = 0.0; t <= 1; t += 0.05)
            {
                var gain = curve.At(_points[i].Hertz * Math.Pow(_points[i + 1].Hertz / _points[i].Hertz, t));
                Assert.InRange(gain, Math.Min(_points[i].Gain, _points[i + 1].Gain) - 1e-9, Math.Max(_points[i].Gain, _points[i + 1].Gain) + 1e-9);
            }
        Assert.Equal((-3, -30), (curve.At(0), curve.At(7999)));
    }

    [Fact]
    public void Around_a_loop_nothing_is_delayed_and_nothing_begins()
    {
        // A tone with whole periods in the loop comes out as it went in, times the gain, from the first sample on: 500 Hz loses 24 dB.
        var loop = Sine(Rate, 2, 500, 0.5);
        var filter = LinearPhaseFilter.Design(new GainCurve(_points).At, Rate, LinearPhaseFilter.UsualTaps(Rate));
        var filtered = filter.Around(loop);
        // The window smooths the gain about its kink at 500 Hz by 0.03 dB.
        for (var i = 0; i < loop.Length; i++) Assert.Equal(loop[i] * Math.Pow(10, -24 / 20.0), filtered[i], 0.5 * Math.Pow(10, -24 / 20.0) * 0.01);
        Assert.Throws<ArgumentException>(() => filter.Around(new double[100]));
    }

    [Fact]
    public void A_tone_and_a_hiss_have_no_seam_where_the_loop_closes_or_pieces_join()
    {
        const double hertz = 108.33;
        var whole = Sine(Rate, 20, hertz).Zip(Noise(20 * Rate, 3), (a, b) => a + (0.02 * b)).ToArray();
        foreach (var pieces in new[] { new[] { whole[..(9 * Rate)] }, [whole[..(3 * Rate)], whole[(7 * Rate)..(10 * Rate)], whole[(12 * Rate + 77)..(15 * Rate)]] })
        {
            var loop = SeamlessLoop.Of(pieces, Rate, 8);
            Assert.InRange(loop.Length / (double)Rate, 7.5, 8);
            // The level of every 50 ms, over the seam too: a tone of 0 dB stays within what the hiss allows.
            var twice = loop.Concat(loop).ToArray();
            var levels = Enumerable.Range(0, (twice.Length / 800) - 1).Select(i => Decibels(twice[(i * 800)..((i + 1) * 800)].Average(x => x * x))).ToList();
            Assert.InRange(levels.Max() - levels.Min(), 0, 1.2);
            // No step: the largest one between neighbours is that of the sound itself.
            double Steepest(double[] x) => Enumerable.Range(1, x.Length - 1).Max(i => Math.Abs(x[i] - x[i - 1]));
            Assert.InRange(Steepest(twice), 0, 1.1 * Steepest(whole));
        }
    }

    [Fact]
    public void A_hiss_keeps_its_level_in_a_crossfade()
    {
        var noise = Noise(9 * Rate, 5);
        var loop = SeamlessLoop.Of([noise], Rate, 8);
        // The first quarter of a second is the crossfade: 4000 samples leave 0.1 dB of the level to chance.
        Assert.Equal(0, Decibels(loop[..4000].Average(x => x * x)), 0.4);
    }

    [Fact]
    public void Band_levels_change_by_what_was_asked_for_with_tones_and_steep_losses()
    {
        // A falling noise with tones that carry half of their bands (a stronger one would carry its neighbours too, and no filter gives both different losses), and losses that jump by up to 8 dB from band to band.
        var noise = Noise(8 * Rate, 7);
        var (brown, state) = (new double[noise.Length], 0.0);
        for (var i = 0; i < noise.Length; i++) brown[i] = state = (0.98 * state) + noise[i];
        foreach (var (hertz, amplitude) in new[] { (20.6, 1.5), (41.5, 2), (104, 1), (520, 0.5) })
            for (var i = 0; i < brown.Length; i++) brown[i] += amplitude * Math.Sin(2 * Math.PI * hertz * i / Rate);
        double[] jumps = [0, 3, -1, 6, 2, 9, 14, 11, 18, 20, 17, 22, 30, 27, 28, 35, 33, 31, 36, 38, 36, 35, 39, 37, 36, 35];
        var gains = Band.ThirdOctaves.Take(jumps.Length).Select((b, i) => (b, Gain: -jumps[i])).ToDictionary(g => g.b, g => g.Gain);
        var loop = SeamlessLoop.Of([brown], Rate, 7.5);
        var fit = new BandGainFit(loop, Rate);
        var (before, after) = (Levels(fit.Open().Around(loop)), Levels(fit.Filter(gains).Around(loop)));
        var compared = 0;
        foreach (var band in before.Thirds.Where(b => b.Valid && gains.ContainsKey(b.Band)))
        {
            var change = Decibels(after.Thirds.Single(b => b.Band == band.Band).MeanSquare / band.MeanSquare);
            // Half a decibel, as the page promises.
            Assert.True(Math.Abs(change - gains[band.Band]) <= 0.5, $"{band.Band}: {change:0.00} dB, asked {gains[band.Band]:0.00} dB");
            compared++;
        }
        Assert.True(compared >= 24);
    }

    [Fact]
    public void Words_and_cue_points_behind_the_samples_are_read_again()
    {
        using var file = new MemoryStream();
        using (var writer = new WaveWriter(file, Rate, 1, WaveSampleFormat.Integer24)) writer.Write(Sine(Rate, 0.1001, 440, 0.5));
        WaveNotes.Append(file, "Cabin", "Not real levels.", [new(0, "Cabin"), new(800, "Alder, with spectacles")]);
        using var recording = Recording.Open(new BufferedBytes(file.ToArray()), "clip.wav");
        Assert.Equal([], recording.Problems);
        Assert.Equal((1602, 2), (recording.Frames, recording.Markers.Count));
        Assert.Equal((800, "Alder, with spectacles"), (recording.Markers[1].Frame, recording.Markers[1].Label));
        Assert.Contains("ICMT", System.Text.Encoding.Latin1.GetString(file.ToArray()), StringComparison.Ordinal);
    }

    private static SpanLevels Levels(double[] loop) => LevelAnalysis.Measure(new LoopSamples(loop, Rate, 2), 0, loop.Length, loop.Length, new());

    private static JsonDocument Twin(int taps)
    {
        var start = new ProcessStartInfo("/usr/bin/python3", [Path.Combine(Reference.Root, "tests/twins/rendering_twin.py"), Rate.ToString(CultureInfo.InvariantCulture), taps.ToString(CultureInfo.InvariantCulture)])
        {
            RedirectStandardInput = true, RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false,
        };
        using var process = Process.Start(start)!;
        foreach (var (hertz, gain) in _points) process.StandardInput.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{hertz} {gain}"));
        process.StandardInput.Close();
        var error = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, $"the twin needs python3-scipy and python3-numpy: {error.Result}");
        return JsonDocument.Parse(output);
    }
}
