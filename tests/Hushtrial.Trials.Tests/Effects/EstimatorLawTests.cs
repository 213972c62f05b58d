using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Effects;

/// <summary>Laws that readings obey, on the fixed example.</summary>
public class EstimatorLawTests
{
    private static readonly EstimatorSettings Settings = new();
    private static readonly QuantityFit Plain = Estimator.Fit(ExampleTable.Readings, ExampleTable.Traits, "LA", Settings);

    private static IReadOnlyList<Reading> Changed(Func<Reading, double> level) =>
        [.. ExampleTable.Readings.Select(r => r with { Values = new Dictionary<string, double>(StringComparer.Ordinal) { ["LA"] = level(r) } })];

    private static void Same(Estimate expected, Estimate actual, double tolerance)
    {
        Assert.Equal(expected.Value, actual.Value, tolerance);
        Assert.Equal(expected.Low, actual.Low, tolerance);
        Assert.Equal(expected.High, actual.High, tolerance);
    }

    [Fact]
    public void Another_calibration_changes_no_loss()
    {
        var shifted = Estimator.Fit(Changed(r => r.Values["LA"] - 37.2), ExampleTable.Traits, "LA", Settings);
        foreach (var device in ExampleTable.Devices)
        {
            Same(Plain.Loss(device).General!, shifted.Loss(device).General!, 1e-5);       // single precision of the nodes
            Same(Plain.Loss(device).AsWorn!, shifted.Loss(device).AsWorn!, 1e-5);
            Assert.Equal(Plain.Level(device).General!.Value - 37.2, shifted.Level(device).General!.Value, 1e-5);
        }
    }

    [Fact]
    public void A_flight_that_was_louder_throughout_changes_no_loss()
    {
        var louder = Estimator.Fit(Changed(r => r.Values["LA"] + (r.Flight == "F2" ? 6 : 0)), ExampleTable.Traits, "LA", Settings);
        Same(Plain.Loss("Q").General!, louder.Loss("Q").General!, 1e-5);
    }

    [Fact]
    public void The_order_of_rows_and_of_conditions_does_not_matter()
    {
        var generator = new SeededGenerator(12);
        var shuffled = ExampleTable.Readings.Select(r => (r, Key: generator.NextBits())).OrderBy(p => p.Key).Select(p => p.r).ToList();
        var other = Estimator.Fit(shuffled, [.. ExampleTable.Traits.Reverse()], "LA", Settings);
        Same(Plain.Difference("P", "R").General!, other.Difference("P", "R").General!, 1e-5);
        Same(Plain.Loss("S").AsWorn!, other.Loss("S").AsWorn!, 1e-5);
    }

    [Fact]
    public void Turning_a_pair_round_turns_its_interval_round()
    {
        Estimate ab = Plain.Difference("P", "Q").General!, ba = Plain.Difference("Q", "P").General!;
        Assert.Equal(ab.Value, -ba.Value, 1e-9);
        Assert.Equal(ab.Low, -ba.High, 1e-6);
    }

    [Fact]
    public void A_further_take_at_the_mean_of_its_episode_never_widens_as_worn_losses()
    {
        var all = ExampleTable.Readings;
        foreach (var episode in new[] { "E02", "E06", "E10" })
        {
            var mates = all.Where(r => r.Episode == episode).ToList();
            var extra = mates[0] with { Clock = mates.Average(r => r.Clock), Values = new Dictionary<string, double>(StringComparer.Ordinal) { ["LA"] = mates.Average(r => r.Values["LA"]) } };
            var more = Estimator.Fit([.. all, extra], ExampleTable.Traits, "LA", Settings);
            foreach (var device in ExampleTable.Devices)
                Assert.True(more.Loss(device).AsWorn!.StandardUncertainty <= Plain.Loss(device).AsWorn!.StandardUncertainty + 1e-4);
        }
    }

