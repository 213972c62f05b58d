using Hushtrial.Cli;

namespace Hushtrial.Acceptance.Tests;

public sealed class ProveRecordingsTests
{
    [Fact]
    public async Task A_trial_goes_from_recordings_to_verdicts_and_most_intervals_hold()
    {
        var run = await CommandRun.Of("prove", "--recordings", "--trials", "2", "--seed", "7", "--format", "json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        Assert.Equal(2, run.Json.GetProperty("trials").GetInt32());
        foreach (var key in new[] { "coverage_bands", "coverage_bands_as_worn", "coverage_losses", "coverage_losses_as_worn", "coverage_pairs", "coverage_pairs_as_worn" })
        {
            Assert.True(run.Json.GetProperty(key).GetProperty("of").GetInt32() >= 20);
            // Two trials of bands and pairs that move together: a nominal 0.95 may fall to 0.75 by chance, a broken chain falls to 0.
            Assert.InRange(run.Json.GetProperty(key).GetProperty("share").GetDouble(), 0.75, 1);
        }
        Assert.Equal(0, run.Json.GetProperty("wrong_sign").GetProperty("held").GetInt32());
    }
}
