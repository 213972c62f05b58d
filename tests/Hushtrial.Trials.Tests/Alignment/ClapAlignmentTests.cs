using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Alignment;

namespace Hushtrial.Trials.Tests.Alignment;

/// <summary>Claps: onsets found to the sample, and groups of them matched.</summary>
public sealed class ClapAlignmentTests
{
    private const int Rate = 48_000;

    private sealed class Memory(double[] samples) : SampleSource
    {
        public override int SampleRate => Rate;

        public override int Channels => 1;

        public override long Frames => samples.Length;

        public override void Read(int channel, long firstFrame, Span<double> destination) => samples.AsSpan((int)firstFrame, destination.Length).CopyTo(destination);
    }

    /// <summary>Noise of a steady cabin, with claps (noise that dies out within 10 ms) at frames.</summary>
    private static Memory Sound(ulong seed, double seconds, params int[] claps)
    {
        var random = new SeededGenerator(seed);
        var samples = new double[(int)(seconds * Rate)];
        double brown = 0;
        for (var i = 0; i < samples.Length; i++) samples[i] = brown = (0.98 * brown) + (0.005 * random.NextNormal());
        foreach (var clap in claps)
            for (var i = 0; i < 2000; i++) samples[clap + i] += 0.5 * Math.Exp(-i / 200.0) * (i == 0 ? 3 : random.NextNormal());
        return new(samples);
    }

    [Fact]
    public void Onsets_are_found_to_the_sample()
    {
        int[] claps = [50_000, 131_313, 200_001, 300_000];
        var found = Claps.Of(Sound(1, 10, claps), 0, TestContext.Current.CancellationToken);
        Assert.Equal(claps, found.Select(t => (int)Math.Round(t * Rate)));
        Assert.Empty(Claps.Of(Sound(2, 10), 0, TestContext.Current.CancellationToken));
        Assert.Empty(Claps.Of(new Memory(new double[Rate]), 0, TestContext.Current.CancellationToken));
    }

    [Fact]
    public void Three_claps_at_either_end_give_offset_and_drift()
    {
        double[] claps = [12, 12.9, 14.3, 7000, 7001.3, 7001.9];
        var random = new SeededGenerator(3);
        // Knocks that the other one did not hear.
        List<double> reference = [.. claps.Concat(Enumerable.Range(0, 30).Select(_ => 7200 * random.NextUniform())).Order()];
        List<double> other = [.. claps.Select(c => (c - 5.5) / (1 + 65e-6)).Concat(Enumerable.Range(0, 30).Select(_ => 7200 * random.NextUniform())).Order()];
        var fit = ClapAlignment.Align(reference, other);
        Assert.Null(fit.Refusal);
        Assert.Equal((5.5, 65), (fit.Offset, fit.DriftPpm), new Near(0.001, 0.5));
        Assert.Equal(6, fit.Used);
    }

    [Fact]
    public void One_clap_regular_claps_and_knocks_by_chance_are_refused()
    {
        Assert.NotNull(ClapAlignment.Align([10], [12]).Refusal);
        double[] regular = [10, 11, 12, 13, 14, 15];
        Assert.Contains("rhythm", ClapAlignment.Align(regular, [.. regular.Select(c => c + 3)]).Refusal, StringComparison.Ordinal);
        for (var seed = 0UL; seed < 200; seed++)
        {
            var random = new SeededGenerator(100 + seed);
            double[] Knocks() => [.. Enumerable.Range(0, Claps.Most).Select(_ => 7200 * random.NextUniform()).Order()];
            Assert.NotNull(ClapAlignment.Align(Knocks(), Knocks()).Refusal);
        }
    }

    private sealed class Near(double offset, double drift) : IEqualityComparer<(double, double)>
    {
        public bool Equals((double, double) x, (double, double) y) => Math.Abs(x.Item1 - y.Item1) < offset && Math.Abs(x.Item2 - y.Item2) < drift;

        public int GetHashCode((double, double) obj) => 0;
    }
}