    [Fact]
    public void A_missing_value_costs_only_that_quantity()
    {
        var holes = ExampleTable.Readings.Select((r, i) => i == 3 ? r with { Values = r.Values.Where(v => v.Key != "L125").ToDictionary(StringComparer.Ordinal) } : r).ToList();
        var fits = Estimator.FitAll(holes, ExampleTable.Traits, ExampleTable.Quantities, Settings);
        Same(Plain.Loss("P").General!, fits["LA"].Loss("P").General!, 1e-9);
        Assert.NotNull(fits["L125"].Loss("P").General);
    }

    [Fact]
    public void What_moves_all_levels_alike_cancels_in_a_loss_and_counts_in_a_level()
    {
        var knowledge = new QuantityKnowledge([UncertaintySource.SharedByAll("calibration", 1.0), UncertaintySource.OfOne("P", "cable", 0.8), UncertaintySource.OfCovered("gain", 0.5)]);
        var fit = Estimator.Fit(ExampleTable.Readings, ExampleTable.Traits, "LA", Settings, knowledge);
        double U(Effect e) => e.General!.StandardUncertainty;
        double Added(Effect with, Effect without) => Math.Sqrt(U(with) * U(with) - U(without) * U(without));
        Assert.Equal(0.5, Added(fit.Loss("Q"), Plain.Loss("Q")), 1e-3);
        Assert.Equal(Math.Sqrt(0.89), Added(fit.Loss("P"), Plain.Loss("P")), 1e-3);
        Assert.Equal(0.8, Added(fit.Difference("P", "Q"), Plain.Difference("P", "Q")), 1e-3);     // gain and calibration are gone
        Assert.Equal(U(Plain.Difference("R", "Q")), U(fit.Difference("R", "Q")), 1e-6);
        Assert.Equal(Math.Sqrt(1.25), Added(fit.Level("Q"), Plain.Level("Q")), 1e-3);
        Assert.DoesNotContain(fit.Loss("Q").General!.Budget, l => l.Source == "calibration");
    }

    [Fact]
    public void The_budget_adds_up_and_draws_agree_with_it()
    {
        var knowledge = new QuantityKnowledge([UncertaintySource.OfCovered("gain", 0.5)]);
        var fit = Estimator.Fit(ExampleTable.Readings, ExampleTable.Traits, "LA", Settings, knowledge);
        foreach (var scope in new[] { EstimateScope.General, EstimateScope.AsWorn })
        {
            var estimate = fit.Loss("Q").In(scope)!;
            Assert.Equal(estimate.StandardUncertainty, Math.Sqrt(estimate.Budget.Sum(l => l.StandardUncertainty * l.StandardUncertainty)), 1e-4);
            var draws = fit.In(scope)!.Draws(LevelContrast.Loss("Q"));
            var mean = draws.Average();
            var sd = Math.Sqrt(draws.Average(d => (d - mean) * (d - mean)));
            Assert.Equal(1, sd / estimate.StandardUncertainty, 0.02);       // 10 % is asked; 200 000 draws of a heavy-tailed mixture give 1 %
        }
    }

    [Fact]
    public void Modes_of_one_donning_share_its_scatter()
    {
        // Active and passive in the same three donnings: their difference knows nothing of the donning.
        var generator = new SeededGenerator(5);
        var readings = new List<Reading>();
        for (var d = 0; d < 3; d++)
        {
            var fit = 3 * generator.NextNormal();
            foreach (var (condition, level, clock) in new[] { ("open", 95.0, 0), ("passive", 75 - fit, 60), ("active", 68 - fit, 90), ("open", 95.0, 150) })
                readings.Add(new("F1", null, 600 * d + clock, $"{d}/{clock}", condition == "open" ? null : $"D{d}", condition,
                    new Dictionary<string, double>(StringComparer.Ordinal) { ["LA"] = level + 0.3 * generator.NextNormal() }));
        }
        var result = Estimator.Fit(readings, [], "LA", Settings);
        Assert.True(result.Difference("active", "passive").General!.StandardUncertainty < 0.6 * result.Loss("passive").General!.StandardUncertainty);
    }

