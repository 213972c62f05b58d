using System.Diagnostics;

namespace Hushtrial.Cli.Tests.Commands;

/// <summary>What is printed for a shell is what the shell needs.</summary>
public sealed class ShellWordsTests : IDisposable
{
    private readonly TemporaryFolder _at = new();

    public void Dispose() => _at.Dispose();

    [Fact]
    public async Task A_folder_with_a_space_is_one_word_of_the_next_command()
    {
        Assert.Contains($"hushtrial check \"{_at["moto wav"]}\"", (await CommandRun.Of("new", _at["moto wav"])).Out, StringComparison.Ordinal);
        Assert.Contains($"hushtrial check {_at["moto"]}", (await CommandRun.Of("new", _at["moto"])).Out, StringComparison.Ordinal);
    }

    /// <summary>The program that was typed is asked, not one of that name on the path.</summary>
    [Fact]
    public async Task Completion_asks_the_program_that_was_typed()
    {
        Assert.SkipUnless(File.Exists("/bin/bash"), "There is no bash here.");
        var lines = (await CommandRun.Of("completion", "bash")).Out;
        await File.WriteAllTextAsync(_at["hushtrial"], "#!/bin/sh\nprintf 'analyse\\nalign\\n'\n", TestContext.Current.CancellationToken);
        if (!OperatingSystem.IsWindows()) File.SetUnixFileMode(_at["hushtrial"], UnixFileMode.UserRead | UnixFileMode.UserExecute);
        await File.WriteAllTextAsync(_at["try"], lines + "\nCOMP_WORDS=(./hushtrial an); COMP_CWORD=1; COMP_LINE='./hushtrial an'; COMP_POINT=14\n_hushtrial\necho \"${COMPREPLY[@]}\"\n", TestContext.Current.CancellationToken);
        using var bash = Process.Start(new ProcessStartInfo("/bin/bash", ["--norc", "try"]) { WorkingDirectory = _at.Path, RedirectStandardOutput = true, UseShellExecute = false })!;
        Assert.Equal("analyse", (await bash.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken)).Trim());
        await bash.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.DoesNotContain("$(hushtrial", (await CommandRun.Of("completion", "zsh")).Out, StringComparison.Ordinal);
    }
}
