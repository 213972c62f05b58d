using System.Diagnostics;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>One test of this assembly in a process of its own, which writes its answer into a file.</summary>
internal static class OwnProcess
{
    /// <summary>Runs it and returns what it wrote.</summary>
    /// <param name="type">The class of the test.</param>
    /// <param name="method">The test.</param>
    /// <param name="answer">Variable in which it finds the name of the file to write.</param>
    /// <param name="more">Further variables.</param>
    internal static async Task<string> AskAsync(Type type, string method, string answer, params (string Name, string Value)[] more)
    {
        var path = Path.Combine(Path.GetTempPath(), Path.GetRandomFileName());
        try
        {
            var start = new ProcessStartInfo(Path.Combine(AppContext.BaseDirectory, "Hushtrial.Signals.Tests" + (OperatingSystem.IsWindows() ? ".exe" : "")),
                ["-method", $"{type.FullName}.{method}"]) { UseShellExecute = false, RedirectStandardOutput = true };
            foreach (var (name, value) in more) start.Environment[name] = value;
            start.Environment[answer] = path;
            using var other = Process.Start(start)!;
            await other.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
            await other.WaitForExitAsync(TestContext.Current.CancellationToken);
            return await File.ReadAllTextAsync(path, TestContext.Current.CancellationToken);
        }
        finally
        {
            File.Delete(path);
        }
    }
}
