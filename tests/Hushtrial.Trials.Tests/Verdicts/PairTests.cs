using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Verdicts;

namespace Hushtrial.Trials.Tests.Verdicts;

public class PairTests
{
    [Theory]
    [InlineData(3, 2.5, 2.0, VerdictKind.Different)]
    [InlineData(0.9, 0.8, 0.7, VerdictKind.DifferentWithinMargin)]
    [InlineData(0.2, 1.9, 1.7, VerdictKind.Equivalent)]
    [InlineData(0.2, 2.4, 1.9, VerdictKind.Unresolved)]
    [InlineData(-3, 2.5, 2.0, VerdictKind.Different)]
    public void The_order_of_the_questions_is_different_then_equivalent(double mean, double half95, double half90, VerdictKind expected) =>
        Assert.Equal(expected, PairRule.Decide(mean, half95, half90, margin: 2));

    /// <summary>Simulated power of the full method for 2 dB, 4 devices, occasion 0.4 (method, section 5): flights × donnings × takes, at sf 0.8 and 1.5.
    /// From nine donnings on the formula is stated to lie within 0.06; 300 simulated trials each scatter by 0.03.</summary>
    [Theory]
    [InlineData(3, 3, 2, 0.91, 0.63)]
    [InlineData(4, 3, 1, 0.93, 0.70)]
    [InlineData(6, 2, 1, 0.95, 0.72)]
    public void The_planning_formula_agrees_with_simulation_from_nine_donnings_on(int flights, int donnings, int takes, double small, double usual)
    {
        var design = new PlannedDesign(4, flights, donnings, takes);
        Assert.Equal(small, PairPower.Of(2, new(0.8, 0.4, 0.3, 0.6), design), 0.09);
        Assert.Equal(usual, PairPower.Of(2, new(1.5, 0.4, 0.3, 0.6), design), 0.09);
    }

    [Fact]
    public void Power_is_the_size_of_the_test_without_a_difference_and_grows_with_donnings()
    {
        var scatter = new PlannedScatter(1.6, 0.4, 0.3, 0.6);
        Assert.Equal(0.05, PairPower.Of(0, scatter, new(4, 3, 2, 2)), 1e-9);
        Assert.True(PairPower.Of(2, scatter, new(4, 6, 2, 2)) > PairPower.Of(2, scatter, new(4, 3, 2, 2)));
        Assert.True(PairPower.Of(2, scatter, new(4, 3, 2, 2), pairs: 6) < PairPower.Of(2, scatter, new(4, 3, 2, 2)));
    }

    /// <summary>The formula with critical values and tails of scipy 1.10 (studentized_range, t, nct): five conditions, seven donnings of two takes in as many flights.</summary>
    [Theory]
    [InlineData(1, 0.9359636530113274)]
    [InlineData(4, 0.8184288633867886)]
    [InlineData(10, 0.7475849134899896)]
    public void The_more_pairs_are_judged_at_once_the_less_power_is_left(int pairs, double expected) =>
        Assert.Equal(expected, PairPower.Of(2, new(0.8, 0.4, 0.3, 0.6), new(5, 7, 1, 2), pairs: pairs), 1e-6);

    /// <summary>Donnings for 80 % power by the same formula in scipy 1.10, four conditions; below nine one is added (method, section 5).</summary>
    [Theory]
    [InlineData(0.8, 1, 2, 6)]
    [InlineData(0.8, 3, 2, 8)]
    [InlineData(0.8, 6, 2, 9)]
    [InlineData(1.6, 1, 2, 13)]
    [InlineData(1.6, 3, 2, 17)]
    [InlineData(1.6, 6, 2, 19)]
    [InlineData(1.6, 6, 4, 7)]
    public void Donnings_needed_grow_with_the_pairs_judged_at_once(double donning, int pairs, double difference, int expected) =>
        Assert.Equal(expected, PairPower.DonningsNeeded(difference, 0.8, new(donning, 0.4, 0.3, 0.6), new(4, 1, 1, 2), pairs: pairs));

    /// <summary>Three donnings in a flight are not needed three at a time: four in two flights do, and one is added.</summary>
    [Fact]
    public void Donnings_are_counted_one_by_one_not_flight_by_flight() =>
        Assert.Equal(5, PairPower.DonningsNeeded(3, 0.8, new(0.8, 0.4, 0.3, 0.6), new(2, 1, 3, 2)));

    [Fact]
    public void Standings_name_who_is_unbeaten_without_calling_anybody_equal()
    {
        static PairResult Pair(string a, string b, double difference, VerdictKind verdict) => new(a, b, null,
            new(new(difference, 0, 0, 1, null, []), 0, 0, 0, 0, verdict, 0.5, 0.5, false, ""), null);
        PairResult[] pairs = [Pair("P", "Q", -6, VerdictKind.Different), Pair("P", "R", -6, VerdictKind.Different), Pair("Q", "R", -0.4, VerdictKind.Unresolved)];
        var standings = Standing.Of(pairs, EstimateScope.General);
        Assert.Equal(["Q", "R"], standings.Where(s => s.Unbeaten).Select(s => s.Condition));
        Assert.Equal(["Q", "R"], standings.Single(s => s.Condition == "P").BeatenBy);
        Assert.Equal("Best group: Q, R. Nothing was shown to beat any of them; which of them is best is not resolved.", Standing.Sentence(standings, c => c));
        pairs[2] = Pair("Q", "R", -0.4, VerdictKind.Equivalent);
        Assert.Contains("equivalent within the margin", Standing.Sentence(Standing.Of(pairs, EstimateScope.General), c => c), StringComparison.Ordinal);
    }
}
