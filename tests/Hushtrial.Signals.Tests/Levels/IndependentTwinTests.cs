using System.Diagnostics;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Signals.Tests.Recordings;
using Hushtrial.Tests;
using static Hushtrial.Signals.Tests.Levels.Signals;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>The engine against tests/twins/levels_twin.py: the analogue prototypes applied to the spectrum of a whole real recording, in scipy.</summary>
/// <remarks>Recordings: those of the Debian package alsa-utils, 48 kHz, 16 bit. Needs python3-scipy and python3-numpy, which the project's
/// test command installs; without them the tests fail.</remarks>
public sealed class IndependentTwinTests
{
    private const string Sounds = "/usr/share/sounds/alsa";

    [Theory]
    [InlineData("Noise.wav", 28)]
    [InlineData("Front_Center.wav", 25)]
    public void The_engine_agrees_with_the_analogue_design_on_a_real_recording(string file, int expectedThirds)
    {
        var path = Path.Combine(Sounds, file);
        using var twin = Twin(path);
        using var recording = Recording.Open(new BufferedBytes(File.ReadAllBytes(path)), file);
        var ours = LevelAnalysis.Measure(recording.Samples!, 0, 0, recording.Frames, new(), cancellation: TestContext.Current.CancellationToken);
        double Theirs(string name) => Decibels(twin.RootElement.GetProperty(name).GetDouble());

        // Broadband: what is left is the fit of the weightings near half the rate, 0.01 dB, and its phase.
        Assert.Equal(Theirs("a"), Decibels(ours.MeanSquare(FrequencyWeighting.A)), 0.02);
        Assert.Equal(Theirs("c"), Decibels(ours.MeanSquare(FrequencyWeighting.C)), 0.02);
        Assert.Equal(Theirs("z"), Decibels(ours.MeanSquare(FrequencyWeighting.Z)), 0.02);
        Assert.Equal(Theirs("max_a_fast"), Decibels(ours.MaxMeanSquare(FrequencyWeighting.A, TimeWeighting.Fast)), 0.02);
        Assert.Equal(Theirs("max_a_slow"), Decibels(ours.MaxMeanSquare(FrequencyWeighting.A, TimeWeighting.Slow)), 0.02);
        Assert.Equal(Theirs("max_c_fast"), Decibels(ours.MaxMeanSquare(FrequencyWeighting.C, TimeWeighting.Fast)), 0.02);
        Assert.Equal(Theirs("max_c_slow"), Decibels(ours.MaxMeanSquare(FrequencyWeighting.C, TimeWeighting.Slow)), 0.02);
        // A peak follows the phase of the highest frequencies, which no digital filter of this order copies.
        Assert.Equal(Theirs("peak_c"), Decibels(ours.PeakC), 0.1);
        // Readings 1/128 s apart (F falls by 0.27 dB between two) in classes of 0.05 dB, of only 180 readings.
        foreach (var percent in (ReadOnlySpan<int>)[10, 50])
        {
            Assert.Equal(Theirs($"l{percent}_fast"), Decibels(ours.Percentile(percent)), 0.3);
            Assert.Equal(Theirs($"l{percent}_slow"), Decibels(ours.Percentile(percent, TimeWeighting.Slow)), 0.3);
        }

        var compared = 0;
        foreach (var (bands, name) in new[] { (ours.Thirds, "thirds"), (ours.Octaves, "octaves") })
            foreach (var band in bands)
            {
                var theirs = Decibels(twin.RootElement.GetProperty(name).GetProperty(band.Band.Index.ToString(System.Globalization.CultureInfo.InvariantCulture)).GetDouble());
                // 16-bit rounding makes white noise of 2⁻³⁰/3 over half the rate; a band's share of it, and 20 dB above.
                var noise = Decibels(Math.Pow(2, -30) / 3 * (band.Band.UpperEdge.Hertz - band.Band.LowerEdge.Hertz) / 24_000);
                if (theirs < noise + 20) continue;
                // 0.05 dB; bands that end close to half the rate (the last one-third octave and octave at 48 kHz) follow the analogue
                // filter's upper skirt less closely, by up to 0.35 dB at the edge.
                var tolerance = band.Band.UpperEdge.Hertz > 0.45 * recording.SampleRate ? 0.1 : 0.05;
                Assert.True(Math.Abs(Decibels(band.MeanSquare) - theirs) <= tolerance, $"{name} {band.Band}: {Decibels(band.MeanSquare):F3}, twin {theirs:F3} dB");
                if (band.Band.Fraction == BandFraction.ThirdOctave) compared++;
            }
        Assert.True(compared >= expectedThirds, $"only {compared} one-third-octave bands were far enough above the noise");
    }

    private static JsonDocument Twin(string path)
    {
        // The distribution's own interpreter: packages installed by the distribution belong to it.
        var start = new ProcessStartInfo("/usr/bin/python3", [Path.Combine(Reference.Root, "tests/twins/levels_twin.py"), path])
        {
            RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false,
        };
        using var process = Process.Start(start)!;
        var error = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, $"the twin needs python3-scipy, python3-numpy and alsa-utils: {error.Result}");
        return JsonDocument.Parse(output);
    }
}
