using System.CommandLine;

namespace Hushtrial.Cli.Commands;

/// <summary>The option that names a library of cabin noises.</summary>
internal static class CabinOption
{
    /// <summary>A file or a folder of them.</summary>
    public static Option<string?> Cabins { get; } = new("--cabins")
    {
        HelpName = "PATH", Description = "noises of other cabins to carry the losses to: a .yaml or .csv file, or a folder of them (docs/guide/cabins.md)",
    };
}
