using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Verdicts;

namespace Hushtrial.Trials.Tests.Effects;

/// <summary>What may be said of very small designs (method 2.4): the honest answer, never NaN, never a crash.</summary>
public class SmallDesignTests
{
    private static Reading Read(string flight, double? clock, string? donning, string condition, double level) =>
        new(flight, null, clock, $"{flight}/{clock}/{condition}", donning, condition, new Dictionary<string, double>(StringComparer.Ordinal) { ["LA"] = level });

    private static QuantityFit Fit(params Reading[] readings) => Estimator.Fit(readings, [], "LA", new EstimatorSettings());

    private static double Half(Estimate? e) => (e!.High - e.Low) / 2;

    [Fact]
    public void One_open_and_one_device_reading_rest_on_the_prior_alone()
    {
        var loss = Fit(Read("F1", 0, null, "open", 95), Read("F1", 60, "D1", "Alder", 75)).Loss("Alder");
        Assert.Equal(20, loss.General!.Value, 1e-6);
        Assert.Equal(7.2, Half(loss.General), 0.15);        // the method prints tenths, from its own grid
        Assert.Equal(5.2, Half(loss.AsWorn), 0.15);
        Assert.Contains("assumed donning scatter of 1.6 dB (0.5", loss.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_an_open_ear_only_differences_are_said()
    {
        var fit = Fit(Read("F1", 0, "D1", "Alder", 75), Read("F1", 60, "D2", "Birch", 70), Read("F1", 120, "D3", "Alder", 76));
        var loss = fit.Loss("Alder");
        Assert.Null(loss.General);
        Assert.Null(loss.AsWorn);
        Assert.Equal("no open-ear reading: only differences between devices can be said", loss.Reason);
        Assert.True(double.IsFinite(fit.Difference("Alder", "Birch").General!.Value));
        Assert.NotNull(fit.Level("Alder").General);
        Assert.Null(fit.Level("open").General);
    }

    [Fact]
    public void A_device_never_read_beside_anything_has_no_loss_and_the_others_keep_theirs()
    {
        var fit = Fit(Read("F1", 0, null, "open", 95), Read("F1", 60, "D1", "Alder", 75), Read("F2", 0, "D2", "Birch", 70));
        Assert.NotNull(fit.Loss("Alder").General);
        var birch = fit.Loss("Birch");
        Assert.Null(birch.General);
        Assert.Equal("never read in one flight with anything it could be compared to", birch.Reason);
    }

    [Fact]
    public void A_quantity_nobody_read_says_so()
    {
        var fit = Estimator.Fit([Read("F1", 0, null, "open", 95)], [], "LC", new EstimatorSettings());
        Assert.Equal("no reading of LC", fit.Loss("Alder").Reason);
        Assert.Equal("no reading of LA under Alder", Fit(Read("F1", 0, null, "open", 95)).Loss("Alder").Reason);
    }

    [Fact]
    public void A_comparison_across_unlinked_flights_is_not_invented()
    {
        var fit = Fit(Read("F1", 0, "D1", "Alder", 75), Read("F2", 0, "D2", "Birch", 70));
        Assert.Null(fit.Difference("Alder", "Birch").General);
        Assert.Null(PairFamily.Compare(fit.General!, [("Alder", "Birch")], fit.Settings));
    }

    [Fact]
    public void A_single_donning_each_can_be_called_different_only_when_far_apart()
    {
        static PairVerdict Pair(double second) => PairFamily.Compare(Fit(Read("F1", 0, null, "open", 95), Read("F1", 60, "D1", "Alder", 75), Read("F1", 120, "D2", "Birch", second),
            Read("F1", 180, null, "open", 95)).General!, [("Alder", "Birch")], new EstimatorSettings())!.Pairs[0]!;
        Assert.Equal(VerdictKind.Unresolved, Pair(70).Verdict);
        Assert.Equal(VerdictKind.Different, Pair(60).Verdict);
        Assert.Contains("remain possible", Pair(70).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_a_clock_episodes_are_a_minute_apart()
    {
        Reading[] Timed(Func<int, double?> clock) => [Read("F1", clock(1), null, "open", 95), Read("F1", clock(2), "D1", "Alder", 75), Read("F1", clock(3), "D2", "Birch", 71), Read("F1", clock(4), null, "open", 96)];
        Reading[] noClock = [.. Timed(i => i).Select(r => r with { Clock = null })];
        Assert.Equal(Fit(Timed(i => 60 * i)).Loss("Birch").General!.High, Fit(noClock).Loss("Birch").General!.High, 1e-9);
    }

    [Fact]
    public void Coarse_readings_carry_their_rounding()
    {
        // Three equal noted readings look free of scatter; with a step of 1 dB they are not.
        Reading[] readings = [.. Enumerable.Range(0, 3).Select(i => Read("F1", 0, null, "open", 95) with { Episode = "A" }), .. Enumerable.Range(0, 3).Select(i => Read("F1", 90, "D1", "Alder", 75) with { Episode = "B" })];
        var smooth = Estimator.Fit(readings, [], "LA", new EstimatorSettings()).Loss("Alder").AsWorn!;
        var coarse = Estimator.Fit(readings, [], "LA", new EstimatorSettings { ReadingStep = 1 }).Loss("Alder").AsWorn!;
        Assert.True(coarse.StandardUncertainty > smooth.StandardUncertainty);
        Assert.Contains(coarse.Budget, l => l.Source == "rounding of readings" && Math.Abs(l.StandardUncertainty - Math.Sqrt(2.0 / 36)) < 0.01);     // 2 × (1/12) / 3
        Assert.DoesNotContain(smooth.Budget, l => l.Source == "rounding of readings");
    }

    [Fact]
    public void A_floor_under_the_take_scatter_widens_what_looks_too_quiet()
    {
        Reading[] readings = [.. Enumerable.Range(0, 6).Select(i => Read("F1", 60 * (i / 2), i / 2 == 1 ? "D1" : null, i / 2 == 1 ? "Alder" : "open", i / 2 == 1 ? 75 : 95) with { Episode = $"{i / 2}" })];
        var free = Estimator.Fit(readings, [], "LA", new EstimatorSettings());
        var floored = Estimator.Fit(readings, [], "LA", new EstimatorSettings(), new QuantityKnowledge([], TakeScatterFloor: 0.8));
        double Take(QuantityFit f) => f.General!.Components.Single(c => c.Key == Priors.Take).Value;
        Assert.True(Take(free) < 0.4);
        Assert.InRange(Take(floored), 0.6, 1.0);
    }
}
