using System.ComponentModel;
using System.Diagnostics;
using System.Text;

namespace Hushtrial.Store.Files;

/// <summary>How a program outside ended.</summary>
/// <param name="ExitCode">0 when it did its work.</param>
/// <param name="Output">Standard output, at most 64 KiB characters.</param>
/// <param name="Complaints">Standard error, at most 64 KiB characters.</param>
public sealed record ProgramResult(int ExitCode, string Output, string Complaints);

/// <summary>A program beside us, found on the search path and never in the current folder.</summary>
public sealed class OutsideProgram
{
    private const int MostKept = 65_536;

    private readonly string _file;

    private OutsideProgram(string file) => _file = file;

    /// <summary>The program, or null where it is not installed.</summary>
    /// <param name="name">Its name without a folder.</param>
    /// <param name="searchPath">Folders as in the PATH variable; relative ones are passed over.</param>
    public static OutsideProgram? Find(string name, string? searchPath)
    {
        string[] endings = OperatingSystem.IsWindows() ? [".exe"] : [""];
        foreach (var folder in (searchPath ?? "").Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries).Where(Path.IsPathFullyQualified))
            foreach (var ending in endings)
                if (Path.Combine(folder, name + ending) is var file && File.Exists(file)) return new OutsideProgram(file);
        return null;
    }

    /// <summary>Runs the program to its end; it gets no input. Cancelling kills it with its children.</summary>
    /// <param name="arguments">One argument each; no shell reads them.</param>
    /// <param name="folder">Its working folder.</param>
    /// <param name="cancellation">Kills it.</param>
    /// <exception cref="OperationCanceledException">It was killed.</exception>
    public ProgramResult Run(IReadOnlyList<string> arguments, string folder, CancellationToken cancellation)
    {
        using var process = new Process
        {
            StartInfo = new ProcessStartInfo(_file, arguments)
            {
                UseShellExecute = false,
                WorkingDirectory = folder,
                RedirectStandardInput = true,
                RedirectStandardOutput = true,
                RedirectStandardError = true,
                StandardOutputEncoding = Encoding.UTF8,
                StandardErrorEncoding = Encoding.UTF8,
            },
        };
        StringBuilder output = new(), complaints = new();
        process.OutputDataReceived += (_, e) => Keep(output, e.Data);
        process.ErrorDataReceived += (_, e) => Keep(complaints, e.Data);
        try
        {
            process.Start();
        }
        catch (Win32Exception e)
        {
            return new ProgramResult(-1, "", e.Message);
        }
        using var kill = cancellation.Register(() => Kill(process));
        process.StandardInput.Close();
        // Both pipes are emptied all the time: a full one would stop the program for ever.
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        process.WaitForExit();
        cancellation.ThrowIfCancellationRequested();
        return new ProgramResult(process.ExitCode, output.ToString(), complaints.ToString());
    }

    private static void Keep(StringBuilder to, string? line)
    {
        if (line is not null && to.Length + line.Length < MostKept) to.Append(line).Append('\n');
    }

    private static void Kill(Process process)
    {
        try
        {
            process.Kill(entireProcessTree: true);
        }
        catch (InvalidOperationException)
        {
            // It ended by itself in the meantime, which is as good.
        }
    }
}
