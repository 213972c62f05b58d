using System.Runtime.Intrinsics;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using static Hushtrial.Signals.Tests.Levels.Signals;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>Silence, extremes, odd spans, every vector width, memory.</summary>
public sealed class RobustnessTests
{
    [Fact]
    public void Silence_has_no_level_and_no_NaN()
    {
        var levels = new MemorySamples(48_000, new double[5 * 48_000]).Levels(settings: new() { History = true });
        Assert.All(Enum.GetValues<FrequencyWeighting>(), w => Assert.Equal(0, levels.MeanSquare(w)));
        Assert.All(levels.Thirds.Concat(levels.Octaves), b => Assert.Equal(0, b.MeanSquare));
        Assert.Equal(0, levels.Percentile(50));
        Assert.Equal(0, levels.PeakC);
        Assert.Equal(40, levels.History!.Count);
        Assert.All(levels.History.FastA, v => Assert.Equal(0, v));
    }

    [Fact]
    public void After_a_sound_digital_silence_rings_out_to_exactly_nothing()
    {
        // The 20 Hz band falls by 52 dB a second: below 10⁻¹⁰⁰ after 40 s, long before subnormal numbers.
        var x = new double[150 * 16_000];
        Noise(16_000, 1).CopyTo(x, 0);
        var levels = new MemorySamples(16_000, x).Levels(140 * 16_000, 10 * 16_000);
        Assert.All(levels.Thirds.Concat(levels.Octaves), b => Assert.Equal(0, b.MeanSquare));
        Assert.Equal(0, levels.MeanSquare(FrequencyWeighting.Z));
    }

    [Fact]
    public void The_band_at_20_Hz_hears_120_dB_below_a_tone_at_192_kHz()
    {
        // The hardest ratio: 20 Hz of 192 kHz beside a full-scale tone 70 dB above the 60 Hz where the filter gives 55 dB.
        const int rate = 192_000;
        var x = Sine(rate, 9, 10_000);
        var weak = Sine(rate, 9, Band.ThirdOctave(-17).ExactMidband.Hertz, 1e-6);
        for (var n = 0; n < x.Length; n++) x[n] = (x[n] * Math.Min(1, n / (2.0 * rate))) + weak[n];
        var levels = new MemorySamples(rate, x).Levels(7 * rate, 2 * rate);
        // 40 periods of 20 Hz; the filter holds the tone off by 160 dB; rounding in double precision must not show.
        Assert.Equal(Decibels(0.5e-12), Decibels(levels.Thirds[0].MeanSquare), 0.02);
    }

    [Fact]
    public void Twenty_four_bit_steps_are_seen_through_every_band()
    {
        // A tone of one step of 24 bits in each band alone, at the highest and the lowest rate of common recorders.
        foreach (var rate in (ReadOnlySpan<int>)[44_100, 192_000])
        {
            var x = Sine(rate, 6, 1000, 1 / 8388608.0);
            var level = new MemorySamples(rate, x).Levels(4 * rate, rate).Thirds[17];
            Assert.Equal(Decibels(0.5) - (20 * Math.Log10(8388608)), Decibels(level.MeanSquare), 0.001);
        }
    }

    [Theory]
    [InlineData(50_000)]
    // The first chunk hears 8 s before it, the others 4 s.
    [InlineData(500_000)]
    public void Every_vector_width_gives_the_same(int first)
    {
        var samples = new MemorySamples(44_100, TwinTests.Cabin(44_100, 18.3));
        var settings = new LevelSettings { History = true };
        SpanLevels With<TOps, TVector>() where TOps : struct, ILanes<TVector> where TVector : unmanaged
        {
            var plan = new ChunkPlan(44_100, first, 300_001, settings.StepSeconds);
            var set = new FilterSet(44_100, settings);
            var tally = new SpanTally(plan, set, settings);
            var run = new StripRun<TOps, TVector>(samples, 0, plan, set);
            for (var chunk = 0; chunk < plan.Chunks; chunk += TOps.Count)
            {
                run.Run(chunk, null, TestContext.Current.CancellationToken);
                foreach (var rows in run.Chunks.Take(plan.Chunks - chunk)) tally.Add(rows);
            }
            return tally.Finish();
        }
        var eight = With<EightLanes, Vector512<double>>();
        foreach (var other in new[] { With<FourLanes, Vector256<double>>(), With<TwoLanes, Vector128<double>>(), samples.Levels(first, 300_001, settings) })
        {
            // 1e-9 dB: fused and unfused products differ in the last bits only.
            foreach (var w in Enum.GetValues<FrequencyWeighting>())
            {
                Assert.Equal(Decibels(eight.MeanSquare(w)), Decibels(other.MeanSquare(w)), 1e-9);
                foreach (var t in Enum.GetValues<TimeWeighting>())
                    Assert.Equal(Decibels(eight.MaxMeanSquare(w, t)), Decibels(other.MaxMeanSquare(w, t)), 1e-9);
            }
            foreach (var (a, b) in eight.Thirds.Concat(eight.Octaves).Zip(other.Thirds.Concat(other.Octaves)).Where(p => p.First.Valid))
                Assert.Equal(Decibels(a.MeanSquare), Decibels(b.MeanSquare), 1e-9);
            Assert.Equal(eight.History!.FastA.Count, other.History!.FastA.Count);
        }
    }

