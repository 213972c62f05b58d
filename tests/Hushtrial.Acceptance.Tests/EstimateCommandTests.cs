using Hushtrial.Tests;

namespace Hushtrial.Acceptance.Tests;

public class EstimateCommandTests
{
    private static string Example => Path.Combine(Reference.Root, "reference", "statistics", "example1.csv");

    [Fact]
    public async Task The_fixed_example_has_the_shape_that_other_programs_rely_on()
    {
        var run = await CommandRun.Of("estimate", Example, "--format", "json");
        Assert.Equal(0, run.ExitCode);
        var la = run.Json.GetProperty("quantities").GetProperty("LA");
        var general = la.GetProperty("general");
        var pair = general.GetProperty("contrasts").EnumerateArray().Single(c => c.GetProperty("name").GetString() == "P-Q");
        Assert.Equal(-6.193, pair.GetProperty("mean").GetDouble(), 0.03);              // reference/statistics/example1_expected_primary.json
        Assert.Equal("different", pair.GetProperty("verdict").GetString());
        Assert.Equal(-9.647, pair.GetProperty("simultaneous").GetProperty("low95").GetDouble(), 0.05);
        Assert.Equal(2.866, general.GetProperty("critical95").GetDouble(), 0.03);
        Assert.Equal(0.961, general.GetProperty("components").GetProperty("fit").GetDouble(), 0.02);
        Assert.Equal(10, la.GetProperty("as_worn").GetProperty("contrasts").GetArrayLength());
        var reml = la.GetProperty("reml");
        Assert.Equal(0.27124, reml.GetProperty("sd").GetProperty("episode").GetDouble(), 0.001);
        Assert.Equal(4.750, reml.GetProperty("contrasts").EnumerateArray().Single(c => c.GetProperty("name").GetString() == "P-Q").GetProperty("df").GetDouble(), 0.02);
    }

    [Fact]
    public async Task A_person_gets_sentences_and_never_reads_no_difference()
    {
        var run = await CommandRun.Of("estimate", Example);
        Assert.Contains("R reduces more than P in general", run.Out, StringComparison.Ordinal);
        Assert.Contains("remain possible", run.Out, StringComparison.Ordinal);
        Assert.DoesNotContain("no difference", run.Out, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("NaN", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_bad_table_gives_its_problems_and_exit_code_1_a_missing_one_2()
    {
        using var folder = new TemporaryFolder();
        await File.WriteAllTextAsync(folder["bad.csv"], "condition,LA\nopen,92\nAlder,x\nAlder,70\n", TestContext.Current.CancellationToken);
        var run = await CommandRun.Of("estimate", folder["bad.csv"], "--format", "json");
        Assert.Equal(1, run.ExitCode);
        Assert.Contains(run.Json.GetProperty("problems").EnumerateArray(), p => p.GetProperty("code").GetString() == "EST-008");
        Assert.Equal(2, (await CommandRun.Of("estimate", folder["none.csv"])).ExitCode);
        Assert.Equal(2, (await CommandRun.Of("estimate", Example, "--margin", "-3")).ExitCode);
    }
}
