using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Alignment;

namespace Hushtrial.Trials.Tests.Alignment;

/// <summary>Level curves laid on each other, against the truth of a simulation: 0.1 s over two hours, clocks up to 100 ppm apart, starts up to an hour apart.</summary>
public sealed class CurveAlignmentTests
{
    private const double TwoHours = 7200;
    private const double Apart = 3500;

    /// <summary>Error at the worse end of the common time, s; null when it was refused.</summary>
    private static double? Error(ulong seed, double step, double seconds, double apart)
    {
        var random = new SeededGenerator(seed);
        var cabin = new SimulatedCurves(random, seconds + (2 * apart) + 60);
        var (begins, ppm, own) = (apart + SimulatedCurves.Between(random, -apart, apart), SimulatedCurves.Between(random, -100, 100), SimulatedCurves.Between(random, -50, 50));
        var reference = cabin.Read(random, apart, own, seconds, 0.125, devices: true);
        var fit = CurveAlignment.Align(reference, cabin.Read(random, begins, ppm, seconds, step, devices: false));
        if (!fit.IsAccepted) return null;
        double Off(double time) => Math.Abs(fit.Offset + (time * (1 + (fit.DriftPpm * 1e-6))) - ((begins - apart + (time * (1 + (ppm * 1e-6)))) / (1 + (own * 1e-6))));
        return Math.Max(Off(Math.Max(0, apart - begins)), Off(Math.Min(seconds, seconds + apart - begins)));
    }

    private static double?[] Errors(int cases, ulong seed, double step, double seconds, double apart)
    {
        var errors = new double?[cases];
        Parallel.For(0, cases, new ParallelOptions { MaxDegreeOfParallelism = 2 }, i => errors[i] = Error(seed + (ulong)i, step, seconds, apart));
        return errors;
    }

    [Fact]
    public void Two_recorders_agree_to_a_tenth_of_a_second_over_two_hours()
    {
        var errors = Errors(50, 1, 0.125, TwoHours, Apart);
        Assert.All(errors, e => Assert.True(e is null or < 0.1, $"{e} s off"));
        Assert.InRange(errors.Count(e => e is not null), 40, 50);
        Assert.InRange(errors.OfType<double>().Order().ElementAt(20), 0.001, 0.03);
    }

    [Fact]
    public void A_log_of_seconds_and_a_recorder_agree_to_a_tenth_of_a_second_over_two_hours()
    {
        var errors = Errors(50, 1000, 1, TwoHours, Apart);
        Assert.All(errors, e => Assert.True(e is null or < 0.1, $"{e} s off"));
        Assert.InRange(errors.Count(e => e is not null), 25, 50);
    }

    [Fact]
    public void Short_recordings_are_laid_as_well_or_refused()
    {
        var errors = Errors(40, 2000, 0.125, 900, 300);
        Assert.All(errors, e => Assert.True(e is null or < 0.1, $"{e} s off"));
        Assert.InRange(errors.Count(e => e is not null), 8, 40);
    }

    [Fact]
    public void Curves_of_two_cabins_are_refused()
    {
        Parallel.For(0, 20, new ParallelOptions { MaxDegreeOfParallelism = 2 }, i =>
        {
            var random = new SeededGenerator(3000 + (ulong)i);
            var (first, second) = (new SimulatedCurves(random, TwoHours / 2), new SimulatedCurves(random, TwoHours / 2));
            var fit = CurveAlignment.Align(first.Read(random, 0, 0, TwoHours / 2, 0.125, true), second.Read(random, 0, 30, TwoHours / 2, i % 2 == 0 ? 0.125 : 1, false));
            Assert.False(fit.IsAccepted, fit.Evidence);
        });
    }

    [Fact]
    public void Work_that_repeats_itself_and_levels_that_do_not_move_are_refused()
    {
        var random = new SeededGenerator(5);
        LevelCurve Strokes(double late) => LevelCurve.OfSteps(0.125, [.. Enumerable.Range(0, 14_400).Select(i => 80 + (((i * 0.125) + late) % 9.5 < 1.5 ? 4 : 0) + (0.5 * random.NextNormal()))]);
        var fit = CurveAlignment.Align(Strokes(0), Strokes(2));
        Assert.Contains("several offsets", fit.Refusal, StringComparison.Ordinal);
        Assert.NotNull(CurveAlignment.Align(LevelCurve.OfSteps(1, new double[2000]), LevelCurve.OfSteps(1, new double[2000])).Refusal);
        Assert.NotNull(CurveAlignment.Align(LevelCurve.OfSteps(1, new double[10]), Strokes(0)).Refusal);
    }

    [Fact]
    public void Seen_from_the_other_instrument_it_is_the_same_line()
    {
        var random = new SeededGenerator(6);
        var cabin = new SimulatedCurves(random, 4000);
        var (a, b) = (cabin.Read(random, 100, 0, 3000, 0.125, true), cabin.Read(random, 400, 80, 3000, 0.25, false));
        var (there, back) = (CurveAlignment.Align(a, b), CurveAlignment.Align(b, a));
        Assert.Null(there.Refusal);
        Assert.Equal(300, there.Offset, 0.1);
        Assert.Equal(there.Offset, back.Reversed().Offset, 1e-9);
        Assert.Equal(there.DriftPpm, back.Reversed().DriftPpm, 1e-6);
    }

    [Fact]
    public void Missing_levels_are_left_out_and_change_little()
    {
        var random = new SeededGenerator(7);
        var cabin = new SimulatedCurves(random, 4000);
        var (a, b) = (cabin.Read(random, 0, 0, 3600, 0.125, true), cabin.Read(random, 200, 40, 3600, 1, false));
        var whole = CurveAlignment.Align(a, b);
        var holes = CurveAlignment.Align(a, b with { Levels = [.. b.Levels.Select((l, i) => i % 400 < 40 ? double.NaN : l)] });
        Assert.Null(whole.Refusal);
        Assert.Null(holes.Refusal);
        Assert.Equal(whole.Offset, holes.Offset, 0.1);
    }
}
