using System.Runtime.InteropServices;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Leading;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Tests.Leading;

/// <summary>The levels of a take while it grows are those of the same span in a file.</summary>
public sealed class LiveTakeTests
{
    private const int Rate = 24_000;

    [Theory]
    [InlineData(0)]
    [InlineData(30_000)]
    public void A_take_that_began_some_seconds_ago_reads_as_the_file_does(int beginsAt)
    {
        var trial = new CheckedTrial(3);
        float[] left = trial.Render(0)[0], right = trial.Render(4)[0];
        var live = new LiveTake(Rate, 2);
        var interleaved = new float[2 * left.Length];
        for (var n = 0; n < left.Length; n++) (interleaved[2 * n], interleaved[(2 * n) + 1]) = (left[n], right[n]);
        // The page says late that a take began: seven seconds are there already.
        const int Heard = 7 * Rate;
        Feed(live, interleaved.AsSpan(0, 2 * Heard), 1234);
        Assert.Equal(0, live.Read(0, 0).Seconds);
        live.Begin(beginsAt);
        Feed(live, interleaved.AsSpan(2 * Heard), 6000);
        var end = left.Length / 3000 * 3000;
        foreach (var (channel, samples) in new[] { (0, left), (1, right) })
        {
            var reading = live.Read(channel, 100);
            Assert.Equal((end - beginsAt) / (double)Rate, reading.Seconds);
            var file = LevelAnalysis.Measure(new HeldSamples(Rate, [samples]), 0, beginsAt, end - beginsAt, new LevelSettings { Octaves = false }, cancellation: TestContext.Current.CancellationToken);
            // Filters of the file begin at the span, those of the capture were running: 0.05 dB of a take of ten seconds.
            Assert.Equal((10 * Math.Log10(file.MeanSquare(FrequencyWeighting.A))) + 100, reading.LevelA!.Value, 0.05);
            foreach (var third in file.Thirds.Where(t => t.Valid && t.Band.NominalHertz >= 50)) Assert.Equal((10 * Math.Log10(third.MeanSquare)) + 100, reading.Bands[third.Band], 0.1);
        }
        live.End();
        Assert.Equal(0, live.Read(0, 0).Seconds);
        Assert.NotNull(live.Read(0, 0).Fast);
    }

    private static void Feed(LiveTake live, ReadOnlySpan<float> interleaved, int frames)
    {
        for (var at = 0; at < interleaved.Length; at += 2 * frames) live.Add(MemoryMarshal.AsBytes(interleaved.Slice(at, Math.Min(2 * frames, interleaved.Length - at))));
    }
}
