namespace Hushtrial.Acceptance.Tests;

public class PlanCommandTests
{
    [Fact]
    public async Task A_plan_prints_its_chance_its_dose_and_its_order_and_writes_cards()
    {
        using var folder = new TemporaryFolder();
        var run = await CommandRun.Of("plan", "Alder", "Birch=on+off", "Cedar <b>", "--flights", "2", "--donnings", "2", "--open-level", "94", "--out", folder["cards.html"]);
        Assert.Equal(0, run.ExitCode);
        Assert.Contains("Chance to find a difference of 2 dB", run.Out, StringComparison.Ordinal);
        Assert.Contains("on, off, off, on", run.Out, StringComparison.Ordinal);
        var page = await File.ReadAllTextAsync(folder["cards.html"], TestContext.Current.CancellationToken);
        Assert.Contains("The pilot flying has no task in this trial", page, StringComparison.Ordinal);
        Assert.Contains("Cedar &lt;b&gt;", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<script", page, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("http:", page, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task Too_loud_an_open_ear_is_refused_with_alternatives()
    {
        var run = await CommandRun.Of("plan", "Alder", "Birch", "--open-level", "108", "--format", "json");
        Assert.Equal(1, run.ExitCode);
        Assert.True(run.Json.GetProperty("open_ear_dose").GetProperty("refused").GetBoolean());
        Assert.Contains("Leave the open ear out", run.Json.GetProperty("problems")[0].GetProperty("remedy").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_proof_gives_coverage_with_its_simulation_error()
    {
        var run = await CommandRun.Of("prove", "--design", "D3", "--trials", "20", "--format", "json");
        Assert.Equal(0, run.ExitCode);
        var cell = run.Json.GetProperty("cells")[0];
        Assert.InRange(cell.GetProperty("coverage").GetProperty("share").GetDouble(), 0.85, 1);
        Assert.True(cell.GetProperty("coverage").GetProperty("error").GetDouble() > 0);
        Assert.Equal(2, (await CommandRun.Of("prove", "--trials", "0")).ExitCode);
    }
}