    [Fact]
    public void A_device_declared_to_scatter_more_gets_the_wider_interval()
    {
        var fit = Estimator.Fit(ExampleTable.Readings, [new("P", 2), new("Q"), new("R"), new("S")], "LA", Settings);
        Assert.True(fit.Loss("P").General!.StandardUncertainty > 1.4 * fit.Loss("S").General!.StandardUncertainty);
    }

    [Fact]
    public void Classes_with_a_scatter_of_their_own_are_told_apart()
    {
        var generator = new SeededGenerator(9);
        var readings = new List<Reading>();
        for (var f = 0; f < 4; f++)
            for (var e = 0; e < 9; e++)
            {
                var condition = e % 3 == 0 ? "open" : e % 3 == 1 ? "muff" : "plug";
                var scatter = condition == "plug" ? 4.0 : condition == "muff" ? 0.5 : 0;
                readings.Add(new($"F{f}", null, 90 * e, $"{f}/{e}", condition == "open" ? null : $"D{f}/{e}", condition,
                    new Dictionary<string, double>(StringComparer.Ordinal) { ["LA"] = 95 - (condition == "open" ? 0 : 20) + (scatter + 0.2) * generator.NextNormal() }));
            }
        var fit = Estimator.Fit(readings, [new("muff", 1, "over-ear"), new("plug", 1, "in-canal")], "LA", Settings with { ScatterPerClass = true });
        var sd = fit.General!.Components.ToDictionary(c => c.Key, c => c.Value, StringComparer.Ordinal);
        Assert.True(sd["fit in-canal"] > 2.5 * sd["fit over-ear"]);
        Assert.True(fit.Loss("plug").General!.StandardUncertainty > 2 * fit.Loss("muff").General!.StandardUncertainty);
    }

    [Fact]
    public void Three_wearers_bring_their_own_scatter_into_the_general_scope()
    {
        var generator = new SeededGenerator(21);
        var readings = new List<Reading>();
        foreach (var wearer in new[] { "a", "b", "c", "d" })
        {
            var person = 3 * generator.NextNormal();
            for (var e = 0; e < 6; e++)
                readings.Add(new("F1", wearer, 90 * e, $"{wearer}/{e}", e % 2 == 0 ? null : $"{wearer}{e}", e % 2 == 0 ? "open" : "Alder",
                    new Dictionary<string, double>(StringComparer.Ordinal) { ["LA"] = 95 - (e % 2 == 0 ? 0 : 20 + person) + 0.3 * generator.NextNormal() }));
        }
        var fit = Estimator.Fit(readings, [], "LA", Settings);
        Assert.Contains(fit.General!.Components, c => c.Key == Priors.Wearer && c.Value > 1.5);
        Assert.Contains(fit.Loss("Alder").General!.Budget, l => l.Source == "differences between wearers");
        Assert.True(fit.Loss("Alder").General!.StandardUncertainty > 3 * fit.Loss("Alder").AsWorn!.StandardUncertainty);
    }

    [Fact]
    public void One_reading_six_decibels_off_is_flagged_and_good_readings_are_not()
    {
        Assert.Empty(OutlyingReadings.Find(ExampleTable.Readings, ExampleTable.Traits, Plain));
        var spoiled = ExampleTable.Readings.Select((r, i) => i == 10 ? r with { Values = new Dictionary<string, double>(StringComparer.Ordinal) { ["LA"] = r.Values["LA"] + 6 } } : r).ToList();
        var found = Assert.Single(OutlyingReadings.Find(spoiled, ExampleTable.Traits, Estimator.Fit(spoiled, ExampleTable.Traits, "LA", Settings)));
        Assert.Equal(10, found.Position);
        Assert.Equal(6, found.DeviationDecibels, 1.0);        // three sds of a mean of two takes
    }
}
