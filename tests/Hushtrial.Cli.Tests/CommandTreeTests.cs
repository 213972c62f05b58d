using Hushtrial.Cli;

namespace Hushtrial.Cli.Tests;

/// <summary>A run makes only the command it is asked for; help and a mistyped name see all of them.</summary>
public class CommandTreeTests
{
    private static readonly Edge _edge = new(Stream.Null, TextWriter.Null, TextReader.Null, TimeProvider.System, false);

    [Fact]
    public void Every_command_is_found_by_the_name_it_has()
    {
        var all = CommandTree.Build(_edge).Subcommands.Select(c => c.Name).ToList();
        Assert.Equal(23, all.Count);
        Assert.Equal(all.Count, all.Distinct().Count());
        foreach (var name in all) Assert.Equal([name], CommandTree.Build(_edge, name).Subcommands.Select(c => c.Name));
    }

    [Theory]
    [InlineData(null)]
    [InlineData("")]
    [InlineData("--help")]
    [InlineData("level")]
    [InlineData("LEVELS")]
    public void What_is_no_command_sees_all(string? word) => Assert.Equal(23, CommandTree.Build(_edge, word).Subcommands.Count);
}
