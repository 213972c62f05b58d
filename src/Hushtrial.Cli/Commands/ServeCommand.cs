using System.CommandLine;
using System.ComponentModel;
using System.Diagnostics;
using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Store.Files;
using Hushtrial.Web;

namespace Hushtrial.Cli.Commands;

/// <summary>Opens the workspace: the library's trials as local pages.</summary>
internal static class ServeCommand
{
    /// <summary>The port when none is asked for: one that stays, so that bookmarks do.</summary>
    private const int UsualPort = 4817;

    public static Command Build(Edge edge)
    {
        var trial = new Argument<string?>("TRIAL") { Description = "a trial's folder or document to bring into the library and open", Arity = ArgumentArity.ZeroOrOne };
        var port = NumberOption.Whole("--port", 0, 65_535, "port on this machine's loopback interface; 0 for any free one", UsualPort);
        var library = new Option<string?>("--library") { Description = "folder of the trials (default: hushtrial in your data folder)" };
        var stay = new Option<bool>("--no-browser") { Description = "print the address and open no browser" };
        var command = new Command("serve", "The workspace: the whole job in local pages, from the question to the report. Example: hushtrial serve") { trial, port, library, stay };
        command.SetAction((parsed, cancellation) => RunAsync(edge, parsed.GetValue(trial), parsed.GetValue(port), parsed.GetValue(library) ?? UsualFolder(), parsed.GetValue(stay), CommandTree.AsJson(parsed), cancellation));
        return command;
    }

    private static async Task<int> RunAsync(Edge edge, string? trial, int port, string folder, bool stay, bool json, CancellationToken cancellation)
    {
        await using var workspace = await Workspace.StartAsync(new WorkspaceSettings(Path.GetFullPath(folder), port, edge.Clock), cancellation);
        var address = workspace.Address;
        if (trial is not null)
        {
            var outcome = Progressing.Run(edge, "Bringing the trial in", _ => workspace.Library.ImportFolder(Path.GetDirectoryName(TrialFolder.Find(trial)) is { Length: > 0 } inside ? inside : "."));
            if (outcome.Trial is not { } stored) return new Answer(edge, json).Give(outcome.Problems, w => w.WriteString("trial", trial), t => t.WriteLine("The trial could not be brought in:"));
            address = workspace.AddressOf(stored.Id, "results");
        }
        new Answer(edge, json).Give([], w =>
        {
            w.WriteString("address", address);
            w.WriteString("library", folder);
        }, t =>
        {
            t.WriteLine($"Workspace  {address}");
            t.WriteLine($"Library    {Path.GetFullPath(folder)}");
            t.WriteLine("Open the address in a browser on this machine. Ctrl+C ends it; what was saved stays.");
        });
        if (!stay && !json && edge.ErrorIsTerminal) Browse(address);
        await workspace.WaitAsync(cancellation);
        return ExitCode.Done;
    }

    private static string UsualFolder() => Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify), "hushtrial");

    /// <summary>Opens the person's browser where there is one; the printed address serves everybody else.</summary>
    private static void Browse(string address)
    {
        try
        {
            if (OperatingSystem.IsWindows()) Process.Start(new ProcessStartInfo(address) { UseShellExecute = true })?.Dispose();
            else if (OutsideProgram.Find(OperatingSystem.IsMacOS() ? "open" : "xdg-open", Environment.GetEnvironmentVariable("PATH")) is { } opener && (OperatingSystem.IsMacOS() || HasScreen()))
                _ = Task.Run(() => opener.Run([address], Path.GetTempPath(), CancellationToken.None));
        }
        catch (Exception e) when (e is Win32Exception or InvalidOperationException)
        {
            // No browser is registered: the address stands on the screen.
        }
    }

    private static bool HasScreen() => Environment.GetEnvironmentVariable("DISPLAY") is { Length: > 0 } || Environment.GetEnvironmentVariable("WAYLAND_DISPLAY") is { Length: > 0 };
}
