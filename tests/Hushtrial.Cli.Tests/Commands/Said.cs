using System.Text;
using Hushtrial.Cli;

namespace Hushtrial.Cli.Tests.Commands;

/// <summary>What a command prints, run whole inside the test's process.</summary>
internal static class Said
{
    public static async Task<string> By(string? input, params string[] args)
    {
        using var output = new MemoryStream();
        using var error = new StringWriter();
        var code = await CommandTree.RunAsync(args, new Edge(output, error, input is null ? TextReader.Null : new StringReader(input), TimeProvider.System, ErrorIsTerminal: false));
        Assert.True(code == 0, error.ToString());
        return Encoding.UTF8.GetString(output.ToArray()).Replace('\u00A0', ' ');
    }
}
