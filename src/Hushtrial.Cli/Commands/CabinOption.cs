using System.CommandLine;

namespace Hushtrial.Cli.Commands;

/// <summary>The option that names a library of cabin noises.</summary>
internal static class CabinOption
{
    /// <summary>A file or a folder of them. One for each command: an option remembers every command it was ever added to.</summary>
    public static Option<string?> Make() => new("--cabins")
    {
        HelpName = "PATH", Description = "noises of other cabins to carry the losses to: a .yaml or .csv file, or a folder of them (docs/guide/cabins.md)",
    };
}
