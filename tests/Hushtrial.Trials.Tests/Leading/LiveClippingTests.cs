using System.Runtime.InteropServices;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Leading;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Tests.Leading;

/// <summary>A take that clips is told while it runs, by the rule that judges it at its end.</summary>
public sealed class LiveClippingTests
{
    private const int Rate = 16_000;

    /// <param name="runs">How many flat tops from 3 s on.</param>
    /// <param name="length">Samples of each.</param>
    /// <param name="clips">What the rule says: at least 12 samples at full scale, and two in a row or more than 20 in a million.</param>
    [Theory]
    [InlineData(0, 1, false)]
    [InlineData(5, 2, false)]
    [InlineData(6, 2, true)]
    [InlineData(12, 1, true)]
    [InlineData(3, 3, false)]
    public void It_says_what_the_check_of_the_whole_take_says(int runs, int length, bool clips)
    {
        var samples = Noise(8 * Rate);
        for (var r = 0; r < runs; r++) Array.Fill(samples, 1f, (3 * Rate) + (r * 500), length);
        var live = new LiveTake(Rate, 1);
        live.Begin(Rate);
        Feed(live, samples.AsSpan(0, 3 * Rate));
        Assert.Null(live.ClippedAt(0));
        Feed(live, samples.AsSpan(3 * Rate));
        Assert.Equal(clips ? 2.0 : null, live.ClippedAt(0));
        var whole = SignalPass.Measure(new HeldSamples(Rate, [samples]), [0], Rate, 7 * Rate);
        Assert.Equal(clips, ClippingCheck.IsClipped(whole.Shapes[0], 7 * Rate));
        // The next take begins without it.
        live.Begin(8 * Rate);
        Assert.Null(live.ClippedAt(0));
    }

    [Fact]
    public void What_clipped_before_the_take_does_not_count_and_what_is_remembered_of_it_does()
    {
        var samples = Noise(10 * Rate);
        Array.Fill(samples, -1f, Rate, 40);
        Array.Fill(samples, 1f, 6 * Rate, 40);
        var live = new LiveTake(Rate, 1);
        Feed(live, samples);
        live.Begin(7 * Rate);
        Assert.Null(live.ClippedAt(0));
        live.Begin(4 * Rate);
        Assert.Equal(2.0, live.ClippedAt(0));
        live.Begin(Rate / 2);
        Assert.Equal(0.5, live.ClippedAt(0));
        live.End();
        Assert.Null(live.ClippedAt(0));
    }

    private static float[] Noise(int count)
    {
        var random = new Random(5);
        return [.. Enumerable.Range(0, count).Select(_ => (float)(0.3 * ((2 * random.NextDouble()) - 1)))];
    }

    private static void Feed(LiveTake live, ReadOnlySpan<float> samples)
    {
        for (var at = 0; at < samples.Length; at += 777) live.Add(MemoryMarshal.AsBytes(samples.Slice(at, Math.Min(777, samples.Length - at))));
    }
}
