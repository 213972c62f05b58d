using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Store.Files;

/// <summary>A Chromium found on this machine: it turns the report into a PDF and figures into PNG. Everything else works without it.</summary>
public sealed class Chromium
{
    private static readonly string[] _names = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge", "microsoft-edge"];
    private static readonly TimeSpan _patience = TimeSpan.FromSeconds(120);
    private readonly OutsideProgram _program;

    private Chromium(OutsideProgram program) => _program = program;

    /// <summary>What to say when there is none.</summary>
    public static Problem Missing { get; } = new("OUT-001", Severity.Note, "this machine", "no Chromium on the search path", "a program named " + string.Join(", ", _names[..3]) + " or alike",
        "Open the HTML report in any browser and print it to PDF; the figures are there as SVG. To get PDF and PNG from here, install Chromium.");

    /// <summary>Looks for it; null when no folder of the search path holds one.</summary>
    /// <param name="searchPath">Folders as in the PATH variable.</param>
    public static Chromium? Find(string? searchPath) => _names.Select(n => OutsideProgram.Find(n, searchPath)).FirstOrDefault(p => p is not null) is { } program ? new(program) : null;

    /// <summary>Prints a page to a PDF with tags and an outline; paper size and margins are the page's own.</summary>
    /// <returns>Null when the file was written, else what went wrong.</returns>
    public Problem? Print(string htmlFile, string pdfFile, CancellationToken cancellation) =>
        Run(pdfFile, "%%EOF"u8, made => ["--print-to-pdf=" + made, "--no-pdf-header-footer", "--generate-pdf-document-outline", Address(htmlFile)], cancellation);

    /// <summary>Draws a figure to a PNG of twice its size in pixels, in its light colours.</summary>
    /// <param name="svgFile">The figure.</param>
    /// <param name="pngFile">The file to write.</param>
    /// <param name="width">Width of the figure's file, px; at least 500, below which a browser window does not go.</param>
    /// <param name="height">Height of the figure's file, px.</param>
    /// <param name="cancellation">Ends the wait.</param>
    /// <returns>Null when the file was written, else what went wrong.</returns>
    public Problem? Draw(string svgFile, string pngFile, double width, double height, CancellationToken cancellation) =>
        Run(pngFile, "IEND"u8, made => ["--screenshot=" + made, "--hide-scrollbars", "--force-device-scale-factor=2", "--blink-settings=preferredColorScheme=1",
            string.Create(CultureInfo.InvariantCulture, $"--window-size={Math.Ceiling(width)},{Math.Ceiling(height)}"), Address(svgFile)], cancellation);

    private static string Address(string file) => new Uri(Path.GetFullPath(file)).AbsoluteUri;

    /// <summary>Lets the browser write into its own folder; what is whole comes under the final name at once.</summary>
    /// <param name="output">The final name.</param>
    /// <param name="last">What stands among the last bytes of a whole file.</param>
    /// <param name="arguments">Arguments for a file to be made.</param>
    /// <param name="cancellation">Ends the wait.</param>
    private Problem? Run(string output, ReadOnlySpan<byte> last, Func<string, IEnumerable<string>> arguments, CancellationToken cancellation)
    {
        // A profile of its own: the user's windows, cookies and running instance are left alone.
        using var profile = TemporaryFolder.Create();
        if (profile is null) return Failed(output, "no temporary folder can be made");
        var made = Path.Combine(profile.Path, "made" + Path.GetExtension(output).ToLowerInvariant());
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        limit.CancelAfter(_patience);
        try
        {
            var result = _program.Run(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
                "--disable-sync", "--user-data-dir=" + profile.Path, .. arguments(made)], profile.Path, limit.Token);
            if (result.ExitCode != 0 || !File.Exists(made)) return Failed(output, string.Create(CultureInfo.InvariantCulture, $"exit code {result.ExitCode}: {LastLine(result.Complaints)}"));
            var bytes = File.ReadAllBytes(made);
            if (bytes.AsSpan(Math.Max(0, bytes.Length - 64)).IndexOf(last) < 0) return Failed(output, "the file breaks off, as on a full disk");
            Output.Write(output, stream => stream.Write(bytes));
            return null;
        }
        catch (OperationCanceledException) when (!cancellation.IsCancellationRequested)
        {
            return Failed(output, string.Create(CultureInfo.InvariantCulture, $"no end after {_patience.TotalSeconds} s"));
        }
    }

    private static Problem Failed(string output, string found) => new("OUT-002", Severity.Warning, Path.GetFileName(output), $"Chromium wrote no file ({found})", "a file",
        "Open the HTML report in any browser and print it from there; the figures are there as SVG.");

    private static string LastLine(string text) => text.Split('\n', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries) is { Length: > 0 } lines ? lines[^1] : "nothing said";
}
