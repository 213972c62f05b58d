using Hushtrial.Cli;
using Hushtrial.Tests;

namespace Hushtrial.Acceptance.Tests;

public sealed class CheckCommandTests
{
    public static TheoryData<string> BrokenTrials() =>
        [.. Directory.GetFiles(Path.Combine(Reference.Root, "corpus", "trials"), "bad.*.yaml").Select(f => Path.GetFileName(f)!).Order()];

    [Theory, MemberData(nameof(BrokenTrials))]
    public async Task A_broken_trial_gives_its_pinned_message_and_exit_code_1(string file)
    {
        var path = Path.Combine(Reference.Root, "corpus", "trials", file);
        var run = await CommandRun.Of("check", path);
        Assert.Equal(ExitCode.Problems, run.ExitCode);
        Assert.StartsWith(File.ReadAllText(Path.ChangeExtension(path, ".txt")).TrimEnd(), run.Error);
        Assert.DoesNotContain("   at ", run.Error);
    }

    [Fact]
    public void There_are_at_least_40_broken_trials() => Assert.True(BrokenTrials().Count >= 40);

    [Fact]
    public async Task A_new_trial_is_read_without_an_error_of_its_document_and_its_missing_recordings_are_named()
    {
        using var folder = new TemporaryFolder();
        Assert.Equal(ExitCode.Done, (await CommandRun.Of("new", folder["trial"])).ExitCode);
        var run = await CommandRun.Of("check", folder["trial"]);
        Assert.Equal(ExitCode.Problems, run.ExitCode);
        Assert.All(run.Error.Split('\n', StringSplitOptions.RemoveEmptyEntries), line => Assert.Matches(@"^(DOC-\d{3} note|REC-041 error): ", line));
        Assert.Equal(ExitCode.WrongUse, (await CommandRun.Of("new", folder["trial"])).ExitCode);
    }

    [Fact]
    public async Task A_link_that_leads_out_of_the_folder_is_refused()
    {
        using var folder = new TemporaryFolder();
        await CommandRun.Of("new", folder["other"]);
        File.WriteAllText(folder["trial.yaml"], File.ReadAllText(Path.Combine(folder["other"], "trial.yaml")));
        File.CreateSymbolicLink(folder["calibration.wav"], "/etc/hostname");
        var run = await CommandRun.Of("check", folder.Path);
        Assert.Contains("REC-045 error: calibration.wav: a link that leads out of the trial's folder", run.Error);
    }
}
