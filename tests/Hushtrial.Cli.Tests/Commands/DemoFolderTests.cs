using Hushtrial.Cli.Files;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Cli.Tests.Commands;

/// <summary>The demo writes where nothing is, and over itself.</summary>
public sealed class DemoFolderTests : IDisposable
{
    private readonly TemporaryFolder _at = new();

    public void Dispose() => _at.Dispose();

    [Theory]
    [InlineData("--scenario", "helicopter")]
    [InlineData("--scenario", "tractor")]
    [InlineData("--continuous")]
    public async Task A_trial_of_somebody_is_not_replaced(params string[] kind)
    {
        await File.WriteAllTextAsync(_at["trial.yaml"], "hushtrial: 1\n", TestContext.Current.CancellationToken);
        (await CommandRun.Of(["demo", _at.Path, .. kind])).IsWrongUse("trial.yaml' exists already", "nothing was written");
        Assert.Equal("hushtrial: 1\n", await File.ReadAllTextAsync(_at["trial.yaml"], TestContext.Current.CancellationToken));
        Assert.Single(Directory.GetFiles(_at.Path));
    }

    [Fact]
    public async Task The_same_demo_is_written_again_and_says_so_and_a_changed_one_is_not()
    {
        var first = await CommandRun.Of("demo", _at.Path, "--scenario", "tractor");
        Assert.Equal(0, first.ExitCode);
        Assert.DoesNotContain("written anew", first.Out, StringComparison.Ordinal);
        var again = await CommandRun.Of("demo", _at.Path, "--scenario", "tractor");
        Assert.Equal(0, again.ExitCode);
        Assert.Contains("written anew", again.Out, StringComparison.Ordinal);
        await File.AppendAllTextAsync(_at["trial.yaml"], "# my remark\n", TestContext.Current.CancellationToken);
        (await CommandRun.Of("demo", _at.Path, "--scenario", "tractor")).IsWrongUse("exists already");
    }

    [Fact]
    public async Task A_recording_of_somebody_is_not_replaced_either()
    {
        var name = HelicopterTrial.Make(1).Recordings[0].File;
        await File.WriteAllTextAsync(_at[name], "what somebody recorded", TestContext.Current.CancellationToken);
        (await CommandRun.Of("demo", _at.Path)).IsWrongUse($"{name}' exists already");
        Assert.Single(Directory.GetFiles(_at.Path));
    }

    /// <summary>A file where a folder should be: nobody may write there, not even the system's own user.</summary>
    [Theory]
    [InlineData("helicopter")]
    [InlineData("tractor")]
    public async Task A_folder_that_cannot_be_written_is_wrong_use(string scenario)
    {
        await File.WriteAllTextAsync(_at["file"], "", TestContext.Current.CancellationToken);
        (await CommandRun.Of("demo", _at["file/demo"], "--scenario", scenario)).IsWrongUse("cannot be written");
    }

    /// <summary>Stopped before the first recording was whole.</summary>
    [Fact]
    public void A_stopped_demo_says_where_its_beginnings_lie()
    {
        var demo = HelicopterTrial.Make(1);
        var stopped = Assert.Throws<StoppedException>(() => DemoFolder.Of(_at["demo"], demo.Document, demo.Recordings).Write(null, new CancellationToken(canceled: true)));
        Assert.Contains(_at["demo"], stopped.Message, StringComparison.Ordinal);
        Assert.True(File.Exists(_at["demo/trial.yaml"]));
        // What lies there is the beginning of this very demo, so that it can be made again.
        Assert.True(DemoFolder.Of(_at["demo"], demo.Document, demo.Recordings).IsThere);
    }
}