    [Theory]
    [InlineData(44_100, 0.125, 100_003)]
    [InlineData(22_050, 0.125, 50_001)]
    [InlineData(48_000, 1, 123_456)]
    [InlineData(44_100, 0.01, 33_333)]
    [InlineData(48_000, 0.125, 6_000)]
    [InlineData(48_000, 0.125, 1)]
    public void Steps_share_out_the_frames_that_straddle_their_edges(int rate, double step, int frames)
    {
        var x = Noise(frames, 11);
        var history = new MemorySamples(rate, x).Levels(settings: new() { History = true, StepSeconds = step, Octaves = false }).History!;
        var edge = step * rate;
        Assert.Equal((int)Math.Ceiling(frames / edge - 1e-9), history.Count);
        var filter = Filters.WeightingFilters.At(rate).ZLow;
        var gain = Filters.WeightingFilters.At(rate).ZGain;
        var expected = new double[history.Count];
        var (w1, w2) = (0.0, 0.0);
        for (var n = 0; n < frames; n++)
        {
            var w = x[n] + (filter.Feedback1 * w1) + (filter.Feedback2 * w2);
            var z = gain * (w - (2 * w1) + w2);
            (w2, w1) = (w1, w);
            var block = (int)Math.Floor((n / edge) + 1e-12);
            var share = Math.Min(1, ((block + 1) * edge) - n);
            expected[block] += z * z * share;
            if (share < 1 && block + 1 < expected.Length) expected[block + 1] += z * z * (1 - share);
        }
        for (var i = 0; i < expected.Length; i++)
        {
            var length = i == expected.Length - 1 ? frames - (i * edge) : edge;
            // Single precision.
            Assert.Equal(expected[i] / length, history.MeanSquareZ[i], 2e-6 * expected[i] / length);
        }
        Assert.Equal((frames - ((history.Count - 1) * edge)) / rate, history.LastStepSeconds, 1e-9);
    }

    [Fact]
    public void The_result_does_not_depend_on_the_number_of_threads()
    {
        var samples = new MemorySamples(16_000, TwinTests.Cabin(16_000, 70));
        var one = samples.Levels(settings: new() { MaxThreads = 1 });
        var four = samples.Levels(settings: new() { MaxThreads = 4 });
        Assert.Equal(one.Thirds.Select(b => b.MeanSquare), four.Thirds.Select(b => b.MeanSquare));
        Assert.Equal(one.MeanSquare(FrequencyWeighting.A), four.MeanSquare(FrequencyWeighting.A));
        Assert.Equal(one.Percentile(50), four.Percentile(50));
    }

    [Fact]
    public void Memory_does_not_grow_with_the_length()
    {
        long Allocated(double minutes, LevelSettings settings)
        {
            var before = GC.GetAllocatedBytesForCurrentThread();
            new Endless(16_000, (long)(minutes * 60 * 16_000)).Levels(settings);
            return GC.GetAllocatedBytesForCurrentThread() - before;
        }
        var plain = new LevelSettings { MaxThreads = 1 };
        Allocated(1, plain);
        Allocated(1, plain with { History = true });
        // Twice the length with every buffer at its full size already: 1 MB is far below what an hour of samples is (460 MB).
        Assert.InRange(Allocated(40, plain) - Allocated(20, plain), -1_000_000, 1_000_000);
        // 37 single-precision numbers eight times a second: 4.26 MB an hour.
        Assert.InRange(Allocated(40, plain with { History = true }) - Allocated(20, plain with { History = true }), 0, 2_000_000);
    }

