using System.Globalization;
using System.Text.Json;
using Hushtrial.Cli;
using Hushtrial.Tests;

namespace Hushtrial.Acceptance.Tests;

/// <summary>The demo of the tractor, made once for tests that change nothing of it.</summary>
public sealed class TractorDemoFolder : IAsyncLifetime
{
    private readonly TemporaryFolder _folder = new();

    internal string Trial => _folder["tractor"];

    public async ValueTask InitializeAsync() => Assert.Equal(ExitCode.Done, (await CommandRun.Of("demo", Trial, "--scenario", "tractor")).ExitCode);

    public ValueTask DisposeAsync()
    {
        _folder.Dispose();
        return ValueTask.CompletedTask;
    }
}

/// <summary>The way of a recorded flight to takes in the document: recordings made as samples, found, accepted, checked.</summary>
public sealed class FindCommandTests(TractorDemoFolder tractor) : IClassFixture<TractorDemoFolder>
{
    private sealed record Heard(string Recording, double From, double To, string Condition);

    [Fact]
    public async Task Whole_flights_become_takes_that_are_what_was_heard()
    {
        using var folder = new TemporaryFolder();
        var trial = folder["flights"];
        Assert.Equal(ExitCode.Done, (await CommandRun.Of("demo", trial, "--continuous", "--seed", "4")).ExitCode);
        var document = Path.Combine(trial, "trial.yaml");
        await File.AppendAllTextAsync(document, "# kept by hand\n", TestContext.Current.CancellationToken);
        var before = await File.ReadAllTextAsync(document, TestContext.Current.CancellationToken);
        var truth = File.ReadLines(Path.Combine(trial, "truth-spans.csv")).Skip(1).Select(l => l.Split(','))
            .Select(c => new Heard($"{c[0].ToLowerInvariant()}-recording", Number(c[1]), Number(c[2]), c[3])).ToList();

        var run = await CommandRun.Of("find", trial, "--accept", "above=0.9", "--format", "json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        var spans = run.Json.GetProperty("proposals").EnumerateArray().ToList();
        Assert.Single(spans, s => s.GetProperty("kind").GetString() == "calibration");
        Assert.Single(spans, s => s.GetProperty("kind").GetString() == "quiet");
        var accepted = spans.Where(s => s.GetProperty("condition").ValueKind == JsonValueKind.String && s.GetProperty("confidence").GetDouble() >= 0.9).ToList();
        Assert.Equal(run.Json.GetProperty("written").GetArrayLength(), accepted.Count);
        // Three flights of seven rows, one at most left out in each: 18 rows and more, Birch with three stretches.
        Assert.True(accepted.Count >= 20, $"{accepted.Count} takes.");
        var usable = 0;
        foreach (var span in accepted)
        {
            var (from, to) = (span.GetProperty("from").GetDouble(), span.GetProperty("to").GetDouble());
            var heard = truth.MaxBy(t => t.Recording == span.GetProperty("recording").GetString() ? Math.Min(to, t.To) - Math.Max(from, t.From) : double.NegativeInfinity)!;
            Assert.Equal(heard.Condition, span.GetProperty("condition").GetString());
            if (Math.Min(to, heard.To) - Math.Max(from, heard.From) >= 0.9 * (to - from)) usable++;
        }
        // Nine in ten is what the confidence states.
        Assert.True(usable >= 0.9 * accepted.Count, $"{usable} of {accepted.Count} lie inside.");

        var after = await File.ReadAllTextAsync(document, TestContext.Current.CancellationToken);
        Assert.Contains("# kept by hand", after, StringComparison.Ordinal);
        Assert.All(before.Split('\n').Where(l => l != "takes: []"), l => Assert.Contains(l, after, StringComparison.Ordinal));
        Assert.Equal(ExitCode.Done, (await CommandRun.Of("check", trial)).ExitCode);
        // What is there stays, and nothing is taken twice.
        var again = await CommandRun.Of("find", trial, "--accept", "all", "--format", "json");
        Assert.All(accepted, a => Assert.DoesNotContain(again.Json.GetProperty("proposals").EnumerateArray(), s => s.GetProperty("from").GetDouble().Equals(a.GetProperty("from").GetDouble())
            && s.GetProperty("recording").GetString() == a.GetProperty("recording").GetString() && s.GetProperty("overlaps").GetArrayLength() == 0));
        var kept = (await File.ReadAllTextAsync(document, TestContext.Current.CancellationToken)).Split('\n');
        Assert.All(after.Split('\n'), l => Assert.Contains(l, kept));
    }

    [Theory]
    [InlineData("--accept", "above=2", "names no confidence")]
    [InlineData("--accept", "P99", "no proposal 'P99'")]
    [InlineData("--set", "P99.from=1", "no proposal 'P99'")]
    [InlineData("--set", "from=1", "is no correction")]
    [InlineData("--recording", "f9", "no recording 'f9'")]
    [InlineData("--shortest", "1", "4 to 600 s")]
    public async Task Wrong_wishes_are_refused_in_words(string option, string value, string message)
    {
        var run = await CommandRun.Of("find", tractor.Trial, option, value);
        Assert.Equal(ExitCode.WrongUse, run.ExitCode);
        Assert.Contains(message, run.Error, StringComparison.Ordinal);
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);
}
