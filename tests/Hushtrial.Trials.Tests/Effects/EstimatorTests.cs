using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Verdicts;

namespace Hushtrial.Trials.Tests.Effects;

/// <summary>The fixed example against values computed by another program on a grid of 35 343 nodes (reference/statistics).</summary>
public class EstimatorTests
{
    private static readonly EstimatorSettings Settings = new();
    private static readonly IReadOnlyDictionary<string, QuantityFit> Fits = Estimator.FitAll(ExampleTable.Readings, ExampleTable.Traits, ExampleTable.Quantities, Settings);

    public static TheoryData<string, string> Cases { get; } = new(
        from q in ExampleTable.Quantities from s in new[] { "general", "asworn" } select (q, s));

    [Theory, MemberData(nameof(Cases))]
    public void The_fixed_example_is_reproduced(string quantity, string scope)
    {
        var expected = ExampleTable.Expected("example1_expected_primary.json").GetProperty(quantity).GetProperty(scope);
        var fit = Fits[quantity].In(scope == "asworn" ? EstimateScope.AsWorn : EstimateScope.General)!;
        var pairs = PairFamily.AllPairs(ExampleTable.Devices);
        var family = PairFamily.Compare(fit, pairs, Settings)!;
        // Tolerances: the reference grid is finer than ours (0.011 dB worst), draws move critical values by 0.005.
        Assert.Equal(expected.GetProperty("crit95").GetDouble(), family.Critical95, 0.03);
        Assert.Equal(expected.GetProperty("crit90").GetDouble(), family.Critical90, 0.03);
        foreach (var component in expected.GetProperty("posterior_mean_sd").EnumerateObject())
            Assert.Equal(component.Value.GetDouble(), fit.Components.Single(c => c.Key == component.Name).Value, 0.02);
        var seen = 0;
        foreach (var row in expected.GetProperty("contrasts").EnumerateArray())
        {
            var name = row.GetProperty("contrast").GetString()!;
            var contrast = name.StartsWith("IL_", StringComparison.Ordinal) ? LevelContrast.Loss(name[3..]) : LevelContrast.Difference(name[..1], name[2..]);
            var posterior = fit.Along(contrast)!;
            Assert.Equal(row.GetProperty("mean").GetDouble(), posterior.Mean, 0.03);
            Assert.Equal(row.GetProperty("sd").GetDouble(), posterior.Sd, 0.03);
            Assert.Equal(row.GetProperty("lower95").GetDouble(), posterior.Quantile(0.025), 0.05);
            Assert.Equal(row.GetProperty("upper95").GetDouble(), posterior.Quantile(0.975), 0.05);
            Assert.Equal(row.GetProperty("lower90").GetDouble(), posterior.Quantile(0.05), 0.05);
            Assert.Equal(row.GetProperty("upper90").GetDouble(), posterior.Quantile(0.95), 0.05);
            seen++;
            if (!row.TryGetProperty("verdict", out var verdict)) continue;
            var pair = family.Pairs[pairs.ToList().IndexOf((name[..1], name[2..]))]!;
            Assert.Equal(row.GetProperty("simul_lower95").GetDouble(), pair.SimultaneousLow95, 0.05);
            Assert.Equal(row.GetProperty("simul_upper95").GetDouble(), pair.SimultaneousHigh95, 0.05);
            Assert.Equal(row.GetProperty("P_greater_0").GetDouble(), pair.ProbabilityPositive, 0.01);
            Assert.Equal(row.GetProperty("P_abs_below_2").GetDouble(), pair.ProbabilityWithinMargin, 0.01);
            Assert.Equal(verdict.GetString(), Word(pair.Verdict));
            if (row.TryGetProperty("verdict_if_donning_sd_prior_halved_doubled", out var others))
                Assert.Equal(others.EnumerateArray().Any(o => o.GetString() != verdict.GetString()), pair.DependsOnPrior);
        }
        Assert.Equal(10, seen);
    }

    private static string Word(VerdictKind verdict) => verdict switch
    {
        VerdictKind.Different => "different",
        VerdictKind.DifferentWithinMargin => "different, by less than the margin",
        VerdictKind.Equivalent => "equivalent",
        _ => "unresolved",
    };
}
