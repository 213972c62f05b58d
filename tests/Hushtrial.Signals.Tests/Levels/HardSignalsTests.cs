using Hushtrial.Quantities;
using Hushtrial.Signals.Filters;
using static Hushtrial.Signals.Tests.Levels.Signals;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>Signals made to mislead bands that run at a reduced rate: every step of every band against the plain filter at the full rate.</summary>
public sealed class HardSignalsTests
{
    private const double Seconds = 5;

    public static TheoryData<string, int> Cases() => new(
        from signal in new[] { "jumps at edges", "jumps beside edges", "bursts over noise", "far tones", "sweep", "gaps", "clicks" }
        from rate in new[] { 48_000, 44_100 }
        select (signal, rate));

    [Theory, MemberData(nameof(Cases))]
    public void Each_step_of_each_band_within_60_dB_of_the_total_is_right_to_a_thousandth(string signal, int rate) =>
        Compare(rate, Make(signal, rate), 0.125, 0.001);

    [Theory]
    [InlineData(16_000)]
    [InlineData(96_000)]
    [InlineData(192_000)]
    public void So_it_is_at_the_lowest_and_the_highest_rates(int rate) => Compare(rate, Make("jumps beside edges", rate)[..(2 * rate)], 0.125, 0.001);

    // A step of 10 ms holds a fifth of a cycle of 20 Hz: edges are all there is. Just before a burst 60 dB above the noise its foreboding in the
    // halvings, 120 dB below it, has a tenth of the time to drown in.
    [Theory]
    [InlineData("bursts over noise", 0.04)]
    [InlineData("sweep", 0.002)]
    public void Short_steps_are_nearly_as_right(string signal, double tolerance) => Compare(44_100, Make(signal, 44_100)[..88_200], 0.01, tolerance);

    private static double[] Make(string signal, int rate)
    {
        var x = Noise((int)(Seconds * rate), 5);
        // Falls by 3 dB an octave, near enough (Kellet's filter, economy form; common practice, no source).
        var (a, b, c) = (0.0, 0.0, 0.0);
        for (var n = 0; n < x.Length; n++)
        {
            a = (0.99765 * a) + (x[n] * 0.0990460);
            b = (0.96300 * b) + (x[n] * 0.2965164);
            c = (0.57000 * c) + (x[n] * 1.0526913);
            x[n] = 0.05 * (a + b + c + (x[n] * 0.1848));
        }
        double Tone(int n, double hertz) => Math.Sin(2 * Math.PI * hertz * n / rate);
        var step = rate / 8.0;
        for (var n = 0; n < x.Length; n++)
        {
            var block = (int)(n / step);
            x[n] *= signal switch
            {
                "jumps at edges" => block % 4 < 2 ? 0.001 : 1,
                // 3 ms before and after the edges in turn.
                "jumps beside edges" => (int)((n + (block % 8 < 4 ? 0.003 : -0.003) * rate) / step) % 4 < 2 ? 0.003 : 1,
                "gaps" => block % 3 == 0 ? 0 : 1,
                _ => 0.001,
            };
            x[n] += signal switch
            {
                "bursts over noise" when block % 5 == 2 => Tone(n, 1000 * Math.Pow(2, block / 5 % 4)),
                "far tones" => 0.9 * Tone(n, block < 20 ? 5980 : 2994),
                "sweep" => Math.Sin(2 * Math.PI * 10 / Math.Log(2000) * Seconds * (Math.Pow(2000, n / (Seconds * rate)) - 1)),
                "clicks" when n % (rate / 3) == 0 => 1,
                _ => 0,
            };
        }
        return x;
    }

    private static void Compare(int rate, double[] x, double step, double tolerance)
    {
        var first = rate / 10;
        var levels = new MemorySamples(rate, x).Levels(first, settings: new() { History = true, StepSeconds = step });
        var history = levels.History!;
        var edge = step * rate;
        var total = Steps(x, first, edge, history.Count);
        var worst = (Off: 0.0, What: "");
        var compared = 0;
        for (var i = 0; i < history.Bands.Count; i++)
        {
            var expected = Steps(Filtered(BandFilter.Find(history.Bands[i], rate)!, x), first, edge, history.Count);
            for (var s = 0; s < expected.Length; s++)
            {
                if (expected[s] < 1e-6 * total[s] || total[s] == 0) continue;
                compared++;
                var length = s == expected.Length - 1 ? x.Length - first - (s * edge) : edge;
                var off = Math.Abs(Decibels(history.Third(i)[s]) - Decibels(expected[s] / length));
                if (off > worst.Off) worst = (off, $"{history.Bands[i]}, step {s}: {off:E2} dB");
            }
        }
        Assert.True(compared > history.Count * history.Bands.Count / 4, $"only {compared} values compared");
        Assert.True(worst.Off <= tolerance, worst.What);
    }

    /// <summary>Energy of each step, frames on an edge shared out by their overlap.</summary>
    private static double[] Steps(double[] y, int first, double edge, int count)
    {
        var sums = new double[count];
        for (var n = first; n < y.Length; n++)
        {
            var block = (int)Math.Floor(((n - first) / edge) + 1e-12);
            var share = Math.Min(1, ((block + 1) * edge) - (n - first));
            sums[block] += y[n] * y[n] * share;
            if (share < 1 && block + 1 < count) sums[block + 1] += y[n] * y[n] * (1 - share);
        }
        return sums;
    }

    private static double[] Filtered(BandFilter filter, double[] x)
    {
        var y = Array.ConvertAll(x, v => v * filter.Gain);
        for (var section = 0; section < 3; section++)
        {
            var (s1, s2) = (0.0, 0.0);
            for (var n = 0; n < y.Length; n++)
            {
                var w = y[n];
                var v = w + s1;
                s1 = (filter.Numerator is null ? 0 : -w) + (filter.Feedback1[section] * v) + s2;
                s2 = (filter.Numerator is null ? -w : 0) + (filter.Feedback2[section] * v);
                y[n] = v;
            }
        }
        if (filter.Numerator is not { } b) return y;
        for (var n = y.Length - 1; n >= 0; n--) y[n] = (b[0] * y[n]) + (n > 0 ? b[1] * y[n - 1] : 0) + (n > 1 ? b[2] * y[n - 2] : 0);
        return y;
    }
}
