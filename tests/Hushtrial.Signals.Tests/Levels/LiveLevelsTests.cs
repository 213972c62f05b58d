using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using static Hushtrial.Signals.Tests.Levels.Signals;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>The live path against the file engine on the same samples.</summary>
public sealed class LiveLevelsTests
{
    [Theory]
    [InlineData(48_000, 0.125)]
    [InlineData(44_100, 0.125)]
    [InlineData(44_100, 0.01)]
    [InlineData(16_000, 1)]
    public void Each_step_is_that_of_the_file_engine_however_the_samples_arrive(int rate, double step)
    {
        var x = TwinTests.Cabin(rate, 4);
        var file = new MemorySamples(rate, x).Levels(settings: new() { History = true, StepSeconds = step });
        var history = file.History!;
        var steps = 0;
        void Check(LiveLevels live)
        {
            var s = steps++;
            Near(history.MeanSquareA[s], live.StepMeanSquare(FrequencyWeighting.A), 1e-5);
            Near(history.MeanSquareC[s], live.StepMeanSquare(FrequencyWeighting.C), 1e-5);
            Near(history.MeanSquareZ[s], live.StepMeanSquare(FrequencyWeighting.Z), 1e-5);
            Near(history.PeakC[s], live.StepPeakC, 1e-5);
            // The engine reads F and S after the last whole frame, this after the frame on the edge: a sample apart at most.
            Near(history.FastA[s], live.Now(FrequencyWeighting.A, TimeWeighting.Fast), 0.001 + (rate % 8 == 0 ? 0 : 0.05));
            // The start of the recording: bands are far from settled, and in step 0 of 10 ms there is little of them.
            if (s * step < 0.5) return;
            for (var i = 0; i < history.Bands.Count; i++)
            {
                Assert.Equal(history.Bands[i], live.Bands[i]);
                if (history.Third(i)[s] > 1e-6 * history.MeanSquareZ[s]) Near(history.Third(i)[s], live.StepBandMeanSquare(i), step < 0.1 ? 0.01 : 0.001);
            }
        }
        var meter = new LiveLevels(rate, new() { StepSeconds = step }, Check);
        var (at, portion) = (0, 1);
        while (at < x.Length)
        {
            var count = Math.Min(portion, x.Length - at);
            meter.Add(x.AsSpan(at, count));
            at += count;
            portion = (portion * 7 % 1999) + 1;
        }
        Assert.Equal((int)Math.Floor((x.Length / (rate * step)) + 1e-9), steps);
        // Whole steps only: the totals cover the same time.
        var seconds = steps * step;
        var same = new MemorySamples(rate, x).Levels(0, (long)(seconds * rate));
        foreach (var w in Enum.GetValues<FrequencyWeighting>()) Near(same.MeanSquare(w), meter.MeanSquare(w), 1e-3);
        for (var i = 0; i < same.Thirds.Count(b => b.Valid); i++) Near(same.Thirds[i].MeanSquare, meter.BandMeanSquare(i), 1e-3);
    }

    [Fact]
    public void Feeding_allocates_nothing()
    {
        var x = Noise(48_000, 3);
        var meter = new LiveLevels(48_000, new(), _ => { });
        meter.Add(x);
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var at = 0; at + 480 <= x.Length; at += 480) meter.Add(x.AsSpan(at, 480));
        Assert.Equal(before, GC.GetAllocatedBytesForCurrentThread());
        Assert.Equal(16, meter.Steps);
    }

    [Fact]
    public void What_is_not_a_number_counts_as_silence()
    {
        var meter = new LiveLevels(48_000, new());
        meter.Add(new double[6000].Select((_, n) => n % 3 == 0 ? double.NaN : double.PositiveInfinity).ToArray());
        Assert.Equal(0, meter.MeanSquare(FrequencyWeighting.Z));
        Assert.Equal(0, meter.BandMeanSquare(0));
    }

    private static void Near(double expected, double actual, double decibels) =>
        Assert.InRange(Math.Abs(Decibels(actual) - Decibels(expected)), 0, decibels);
}
