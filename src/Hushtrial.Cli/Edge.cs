using System.Text;
using Hushtrial.Store;

namespace Hushtrial.Cli;

/// <summary>What the command touches of the world: streams, the clock, whether somebody watches. Tests give their own.</summary>
internal sealed record Edge(Stream StandardOutput, TextWriter Error, TextReader Input, TimeProvider Clock, bool ErrorIsTerminal)
{
    private readonly Lazy<TextWriter> _out = new(() => new StreamWriter(StandardOutput, new UTF8Encoding(false)) { AutoFlush = true });

    /// <summary>Standard output as text.</summary>
    public TextWriter Out => _out.Value;

    /// <summary>Version of the program.</summary>
    public static string Version => ProductVersion.Text;

    /// <summary>The edge of the running process.</summary>
    public static Edge OfThisProcess() => new(Console.OpenStandardOutput(),
        new StreamWriter(Console.OpenStandardError(), new UTF8Encoding(false)) { AutoFlush = true },
        Console.In, TimeProvider.System, !Console.IsErrorRedirected);
}
