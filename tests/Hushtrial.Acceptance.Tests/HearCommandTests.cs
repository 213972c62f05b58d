using Hushtrial.Cli;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Acceptance.Tests;

/// <summary>'hushtrial hear' on noted band levels: without a recording noise of their shape is played. Invented data.</summary>
public sealed class HearCommandTests
{
    private static string Trial(string covered) => $$"""
        hushtrial: 1
        trial: { title: Two muffs on a tractor, quantity: insertion-loss, design: readings-only }
        devices: [{ id: oak, name: Oak, kind: over-ear }]
        conditions: [{ id: oak, device: oak }]
        runs: [{ id: R }]
        takes:
          - { id: T1, condition: open, reading_bands: { 125: 90, 250: 88, 500: 86, 1000: 84, 2000: 80, 4000: 74 } }
          - { id: T2, condition: oak, fit: D1, reading_bands: {{covered}} }
          - { id: T3, condition: open, reading_bands: { 125: 90, 250: 88, 500: 86, 1000: 84, 2000: 80, 4000: 74 } }
        """;

    [Fact]
    public async Task Sounds_are_written_that_lose_what_was_noted()
    {
        using var folder = new TemporaryFolder();
        await File.WriteAllTextAsync(folder["trial.yaml"], Trial("{ 125: 82, 250: 74, 500: 62, 1000: 54, 2000: 48, 4000: 40 }"), TestContext.Current.CancellationToken);
        var run = await CommandRun.Of("hear", folder.Path, "--to", folder["sounds"], "--format", "json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        var sounds = run.Json.GetProperty("sounds").EnumerateArray().ToList();
        Assert.Equal(["open", "oak"], sounds.Select(s => s.GetProperty("condition").GetString()));
        // Six octaves, each within what the page promises.
        Assert.InRange(sounds[1].GetProperty("largest_deviation_db").GetDouble(), 0, 0.5);
        foreach (var sound in sounds)
        {
            using var wave = Recording.Open(new BufferedBytes(await File.ReadAllBytesAsync(folder[$"sounds/{sound.GetProperty("file").GetString()}"], TestContext.Current.CancellationToken)), "x.wav");
            Assert.Equal([], wave.Problems);
            Assert.Equal(8, wave.Duration.TotalSeconds, 0.01);
        }
        Assert.Contains("random noise with the band levels of the open ear", await File.ReadAllTextAsync(folder["sounds/read-first.txt"], TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.True(File.Exists(folder["sounds/all-in-order.wav"]));
    }

    [Fact]
    public async Task Where_nothing_can_be_heard_no_file_is_written_and_the_reason_is_told()
    {
        using var folder = new TemporaryFolder();
        await File.WriteAllTextAsync(folder["trial.yaml"], Trial("{ 125: 82, 250: 74 }"), TestContext.Current.CancellationToken);
        var run = await CommandRun.Of("hear", folder.Path, "--to", folder["sounds"]);
        Assert.Equal(ExitCode.Problems, run.ExitCode);
        Assert.Contains("HEA-001", run.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(folder["sounds"]));
        Assert.Equal(ExitCode.WrongUse, (await CommandRun.Of("hear", folder.Path)).ExitCode);
    }
}
