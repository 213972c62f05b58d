using System.Diagnostics;
using SharpFuzz;

namespace Hushtrial.Fuzzing;

/// <summary>Starts this program once more from a copy in which the readers count their branches.</summary>
internal static class Instrumentation
{
    private const string Mark = "HUSHTRIAL_FUZZING_COPY";

    private static readonly string[] _readers = ["Hushtrial.Quantities.dll", "Hushtrial.Signals.dll", "Hushtrial.Trials.dll", "Hushtrial.Hearing.dll", "Hushtrial.Store.dll", "hushtrial.dll", "YamlDotNet.dll"];

    /// <summary>Whether this process is the copy.</summary>
    public static bool IsCopy => Environment.GetEnvironmentVariable(Mark) is { Length: > 0 };

    /// <summary>Makes the copy, runs it to its end and removes it.</summary>
    /// <returns>The copy's exit code.</returns>
    public static int RunCopy(string[] args)
    {
        var folder = Directory.CreateTempSubdirectory("hushtrial-fuzzing-").FullName;
        try
        {
            foreach (var file in Directory.GetFiles(AppContext.BaseDirectory)) File.Copy(file, Path.Combine(folder, Path.GetFileName(file)));
            foreach (var reader in _readers) _ = Fuzzer.Instrument(Path.Combine(folder, reader), _ => true, SharpFuzz.Options.Value).Count();
            var start = new ProcessStartInfo(Environment.ProcessPath!) { UseShellExecute = false };
            if (Path.GetFileNameWithoutExtension(Environment.ProcessPath!) == "dotnet") start.ArgumentList.Add(Path.Combine(folder, "Hushtrial.Fuzzing.dll"));
            else start.FileName = Path.Combine(folder, Path.GetFileName(Environment.ProcessPath!));
            foreach (var arg in args) start.ArgumentList.Add(arg);
            start.Environment[Mark] = "1";
            using var copy = Process.Start(start)!;
            copy.WaitForExit();
            return copy.ExitCode;
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }
}
