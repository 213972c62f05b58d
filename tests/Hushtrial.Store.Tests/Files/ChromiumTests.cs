using System.Buffers.Binary;
using Hushtrial.Store.Files;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Files;

public sealed class ChromiumTests : IDisposable
{
    private const string Figure = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"600\" height=\"200\" viewBox=\"0 0 600 200\"><rect width=\"600\" height=\"200\" fill=\"#246\"/></svg>";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("hushtrial-test-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void Without_one_the_note_says_how_to_get_a_PDF()
    {
        Assert.Null(Chromium.Find(_folder.FullName));
        Assert.Null(Chromium.Find(null));
        Assert.Equal(Severity.Note, Chromium.Missing.Severity);
        Assert.Contains("print it to PDF", Chromium.Missing.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_figure_becomes_a_PNG_of_twice_its_size()
    {
        var stop = TestContext.Current.CancellationToken;
        var chromium = Chromium.Find(Environment.GetEnvironmentVariable("PATH"));
        Assert.SkipWhen(chromium is null, "No Chromium on the search path.");
        var svg = Path.Combine(_folder.FullName, "a figure #1.svg");
        await File.WriteAllTextAsync(svg, Figure, stop);
        var png = Path.Combine(_folder.FullName, "a figure.png");
        Assert.Null(chromium!.Draw(svg, png, 600, 200, stop));
        var bytes = await File.ReadAllBytesAsync(png, stop);
        // Portable Network Graphics (second edition), 11.2.2: IHDR holds width and height at bytes 16 and 20.
        Assert.Equal((1200, 400), (BinaryPrimitives.ReadInt32BigEndian(bytes.AsSpan(16)), BinaryPrimitives.ReadInt32BigEndian(bytes.AsSpan(20))));
    }

    [Fact]
    public async Task A_page_becomes_a_PDF()
    {
        var stop = TestContext.Current.CancellationToken;
        var chromium = Chromium.Find(Environment.GetEnvironmentVariable("PATH"));
        Assert.SkipWhen(chromium is null, "No Chromium on the search path.");
        var html = Path.Combine(_folder.FullName, "report.html");
        await File.WriteAllTextAsync(html, "<!DOCTYPE html><html lang=en><title>x</title><h1>Report</h1>", stop);
        var pdf = Path.Combine(_folder.FullName, "report.pdf");
        Assert.Null(chromium!.Print(html, pdf, stop));
        Assert.Equal("%PDF-"u8.ToArray(), (await File.ReadAllBytesAsync(pdf, stop))[..5]);
    }

    [Fact]
    public async Task A_program_that_fails_is_reported_with_its_exit_code()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "A shell script stands in for the browser.");
        var stop = TestContext.Current.CancellationToken;
        var script = Path.Combine(_folder.FullName, "chromium");
        await File.WriteAllTextAsync(script, "#!/bin/sh\necho 'no display' >&2\nexit 7\n", stop);
        if (!OperatingSystem.IsWindows()) File.SetUnixFileMode(script, UnixFileMode.UserRead | UnixFileMode.UserExecute);
        var problem = Chromium.Find(_folder.FullName)!.Print("in.html", Path.Combine(_folder.FullName, "out.pdf"), stop);
        Assert.Equal("OUT-002", problem!.Code);
        Assert.Contains("exit code 7: no display", problem.Found, StringComparison.Ordinal);
    }
}
