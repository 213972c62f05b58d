using System.Diagnostics;
using System.Globalization;
using Hushtrial.Trials.Document;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Uploads;

/// <summary>Recordings come in whole, whatever happens on the way.</summary>
public sealed class UploadPageTests(OneBrowser browser, ITestOutputHelper output)
{
    /// <summary>Length of the large file in megabytes. A recorder's file may be ten times that; HUSHTRIAL_UPLOAD_MB=4000 tries it.</summary>
    private static long LargeMegabytes => long.TryParse(Environment.GetEnvironmentVariable("HUSHTRIAL_UPLOAD_MB"), NumberStyles.None, CultureInfo.InvariantCulture, out var given) ? given : 300;

    private static Guid Begin(OpenedWorkspace workspace) => workspace.Workspace.Library.Create(TrialDraft.Empty("Files in"), "Begun").Id;

    private static async Task ChooseAsync(IPage page, params string[] paths) => await page.Locator("#files").SetInputFilesAsync(paths);

    private static string Kept(OpenedWorkspace workspace, Guid trial, string name) => Assert.Single(workspace.Workspace.Library.Find(trial)!.Files, f => f.Name == "recordings/" + name).Sha256;

    [Fact]
    public async Task A_line_that_breaks_twice_is_taken_up_where_it_broke()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var files = new SampleFiles();
        var trial = Begin(workspace);
        var path = files.Recording("flight.wav", 50);
        var page = await workspace.PageAsync($"/trials/{trial:N}/recordings");
        var offsets = new List<long>();
        await page.RouteAsync("**/uploads/*", async route =>
        {
            if (route.Request.Method != "PATCH") { await route.ContinueAsync(); return; }
            offsets.Add(long.Parse(route.Request.Headers["upload-offset"], CultureInfo.InvariantCulture));
            if (offsets.Count is 2 or 3) await route.AbortAsync("connectionreset");
            else await route.ContinueAsync();
        });
        await ChooseAsync(page, path);
        await Expect(page.Locator("#facts th[scope=row]")).ToHaveTextAsync("recordings/flight.wav", new() { Timeout = 60_000 });
        Assert.Equal(SampleFiles.Sha256(path), Kept(workspace, trial, "flight.wav"));
        const long piece = 16 * 1024 * 1024;
        Assert.Equal([0, piece, piece, piece, 2 * piece], offsets);
        Assert.All(workspace.Complaints, c => Assert.Contains("ERR_CONNECTION_RESET", c, StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_page_that_was_closed_goes_on_with_the_same_file()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var files = new SampleFiles();
        var trial = Begin(workspace);
        var path = files.Recording("flight.wav", 40);
        var page = await workspace.PageAsync($"/trials/{trial:N}/recordings");
        var second = new TaskCompletionSource();
        var pieces = 0;
        await page.RouteAsync("**/uploads/*", async route =>
        {
            // The second piece hangs until the page is gone.
            if (route.Request.Method == "PATCH" && ++pieces == 2) second.SetResult();
            else await route.ContinueAsync();
        });
        await ChooseAsync(page, path);
        await second.Task.WaitAsync(TimeSpan.FromSeconds(60), TestContext.Current.CancellationToken);
        var next = await workspace.TabAsync(page, $"/trials/{trial:N}/recordings");
        await page.CloseAsync();
        await Expect(next.Locator("#waiting")).ToContainTextAsync("of 40.0 MB are here");
        var offsets = new List<long>();
        next.Request += (_, request) => { if (request.Method == "PATCH") offsets.Add(long.Parse(request.Headers["upload-offset"], CultureInfo.InvariantCulture)); };
        await ChooseAsync(next, path);
        await Expect(next.Locator("#facts th[scope=row]")).ToHaveTextAsync("recordings/flight.wav", new() { Timeout = 60_000 });
        // The first piece is never sent again; of the second, what had come when the page went is kept too.
        Assert.InRange(offsets[0], 16 * 1024 * 1024, 32 * 1024 * 1024);
        Assert.Equal(SampleFiles.Sha256(path), Kept(workspace, trial, "flight.wav"));
        await Expect(next.Locator("#waiting li")).ToHaveCountAsync(0);
        // The closed page's piece may still be on its way into the file: until it is there the upload is locked, and the page tries again.
        Assert.All(workspace.Complaints, c => Assert.Contains("423", c, StringComparison.Ordinal));
    }

    [Fact]
    public async Task Several_at_once_come_in_each_under_its_name()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var files = new SampleFiles();
        Directory.CreateDirectory(files.PathOf("second"));
        var trial = Begin(workspace);
        string[] paths = [files.Recording("before.wav", 1, 1), files.Recording("flight.wav", 3, 2), files.Recording("after.wav", 1, 3), files.Recording(Path.Combine("second", "flight.wav"), 2, 4)];
        var page = await workspace.PageAsync($"/trials/{trial:N}/recordings");
        await ChooseAsync(page, paths);
        await Expect(page.Locator("#facts th[scope=row]")).ToHaveTextAsync(["recordings/before.wav", "recordings/flight.wav", "recordings/after.wav", "recordings/flight-2.wav"], new() { Timeout = 60_000 });
        Assert.Equal(paths.Select(SampleFiles.Sha256), new[] { "before.wav", "flight.wav", "after.wav", "flight-2.wav" }.Select(n => Kept(workspace, trial, n)));
        await Expect(page.Locator("#under-way li")).ToHaveCountAsync(0);
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task A_large_file_comes_in_whole()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var files = new SampleFiles();
        var spare = new DriveInfo(Path.GetPathRoot(workspace.Folder)!).AvailableFreeSpace / 1_000_000;
        Assert.SkipWhen(spare < LargeMegabytes + 2000, $"The disk has room for {spare} MB, {LargeMegabytes + 2000} MB are wanted.");
        var trial = Begin(workspace);
        var path = files.Recording("long.wav", LargeMegabytes);
        var page = await workspace.PageAsync($"/trials/{trial:N}/recordings");
        var clock = Stopwatch.StartNew();
        await ChooseAsync(page, path);
        await Expect(page.Locator("#facts th[scope=row]")).ToHaveTextAsync("recordings/long.wav", new() { Timeout = 900_000 });
        output.WriteLine(FormattableString.Invariant($"{LargeMegabytes} MB in {clock.Elapsed.TotalSeconds:F1} s; this process held {Process.GetCurrentProcess().PeakWorkingSet64 / 1_000_000} MB at most"));
        Assert.Equal(SampleFiles.Sha256(path), Kept(workspace, trial, "long.wav"));
        // Workspace and test are one process: a server that held a file in memory would show here.
        if (LargeMegabytes > 2000) Assert.InRange(Process.GetCurrentProcess().PeakWorkingSet64 / 1_000_000, 1, 1500);
        Assert.Empty(workspace.Complaints);
    }
}
