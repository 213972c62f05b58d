using Hushtrial.Trials.Proof;

namespace Hushtrial.Trials.Tests.Proof;

public class LevelProofTests
{
    private static ProofDesign Design(string name) => ProofDesign.All.First(d => d.Name == name);

    private static ProofScenario Scenario(string name) => ProofScenario.All.First(s => s.Name == name);

    /// <summary>Coverage and half-width of the method's table (2.3), within four simulation errors of 100 trials.</summary>
    [Theory]
    [InlineData("D3", "base", 0.97, 3.7)]
    [InlineData("D4", "base", 0.95, 2.7)]
    [InlineData("D3", "quiet", 1.00, null)]
    [InlineData("D3", "loose", 0.90, null)]
    public void Coverage_is_that_of_the_method(string design, string scenario, double coverage, double? halfWidth)
    {
        var cell = LevelProof.Run(Design(design), Scenario(scenario), 100, seed: 20, cancellation: TestContext.Current.CancellationToken);
        Assert.Equal(coverage, cell.Coverage.Value!.Value, 4 * cell.Coverage.Error + 0.005);
        if (halfWidth is { } hw) Assert.Equal(hw, cell.HalfWidth, 0.3);
        Assert.Equal(0, cell.WrongSign.Value!.Value, 4 * cell.WrongSign.Error);
    }

    /// <summary>Intervals of the other two quantities: of conditions, pairs and as worn, nominally 0.95, within four simulation errors of 60 trials below and free above.</summary>
    [Theory]
    [InlineData("D3", "level-difference")]
    [InlineData("D3", "active-part")]
    public void The_other_quantities_are_covered(string design, string scenario)
    {
        var cell = LevelProof.Run(Design(design), Scenario(scenario), 60, seed: 21, cancellation: TestContext.Current.CancellationToken);
        foreach (var share in new[] { cell.Coverage, cell.CoverageAsWorn, cell.CoverageLoss }) Assert.True(share.Value >= 0.95 - (4 * share.Error));
        Assert.Equal(0, cell.WrongSign.Value!.Value, 4 * cell.WrongSign.Error);
        // The seal, 3 dB from donning to donning, is not in an active part.
        if (scenario == "active-part") Assert.True(cell.HalfWidth < 2.5);
    }

    [Fact]
    public void Equal_seeds_give_equal_cells()
    {
        ProofCell a = LevelProof.Run(Design("D3"), Scenario("mix"), 12, seed: 3, cancellation: TestContext.Current.CancellationToken), b = LevelProof.Run(Design("D3"), Scenario("mix"), 12, seed: 3, cancellation: TestContext.Current.CancellationToken), c = LevelProof.Run(Design("D3"), Scenario("mix"), 12, seed: 4, cancellation: TestContext.Current.CancellationToken);
        Assert.Equal(a.HalfWidth, b.HalfWidth);
        Assert.NotEqual(a.HalfWidth, c.HalfWidth);
    }

    [Fact]
    public void A_proof_that_must_fail_fails()
    {
        // An estimator told that donnings hardly scatter is wrong about a world in which they do: the proof must show it.
        var cell = LevelProof.Run(Design("D1"), Scenario("loose"), 60, seed: 5, new(DonningScatterMedian: 0.3) { DonningScatterLogSd = 0.1 }, cancellation: TestContext.Current.CancellationToken);
        Assert.True(cell.Coverage.Value < 0.8);
    }
}
