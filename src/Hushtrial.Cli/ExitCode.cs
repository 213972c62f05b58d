namespace Hushtrial.Cli;

/// <summary>What the process returns.</summary>
internal static class ExitCode
{
    /// <summary>Done.</summary>
    public const int Done = 0;

    /// <summary>The input holds a problem of severity error.</summary>
    public const int Problems = 1;

    /// <summary>The command was used wrongly.</summary>
    public const int WrongUse = 2;

    /// <summary>A bug of ours.</summary>
    public const int Bug = 3;
}
