using CsCheck;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Planning;

namespace Hushtrial.Trials.Tests.Planning;

public class PlanTests
{
    private static PlannedDevice[] Devices(int count) => [.. Enumerable.Range(0, count).Select(i => new PlannedDevice($"Device {i}", []))];

    /// <summary>Williams, Aust. J. Sci. Res. A 2 (1949): every item once in every row, equally often in every place and after every other.</summary>
    [Fact]
    public void Williams_rows_are_balanced_for_places_and_predecessors() => Gen.Int[2, 11].Sample(n =>
    {
        var rows = WilliamsRows.Of(n);
        Assert.Equal(n % 2 == 0 ? n : 2 * n, rows.Count);
        Assert.All(rows, r => Assert.Equal(Enumerable.Range(0, n), r.Order()));
        for (var place = 0; place < n; place++)
            Assert.All(rows.GroupBy(r => r[place]), g => Assert.Equal(rows.Count / n, g.Count()));
        var followed = rows.SelectMany(r => r.Zip(r.Skip(1))).GroupBy(p => p).ToList();
        Assert.Equal(n * (n - 1), followed.Count);
        Assert.Single(followed.Select(g => g.Count()).Distinct());
    });

    [Fact]
    public void First_row_is_1_2_n_3_and_so_on() => Assert.Equal([0, 1, 5, 2, 4, 3], WilliamsRows.Of(6)[0]);

    [Fact]
    public void Orders_obey_their_rules() => Gen.Select(Gen.Int[1, 7], Gen.Int[1, 4], Gen.Int[1, 3], Gen.Int[1, 3], Gen.ULong).Sample((n, flights, donnings, takes, seed) =>
    {
        var order = MeasuringOrder.Draw(Devices(n), flights, donnings, takes, openEar: true, seed);
        foreach (var flight in order.Steps.GroupBy(s => s.Flight))
        {
            var steps = flight.ToList();
            Assert.Null(steps[0].Device);
            Assert.Null(steps[^1].Device);
            Assert.All(steps.Where(s => s.Device is not null).GroupBy(s => s.Device), g => Assert.Equal(donnings, g.Count()));
            var run = 0;
            foreach (var step in steps)
            {
                run = step.Device is null ? 0 : run + 1;
                Assert.True(run <= MeasuringOrder.DonningsBetweenBrackets);
                if (step.Device is null) Assert.Equal(MeasuringOrder.BracketTakes, step.Takes.Count);
            }
            var worn = steps.Where(s => s.Device is not null).Select(s => s.Device).ToList();
            if (n > 1) Assert.DoesNotContain(worn.Zip(worn.Skip(1)), p => p.First == p.Second);
        }
        Assert.Equal(n, order.Codes.Select(c => c.Key).Distinct().Count());
    }, iter: 200);

    [Fact]
    public void Modes_go_there_and_back_inside_a_donning()
    {
        var order = MeasuringOrder.Draw([new("Birch", ["on", "off"])], 1, 1, 2, openEar: false, seed: 1);
        Assert.Equal(["on", "off", "off", "on"], order.Steps.Single().Takes);
    }

    [Fact]
    public void Equal_seeds_give_equal_orders_and_others_do_not()
    {
        static string Text(ulong seed) => string.Join(' ', MeasuringOrder.Draw(Devices(5), 2, 2, 2, openEar: true, seed).Steps.Select(s => s.Code + s.Device));
        Assert.Equal(Text(3), Text(3));
        Assert.NotEqual(Text(3), Text(4));
    }

    /// <summary>NIOSH 98-126, table 1-1: 100 dB(A) is allowed for 15 min, so 5 min are a third of the day.</summary>
    [Fact]
    public void The_open_ear_is_refused_when_it_eats_the_day()
    {
        var order = MeasuringOrder.Draw(Devices(2), 1, 1, 1, openEar: true, seed: 1);          // two brackets of two takes, two changes
        var dose = OpenEarDose.Of(order, Level.FromDecibels(100), TimeSpan.FromSeconds(67.5), RuleSets.Niosh);
        Assert.Equal(300, dose.TimePerFlight.TotalSeconds, 1e-9);
        Assert.Equal(100.0 / 3, dose.DosePercent, 0.7);                                       // the table rounds 15.1 min to 15
        Assert.True(dose.Refused);
        Assert.False(OpenEarDose.Of(order, Level.FromDecibels(94), TimeSpan.FromSeconds(67.5), RuleSets.Niosh).Refused);
        Assert.Equal(4, OpenEarDose.Alternatives.Count);
    }

    [Fact]
    public void The_safety_card_asks_nothing_of_the_pilot_flying()
    {
        Assert.StartsWith("The pilot flying has no task", SafetyCard.Sections[0].Points[0], StringComparison.Ordinal);
        Assert.All(SafetyCard.Sections, s => Assert.NotEmpty(s.Points));
    }

    [Fact]
    public void A_plan_says_what_it_can_find_and_what_would_do()
    {
        var plan = TrialPlan.For(new(Devices(4), 2, 1, 3, TimeSpan.FromSeconds(15), 2, new(1.6, 0.4, 0.3, 0.6), OpenEar: true, Seed: 1));
        Assert.True(plan.FormulaOptimistic);
        Assert.InRange(plan.PowerOnePair, 0.1, 0.5);
        Assert.True(plan.PowerAllPairs < plan.PowerOnePair);
        Assert.InRange(plan.DonningsNeeded!.Value, 11, 17);      // the method prints 14 for a scatter of 1.6 dB and 2 dB
        Assert.Contains(plan.Advice, a => a.StartsWith("Put every device on", StringComparison.Ordinal));
    }
}
