using Hushtrial.Signals.Recordings;
using Microsoft.Playwright;

namespace Hushtrial.Web.Tests.Capturing;

/// <summary>A browser whose microphone plays a file: noise in two channels, 44.1 kHz and 16 bits, which it hands on sample by sample.</summary>
internal sealed class FakeInput : IAsyncDisposable
{
    /// <summary>Sampling rate of the file and of the browser's stand-in for a device, Hz.</summary>
    public const int Rate = 44_100;

    private readonly DirectoryInfo _folder;
    private readonly IPlaywright _playwright;

    private FakeInput(DirectoryInfo folder, IPlaywright playwright, IBrowser browser, short[] played) => (_folder, _playwright, Browser, Played) = (folder, playwright, browser, played);

    public IBrowser Browser { get; }

    /// <summary>What is played, left and right alternating.</summary>
    public short[] Played { get; }

    /// <param name="seconds">Length of what is played.</param>
    /// <param name="play">Value of a frame in both channels, full scale = 1; noise when left out.</param>
    public static async Task<FakeInput> StartAsync(double seconds, Func<int, double>? play = null)
    {
        var folder = Directory.CreateTempSubdirectory("hushtrial-input-");
        var path = Path.Combine(folder.FullName, "noise.wav");
        var state = 1u;
        // Never zero: what is zero in a capture was not played.
        var played = new short[2 * (int)(seconds * Rate)];
        for (var n = 0; n < played.Length; n++) played[n] = (short)((((state = (1664525 * state) + 1013904223) >> 17) % 12_000) - 6000) is var s and not 0 ? (short)s : (short)1;
        if (play is not null)
            for (var n = 0; n < played.Length; n++) played[n] = (short)Math.Round(32767 * play(n / 2)) is var s and not 0 ? s : (short)1;
        using (var stream = File.Create(path))
        using (var writer = new WaveWriter(stream, Rate, 2, WaveSampleFormat.Integer16)) writer.Write([.. played.Select(s => s / 32768.0)]);
        var playwright = await Playwright.CreateAsync();
        var browser = await playwright.Chromium.LaunchAsync(new()
        {
            ExecutablePath = "/usr/bin/chromium",
            ChromiumSandbox = false,
            Args = ["--disable-gpu", "--disable-quic", "--no-first-run", "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream", $"--use-file-for-fake-audio-capture={path}%noloop"],
        });
        return new(folder, playwright, browser, played);
    }

    /// <summary>Kills the browser as a power cut would: no page hears of it.</summary>
    public void Kill()
    {
        // The first process of this browser is the one that plays the file and is no helper of another.
        foreach (var process in System.Diagnostics.Process.GetProcesses().Where(p => Commands(p.Id) is var command && command.Contains(_folder.FullName, StringComparison.Ordinal) && !command.Contains("--type=", StringComparison.Ordinal)))
            process.Kill();
    }

    private static string Commands(int process)
    {
        try { return File.ReadAllText($"/proc/{process}/cmdline"); }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException) { return ""; }
    }

    public async ValueTask DisposeAsync()
    {
        await Browser.DisposeAsync();
        _playwright.Dispose();
        _folder.Delete(recursive: true);
    }
}
