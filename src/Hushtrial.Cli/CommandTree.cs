using System.CommandLine;
using System.CommandLine.Help;
using Hushtrial.Cli.Commands;
using Hushtrial.Cli.Files;
using Hushtrial.Store;

namespace Hushtrial.Cli;

/// <summary>The commands. One file of <c>Commands</c> each; this file only lists them and maps failures to exit codes.</summary>
internal static class CommandTree
{
    private const string FormatName = "--format";

    /// <summary>Whether the answer is wanted as JSON; every command has the option.</summary>
    public static bool AsJson(ParseResult parsed) => parsed.GetValue<string>(FormatName) == "json";

    /// <summary>Parses and runs; never throws.</summary>
    public static async Task<int> RunAsync(string[] args, Edge edge)
    {
        edge = new Edge(new CheckedOutput(edge.StandardOutput), new QuietError(edge.Error), edge.Input, edge.Clock, edge.ErrorIsTerminal);
        var root = Build(edge, args.FirstOrDefault());
        var parsed = root.Parse(args);
        if (parsed.Errors.Count > 0)
        {
            foreach (var error in parsed.Errors) await edge.Error.WriteLineAsync($"hushtrial: {error.Message}");
            var command = parsed.CommandResult.Command;
            var name = command is RootCommand ? "hushtrial" : $"hushtrial {command.Name}";
            await edge.Error.WriteLineAsync($"See '{name} --help'.");
            return ExitCode.WrongUse;
        }
        try
        {
            return await parsed.InvokeAsync(new InvocationConfiguration { Output = edge.Out, Error = edge.Error, EnableDefaultExceptionHandler = false });
        }
        catch (StoppedException stopped)
        {
            await edge.Error.WriteLineAsync($"hushtrial: {stopped.Message}");
            return ExitCode.WrongUse;
        }
        catch (OperationCanceledException)
        {
            await edge.Error.WriteLineAsync("hushtrial: stopped; no result was written.");
            return ExitCode.WrongUse;
        }
        catch (WrongUseException wrong)
        {
            await edge.Error.WriteLineAsync($"hushtrial: {wrong.Message}");
            return ExitCode.WrongUse;
        }
        catch (AggregateException many) when (many.Flatten().InnerExceptions.OfType<WrongUseException>().FirstOrDefault() is { } wrong)
        {
            await edge.Error.WriteLineAsync($"hushtrial: {wrong.Message}");
            return ExitCode.WrongUse;
        }
        catch (Exception world) when (OfTheWorld(world) is { } words)
        {
            await edge.Error.WriteLineAsync($"hushtrial: a file failed while it was in use: {words}");
            return ExitCode.WrongUse;
        }
#pragma warning disable CA1031 // The outermost handler: whatever arrives here is our bug and must not look like the user's.
        catch (Exception bug)
#pragma warning restore CA1031
        {
            await edge.Error.WriteLineAsync($"hushtrial: this is a bug of ours, not of your files: {bug.GetType().Name}: {bug.Message}");
            await edge.Error.WriteLineAsync(Environment.GetEnvironmentVariable("HUSHTRIAL_TRACE") is { Length: > 0 }
                ? bug.ToString() : "Set HUSHTRIAL_TRACE=1 and run again to see where.");
            return ExitCode.Bug;
        }
    }

    /// <summary>What a disk or a file system said: a file that shrank or went away while it was read is no bug. Null for everything else.</summary>
    private static string? OfTheWorld(Exception e) => e switch
    {
        IOException or UnauthorizedAccessException => e.Message,
        AggregateException many => many.Flatten().InnerExceptions.Select(OfTheWorld).FirstOrDefault(w => w is not null),
        _ => null,
    };

    private static readonly Entry[] _commands =
    [
        new("demo", DemoCommand.Build), new("new", NewCommand.Build), new("check", CheckCommand.Build), new("find", FindCommand.Build), new("align", AlignCommand.Build), new("levels", LevelsCommand.Build),
        new("log", LogCommand.Build), new("analyse", AnalyseCommand.Build), new("report", ReportCommand.Build), new("hear", HearCommand.Build), new("keep", KeepCommand.Build),
        new("estimate", EstimateCommand.Build), new("plan", PlanCommand.Build),
        new("prove", ProveCommand.Build), new("rating", RatingCommand.Build), new("exposure", ExposureCommand.Build), new("loudness", LoudnessCommand.Build), new("speech", SpeechCommand.Build),
        new("audible", AudibleCommand.Build), new("claim", ClaimCommand.Build), new("carry", CarryCommand.Build), new("serve", ServeCommand.Build), new("completion", CompletionCommand.Build),
    ];

    /// <summary>The tree of commands.</summary>
    /// <param name="edge">Where commands read and print.</param>
    /// <param name="only">The command that is wanted: options of all the others need not be made. All, when there is none of this name.</param>
    internal static RootCommand Build(Edge edge, string? only = null)
    {
        var root = new RootCommand("Hushtrial: fair field trials of headsets and hearing protectors, from recordings or noted readings to a report that can be checked.");
        var wanted = Array.Find(_commands, c => c.Name == only);
        foreach (var command in wanted is null ? _commands : [wanted]) root.Subcommands.Add(command.Make(edge));
        // Made anew with every tree: an option remembers each command it was ever added to.
        root.Options.Add(MakeFormat());
        // '/?' and '/h' look like paths to a shell's completion.
        foreach (var option in root.Options.OfType<HelpOption>()) { option.Aliases.Clear(); option.Aliases.Add("-h"); }
        return root;
    }

    private static Option<string> MakeFormat()
    {
        var option = new Option<string>(FormatName) { Description = "text for people, json for programs", DefaultValueFactory = _ => "text", Recursive = true };
        option.AcceptOnlyFromAmong("text", "json");
        return option;
    }

    /// <summary>A command by its name.</summary>
    private sealed record Entry(string Name, Func<Edge, Command> Make);
}
