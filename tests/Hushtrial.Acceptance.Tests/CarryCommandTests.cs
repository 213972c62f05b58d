using Hushtrial.Cli;

namespace Hushtrial.Acceptance.Tests;

public sealed class CarryCommandTests
{
    // The built vector's passive losses and the open small tractor's octaves (a hobbyist's, published); the answers were computed outside this project.
    private const string Passive = "hz,loss,sd\n31.5,8,1\n63,9,1\n125,11,1\n250,18,1\n500,26,1\n1000,31,1\n2000,34,1\n4000,38,1\n8000,36,1\n";
    private const string Cabins = "cabin,hz,level\n" +
        "built,31.5,95\nbuilt,63,104\nbuilt,125,108\nbuilt,250,100\nbuilt,500,94\nbuilt,1000,88\nbuilt,2000,83\nbuilt,4000,76\nbuilt,8000,70\n" +
        "tractor,31.5,92.5\ntractor,63,95\ntractor,125,97.5\ntractor,250,95\ntractor,500,92.5\ntractor,1000,90\ntractor,2000,90\ntractor,4000,87.5\ntractor,8000,85\n";

    [Fact]
    public async Task A_table_of_losses_gives_the_known_answers_in_two_cabins()
    {
        using var folder = new TemporaryFolder();
        File.WriteAllText(folder["two.csv"], Cabins);
        var run = await CommandRun.WithInput(Passive, "carry", "--cabins", folder["two.csv"], "--format", "json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        var (built, tractor) = (run.Json.GetProperty("cabins")[0], run.Json.GetProperty("cabins")[1]);
        double Of(System.Text.Json.JsonElement cabin, string what, string weighting) => cabin.GetProperty("conditions")[0].GetProperty(what).GetProperty(weighting).GetProperty("estimate").GetDouble();
        // Printed to a tenth each, so a difference is within a tenth.
        Assert.Equal(97.1, built.GetProperty("level_a").GetDouble(), 0.051);
        Assert.Equal(15.2, Of(built, "loss", "a"), 0.1);
        Assert.Equal(10.9, Of(built, "loss", "c"), 0.1);
        Assert.Equal(81.9, Of(built, "ear_level", "a"), 0.051);
        Assert.Equal(23.20, Of(tractor, "loss", "a"), 0.006);
        var a = built.GetProperty("conditions")[0].GetProperty("loss").GetProperty("a");
        // All bands together by 1.96 dB, and what is open about the place in the band beside it.
        Assert.InRange(a.GetProperty("low").GetDouble(), 15.2 - 6, 15.2 - 1.96);
        Assert.InRange(a.GetProperty("high").GetDouble(), 15.2 + 1.96, 15.2 + 6);
        Assert.Equal(1, built.GetProperty("conditions")[0].GetProperty("left").EnumerateArray().Sum(l => l.GetProperty("share").GetDouble()), 1e-9);
    }

    [Theory]
    [InlineData("""{"conditions":[{"id":"a","loss":5}]}""")]
    [InlineData("""{"conditions":[{"id":"a","loss":"many"}]}""")]
    [InlineData("""{"conditions":[{"id":"a","loss":{"bands":[{}]}}]}""")]
    [InlineData("""{"conditions":[{"id":"a","loss":{"bands":{"125":3}}}]}""")]
    [InlineData("""{"conditions":[{"id":"a","loss":{"bands":[{"midband_hz":125,"scope":"general","valid":true,"estimate":1e999,"low":0,"high":1}]}}]}""")]
    public async Task Results_that_are_none_are_a_problem_of_the_input_and_no_bug(string json)
    {
        using var folder = new TemporaryFolder();
        File.WriteAllText(folder["two.csv"], Cabins);
        var run = await CommandRun.WithInput(json, "carry", "--cabins", folder["two.csv"]);
        Assert.True(run.ExitCode == ExitCode.Problems, $"{run.ExitCode}: {run.Error}");
        Assert.Contains("CAR-013 error: standard input, conditions 1", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Without_scatter_there_is_no_interval_and_a_note()
    {
        using var folder = new TemporaryFolder();
        File.WriteAllText(folder["one.csv"], "hz,level\n125,90\n1000,80\n");
        var run = await CommandRun.WithInput("hz,loss\n125,10\n1000,20\n", "carry", "--cabins", folder.Path, "--format", "json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        Assert.Contains(run.Json.GetProperty("problems").EnumerateArray(), p => p.GetProperty("code").GetString() == "CAR-012");
        Assert.Equal(System.Text.Json.JsonValueKind.Null, run.Json.GetProperty("cabins")[0].GetProperty("conditions")[0].GetProperty("loss").GetProperty("a").GetProperty("low").ValueKind);
    }

    [Fact]
    public async Task What_is_wrong_is_said()
    {
        using var folder = new TemporaryFolder();
        File.WriteAllText(folder["one.csv"], "hz,level\n125,loud\n");
        Assert.Equal(ExitCode.Problems, (await CommandRun.WithInput(Passive, "carry", "--cabins", folder["one.csv"])).ExitCode);
        Assert.Equal(ExitCode.WrongUse, (await CommandRun.WithInput(Passive, "carry", "--cabins", folder["none.csv"])).ExitCode);
        Assert.Equal(ExitCode.WrongUse, (await CommandRun.WithInput(Passive, "carry")).ExitCode);
        File.WriteAllText(folder["one.csv"], Cabins);
        Assert.Equal(ExitCode.WrongUse, (await CommandRun.WithInput(Passive, "carry", "--cabins", folder["one.csv"], "--cabin", "boat")).ExitCode);
        Assert.Equal(ExitCode.Problems, (await CommandRun.WithInput("hz,loss\n", "carry", "--cabins", folder["one.csv"])).ExitCode);
        Assert.Equal(ExitCode.Problems, (await CommandRun.WithInput("hz,loss\n107,20\n", "carry", "--cabins", folder["one.csv"])).ExitCode);
    }
}
