using System.Text;
using System.Text.Json;
using Hushtrial.Cli;

namespace Hushtrial.Cli.Tests;

/// <summary>One command inside the test's process, with streams of its own.</summary>
internal sealed record CommandRun(int ExitCode, string Out, string Error)
{
    public static Task<CommandRun> Of(params string[] args) => WithInput("", args);

    /// <summary>With text on standard input.</summary>
    public static async Task<CommandRun> WithInput(string input, params string[] args)
    {
        using var output = new MemoryStream();
        using var error = new StringWriter();
        var code = await CommandTree.RunAsync(args, new Edge(output, error, new StringReader(input), TimeProvider.System, ErrorIsTerminal: false));
        return new(code, Encoding.UTF8.GetString(output.ToArray()), error.ToString());
    }

    public JsonElement Json => JsonDocument.Parse(Out).RootElement;

    /// <summary>Wrong use is told in words of the user: no bug, no name of a type of ours.</summary>
    public void IsWrongUse(params ReadOnlySpan<string> words)
    {
        Assert.True(ExitCode == Cli.ExitCode.WrongUse, $"{ExitCode}: {Error}{Out}");
        Assert.Empty(Out);
        foreach (var word in words) Assert.Contains(word, Error, StringComparison.Ordinal);
        Assert.DoesNotContain("System.", Error, StringComparison.Ordinal);
    }
}

/// <summary>A folder that is gone after the test.</summary>
internal sealed class TemporaryFolder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("hushtrial-test-").FullName;

    public string this[string name] => System.IO.Path.Combine(Path, name);

    public void Dispose() => Directory.Delete(Path, recursive: true);
}