    [Fact]
    public void Samples_that_are_no_numbers_are_refused()
    {
        var x = Noise(48_000, 2);
        x[20_000] = double.NaN;
        Assert.Throws<InvalidDataException>(() => new MemorySamples(48_000, x).Levels());
    }

    [Theory]
    [InlineData(15_999, 0, 1, "samples")]
    [InlineData(192_001, 0, 1, "samples")]
    [InlineData(48_000, -1, 1, "firstFrame")]
    [InlineData(48_000, 1000, 1, "firstFrame")]
    [InlineData(48_000, 0, 0, "frameCount")]
    [InlineData(48_000, 1, 1000, "frameCount")]
    public void A_span_outside_the_recording_is_refused(int rate, long first, long frames, string name) =>
        Assert.Equal(name, Assert.Throws<ArgumentOutOfRangeException>(() => new MemorySamples(rate, new double[1000]).Levels(first, frames)).ParamName);

    [Theory]
    [InlineData(0.009)]
    [InlineData(10.001)]
    [InlineData(0.0125)]
    [InlineData(double.NaN)]
    public void A_step_is_a_whole_number_of_milliseconds(double seconds) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new LevelSettings { StepSeconds = seconds });

    [Fact]
    public void Progress_reaches_one_and_a_cancelled_measurement_stops()
    {
        var told = new Told();
        var samples = new Endless(16_000, 16_000 * 100);
        LevelAnalysis.Measure(samples, 0, 0, samples.Frames, new(), told, TestContext.Current.CancellationToken);
        Assert.Equal(1, told.Shares.Max());
        Assert.True(told.Shares.Count > 10);
        Assert.Throws<OperationCanceledException>(() => LevelAnalysis.Measure(samples, 0, 0, samples.Frames, new() { MaxThreads = 1 }, null, new CancellationToken(true)));
    }

    [Theory]
    [InlineData(1, 0)]
    [InlineData(3, 0)]
    [InlineData(3, 130)]
    [InlineData(3, 350)]
    public void A_file_that_ends_while_it_is_read_ends_the_measurement_with_its_own_error_on_any_number_of_threads(int threads, int second)
    {
        // Four groups of chunks: the error comes from the first, a middle or the last of them.
        var samples = new Ending(new Endless(16_000, 16_000 * 360), second * 16_000L);
        Assert.Throws<EndOfStreamException>(() => LevelAnalysis.Measure(samples, 0, 0, samples.Frames, new() { MaxThreads = threads }, cancellation: TestContext.Current.CancellationToken));
    }

    /// <summary>A recording that cannot be read from a frame on.</summary>
    private sealed class Ending(SampleSource whole, long from) : SampleSource
    {
        public override int SampleRate => whole.SampleRate;

        public override int Channels => 1;

        public override long Frames => whole.Frames;

        public override void Read(int channel, long firstFrame, Span<double> destination)
        {
            if (firstFrame + destination.Length > from && firstFrame < from + 16_000) throw new EndOfStreamException("The file became shorter.");
            whole.Read(channel, firstFrame, destination);
        }
    }

    private sealed class Told : IProgress<double>
    {
        internal List<double> Shares { get; } = [];

        public void Report(double value)
        {
            lock (Shares) Shares.Add(value);
        }
    }

    /// <summary>A recording of any length that takes no memory.</summary>
    private sealed class Endless(int rate, long frames) : SampleSource
    {
        public override int SampleRate => rate;

        public override int Channels => 1;

        public override long Frames => frames;

        public override void Read(int channel, long firstFrame, Span<double> destination)
        {
            for (var i = 0; i < destination.Length; i++) destination[i] = ((firstFrame + i) * 7919 % 1009 / 1009.0) - 0.5;
        }

        internal void Levels(LevelSettings settings) =>
            LevelAnalysis.Measure(this, 0, 0, frames, settings, cancellation: TestContext.Current.CancellationToken);
    }
}
