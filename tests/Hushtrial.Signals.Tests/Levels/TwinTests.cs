using Hushtrial.Quantities;
using static Hushtrial.Signals.Tests.Levels.Signals;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>The vectorised engine against its plain twin.</summary>
public sealed class TwinTests
{
    [Theory]
    [InlineData(48_000, 8.3, 3.0)]
    [InlineData(44_100, 7.777, 0.0)]
    [InlineData(44_100, 0.31, 10.01)]
    [InlineData(96_000, 2.5, 1.5)]
    [InlineData(22_050, 31.0, 1.0)]
    [InlineData(16_000, 0.002, 4.0)]
    public void The_engine_equals_its_plain_twin(int rate, double seconds, double from)
    {
        var x = Cabin(rate, from + seconds + 1);
        var samples = new MemorySamples(rate, x);
        long first = (long)(from * rate), frames = (long)(seconds * rate);
        var ours = samples.Levels(first, frames);
        var twin = new ScalarTwin(samples, 0, first, frames, withBands: true);
        // Half of what the bands at reduced rates may be off in the hardest case. Broadband noise comes to 0.00014 dB in one-third octaves and
        // 0.0003 dB in octaves, by the integral of the fitted responses.
        const double bandTolerance = 5e-4;
        foreach (var w in Enum.GetValues<FrequencyWeighting>())
        {
            Near(twin.MeanSquare[(int)w], ours.MeanSquare(w), 1e-6);
            Near(twin.Max[2 * (int)w], ours.MaxMeanSquare(w, TimeWeighting.Fast), 1e-6);
            // S begins its chunk with up to 1.8 % of its level missing; the maxima are mended for the middle of a piece.
            Near(twin.Max[(2 * (int)w) + 1], ours.MaxMeanSquare(w, TimeWeighting.Slow), 2e-4);
        }
        Near(twin.PeakC, ours.PeakC, 1e-6);
        Assert.Equal(twin.Bands.Count, ours.Thirds.Concat(ours.Octaves).Count(b => b.Valid));
        foreach (var b in ours.Thirds.Concat(ours.Octaves).Where(b => b.Valid)) Near(twin.Bands[b.Band], b.MeanSquare, bandTolerance);
        foreach (var (time, values) in new[] { (TimeWeighting.Fast, twin.Fast), (TimeWeighting.Slow, twin.Slow) })
        {
            var sorted = values.OrderDescending().ToArray();
            foreach (var percent in (ReadOnlySpan<double>)[10, 50, 90])
            {
                // Two readings apart, 0.54 dB for F at the steepest, plus a class of 0.05 dB.
                var exact = sorted[(int)Math.Min(sorted.Length - 1, percent / 100 * sorted.Length)];
                if (seconds > 1) Near(exact, ours.Percentile(percent, time), 0.1);
            }
        }
    }

    [Theory]
    [InlineData(0.0)]
    [InlineData(0.003)]
    [InlineData(0.06)]
    [InlineData(0.9)]
    [InlineData(3.99)]
    [InlineData(4.01)]
    public void The_largest_S_is_right_wherever_in_a_chunk_it_lies(double after)
    {
        // Chunks of 10 s: what went on before the second is heard by S for 4 s only. The sound grows and ends at some place in it, S is largest there.
        const int rate = 16_000;
        var x = Noise(40 * rate, 5);
        for (var n = 0; n < x.Length; n++) x[n] *= n < (10 + after) * rate ? 0.1 + (n / (20.0 * rate)) : 1e-3;
        var samples = new MemorySamples(rate, x);
        var ours = samples.Levels(settings: new() { Thirds = false, Octaves = false });
        var twin = new ScalarTwin(samples, 0, 0, x.Length, withBands: false);
        foreach (var w in Enum.GetValues<FrequencyWeighting>()) Near(twin.Max[(2 * (int)w) + 1], ours.MaxMeanSquare(w, TimeWeighting.Slow), 2e-4);
    }

    /// <summary>Noise that falls with frequency, a tone, and a bang.</summary>
    internal static double[] Cabin(int rate, double seconds)
    {
        var x = Noise((int)(seconds * rate), 7);
        var (slow, slower) = (0.0, 0.0);
        for (var n = 0; n < x.Length; n++)
        {
            slow += 2 * Math.PI * 200 / rate * (x[n] - slow);
            slower += 2 * Math.PI * 20 / rate * (x[n] - slower);
            x[n] = (0.01 * x[n]) + (0.5 * slow) + slower + (0.05 * Math.Sin(2 * Math.PI * 82 * n / rate)) + 0.02;
            if (n % (3 * rate) == rate) x[n] += 3;
        }
        return x;
    }

    private static void Near(double expected, double actual, double decibels) =>
        Assert.InRange(Math.Abs(Decibels(actual) - Decibels(expected)), 0, decibels);
}
