using System.CommandLine;

namespace Hushtrial.Cli.Commands;

/// <summary>Prints the line that teaches a shell to complete our commands and options.</summary>
internal static class CompletionCommand
{
    private const string Bash = """
        _hushtrial() { local IFS=$'\n'; COMPREPLY=( $(compgen -W "$("${COMP_WORDS[0]}" "[suggest:$COMP_POINT]" "$COMP_LINE" 2>/dev/null)" -- "${COMP_WORDS[COMP_CWORD]}") ); }
        complete -o default -F _hushtrial hushtrial
        """;

    private const string Zsh = """
        _hushtrial() { local -a found; found=( ${(f)"$("${(Q)words[1]}" "[suggest:$CURSOR]" "$BUFFER" 2>/dev/null)"} ); compadd -- $found; _files }
        compdef _hushtrial hushtrial
        """;

    public static Command Build(Edge edge)
    {
        var shell = new Argument<string>("SHELL") { Description = "bash or zsh" };
        shell.AcceptOnlyFromAmong("bash", "zsh");
        var command = new Command("completion", "Print the shell lines for tab completion. Example: eval \"$(hushtrial completion bash)\"") { shell };
        command.SetAction(parsed => edge.Out.WriteLine(parsed.GetRequiredValue(shell) == "bash" ? Bash : Zsh));
        return command;
    }
}
