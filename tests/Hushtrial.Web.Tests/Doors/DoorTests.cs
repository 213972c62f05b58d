using System.Net;
using System.Text.RegularExpressions;
using Hushtrial.Web.Tests.Recordings;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Doors;

/// <summary>Who may come in, from where, and what the answers allow a page to do.</summary>
public sealed partial class DoorTests(OneBrowser browser)
{
    /// <summary>The pages of a trial.</summary>
    public static IReadOnlyList<string> PagesOf(Guid trial) =>
        [.. new[] { "question", "devices", "plan", "recordings", "calibrate", "ground", "takes", "findings", "results", "numbers/loss/alder", "meaning", "hear", "report", "history" }.Select(p => $"/trials/{trial:N}/{p}")];

    [Fact]
    public async Task Without_the_key_nothing_opens_but_style_and_modules()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        using var stranger = new HttpClient { BaseAddress = new Uri(workspace.Workspace.Root) };
        foreach (var path in PagesOf(trial).Concat(["/", "/nothing", "/enter", "/enter?key=", $"/enter?key={new string('A', 43)}", $"/trials/{trial:N}/trial.zip", $"/trials/{trial:N}/report.html", $"/trials/{trial:N}/events", $"/trials/{trial:N}/recordings/flight/levels?channel=1"]))
        {
            using var answer = await stranger.GetAsync(new Uri(path, UriKind.Relative), TestContext.Current.CancellationToken);
            Assert.True(answer.StatusCode == HttpStatusCode.Unauthorized, $"{path}: {answer.StatusCode}");
            Assert.Equal("nosniff", Assert.Single(answer.Headers.GetValues("X-Content-Type-Options")));
            Assert.DoesNotContain("Alder", await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        }
        using var refused = await stranger.PostAsync(new Uri("/trials", UriKind.Relative), null, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Unauthorized, refused.StatusCode);
        Assert.Single(workspace.Workspace.Library.List());
    }

    [Theory]
    [InlineData("Host", "rebound.example:4817", HttpStatusCode.MisdirectedRequest)]
    [InlineData("Host", "127.0.0.1.rebound.example", HttpStatusCode.MisdirectedRequest)]
    [InlineData("Origin", "https://rebound.example", HttpStatusCode.Forbidden)]
    [InlineData("Origin", "null", HttpStatusCode.Forbidden)]
    [InlineData("Origin", "http://127.0.0.1:1", HttpStatusCode.Forbidden)]
    [InlineData("Sec-Fetch-Site", "cross-site", HttpStatusCode.Forbidden)]
    [InlineData("Sec-Fetch-Site", "same-site", HttpStatusCode.Forbidden)]
    [InlineData("Sec-Fetch-Site", "same-origin", HttpStatusCode.Redirect)]
    public async Task A_page_of_another_place_changes_nothing(string header, string value, HttpStatusCode expected)
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        using var answer = await visitor.AskAsync("POST", "/trials", null, (header, value));
        Assert.Equal(expected, answer.StatusCode);
        Assert.Equal(expected == HttpStatusCode.Redirect ? 1 : 0, workspace.Workspace.Library.List().Count);
    }

    [Fact]
    public async Task Without_the_token_of_this_library_nothing_changes()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        await using var other = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        using var elsewhere = await Visitor.EnterAsync(other.Workspace);
        var good = visitor.Token;
        foreach (var token in new[] { "", elsewhere.Token, good[..^2] })
            foreach (var (method, path) in new[] { ("POST", "/trials"), ("POST", "/demo/tractor"), ("POST", "/import"), ("POST", $"/trials/{trial:N}/edits"), ("POST", $"/trials/{trial:N}/undo"), ("POST", $"/trials/{trial:N}/erase"), ("POST", $"/trials/{trial:N}/uploads"), ("POST", $"/trials/{trial:N}/local-files"), ("PATCH", $"/trials/{trial:N}/uploads/{Guid.NewGuid():N}"), ("DELETE", $"/trials/{trial:N}/uploads/{Guid.NewGuid():N}") })
            {
                visitor.Token = token;
                using var answer = await visitor.AskAsync(method, path);
                Assert.True(answer.StatusCode == HttpStatusCode.Forbidden, $"{method} {path}: {answer.StatusCode}");
            }
        Assert.Equal(1, Assert.Single(workspace.Workspace.Library.List()) is { } only ? workspace.Workspace.Library.Find(only.Id)!.Revision : 0);
    }

    [Fact]
    public async Task No_answer_lets_a_page_run_or_style_anything_of_its_own()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace, SoundTrial.FourTakes);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        await ResultsAsync(visitor, trial);
        foreach (var path in PagesOf(trial).Concat(["/", "/nothing", $"/trials/{Guid.NewGuid():N}/results"]))
        {
            using var answer = await visitor.AskAsync("GET", path);
            var html = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
            Assert.True(answer.StatusCode == (path == "/nothing" || html.Contains("<title>Nothing here", StringComparison.Ordinal) ? HttpStatusCode.NotFound : HttpStatusCode.OK), $"{path}: {answer.StatusCode}");
            var policy = Assert.Single(answer.Headers.GetValues("Content-Security-Policy"));
            Assert.Contains("default-src 'none'; script-src 'self'; style-src 'self';", policy, StringComparison.Ordinal);
            Assert.DoesNotContain("unsafe", policy, StringComparison.Ordinal);
            Assert.Contains("frame-ancestors 'none'", policy, StringComparison.Ordinal);
            Assert.Equal("nosniff", Assert.Single(answer.Headers.GetValues("X-Content-Type-Options")));
            Assert.Equal("same-origin", Assert.Single(answer.Headers.GetValues("Referrer-Policy")));
            Assert.True(answer.Headers.CacheControl?.NoStore, path);
            Assert.True(!Own().IsMatch(html), $"{path}: {Own().Match(html).Value}");
            Assert.DoesNotContain(KeyOf(workspace), html, StringComparison.Ordinal);
        }
        foreach (var (path, type) in new[] { ($"/trials/{trial:N}/exports/results.json", "application/json"), ($"/trials/{trial:N}/exports/takes.csv", "text/csv"), ($"/trials/{trial:N}/trial.zip", "application/zip"), ($"/trials/{trial:N}/recordings/flight/listen?channel=1&from=1&to=2", "audio/wav") })
        {
            using var answer = await visitor.AskAsync("GET", path);
            Assert.True(answer.IsSuccessStatusCode, $"{path}: {answer.StatusCode}");
            Assert.Equal(type, answer.Content.Headers.ContentType?.MediaType);
            Assert.Equal("nosniff", Assert.Single(answer.Headers.GetValues("X-Content-Type-Options")));
        }
    }

    [Fact]
    public async Task What_is_not_there_is_said_not_thrown()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace, SoundTrial.FourTakes);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        await ResultsAsync(visitor, trial);
        var nobody = Guid.NewGuid().ToString("N");
        string[] gone = [.. PagesOf(Guid.Parse(nobody)), "/trials/x/results", $"/trials/{trial:N}/nothing", $"/trials/{trial:N}/numbers/loss/dogwood", $"/trials/{trial:N}/exports/nothing.csv", $"/trials/{trial:N}/exports/../../visit.key", $"/trials/{nobody}/trial.zip", $"/trials/{nobody}/report.html", $"/trials/{nobody}/events",
            $"/trials/{trial:N}/recordings/nothing/levels?channel=1", $"/trials/{trial:N}/recordings/flight/levels?channel=9"];
        foreach (var path in gone)
        {
            using var answer = await visitor.AskAsync("GET", path);
            Assert.True(answer.StatusCode == HttpStatusCode.NotFound, $"{path}: {answer.StatusCode}");
        }
        foreach (var act in new[] { "undo", "redo", "restore/3", "remove", "bring-back", "erase", "uploads", "local-files", "edits" })
        {
            using var answer = await visitor.AskAsync("POST", $"/trials/{nobody}/{act}", act switch { "edits" => new { revision = 1, edit = new { set = new { path = "trial.title", value = "x" } } }, "local-files" => new { path = "x" }, _ => null }, ("Upload-Length", "100"));
            Assert.True(answer.StatusCode == HttpStatusCode.NotFound, $"{act}: {answer.StatusCode}");
        }
        foreach (var broken in new object[] { new { revision = 1 }, new { revision = 1, edit = new { } }, new { revision = 1, edit = new { set = new { path = "trial.title", value = "x" }, remove = new { section = "takes", entry = "T01" } } } })
        {
            using var answer = await visitor.AskAsync("POST", $"/trials/{trial:N}/edits", broken);
            Assert.True(answer.StatusCode == HttpStatusCode.BadRequest, $"{broken}: {answer.StatusCode}");
        }
        foreach (var odd in new object[] { new { revision = 99, edit = new { set = new { path = "trial.title", value = "x" } } }, new { revision = 1, edit = new { set = new { path = "no.such[thing", value = "x" } } }, new { revision = 1, edit = new { remove = new { section = "", entry = "" } } }, new { revision = -1, edit = new { move = new { section = "takes", entry = "T01", to = -5 } } } })
        {
            using var answer = await visitor.AskAsync("POST", $"/trials/{trial:N}/edits", odd);
            Assert.True((int)answer.StatusCode is >= 400 and < 500, $"{odd}: {answer.StatusCode}");
        }
    }

    [Fact]
    public async Task Deep_links_the_way_back_and_the_key_stays_home()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        var page = await workspace.PageAsync("/nothing-there");
        var carried = new List<Task<string?>>();
        // Only of requests that ended: the headers of one that the next page cut off are never told.
        page.RequestFinished += (_, request) => carried.Add(Carried(request));
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Nothing here" })).ToBeVisibleAsync();
        await page.GotoAsync(workspace.Workspace.AddressOf(trial, "takes"));
        await page.WaitForURLAsync($"**/trials/{trial:N}/takes");
        foreach (var name in new[] { "Findings", "Results" })
        {
            await page.GetByRole(AriaRole.Navigation).GetByRole(AriaRole.Link, new() { Name = name }).ClickAsync();
            await Expect(page.GetByRole(AriaRole.Heading, new() { Name = name, Exact = true, Level = 1 })).ToBeVisibleAsync();
        }
        await page.GoBackAsync();
        await page.GoBackAsync();
        Assert.EndsWith("/takes", page.Url, StringComparison.Ordinal);
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Takes", Exact = true, Level = 1 })).ToBeVisibleAsync();
        await page.GoForwardAsync();
        Assert.EndsWith("/findings", page.Url, StringComparison.Ordinal);
        await page.GotoAsync($"{workspace.Workspace.Root}/trials/{trial:N}");
        Assert.EndsWith("/question", page.Url, StringComparison.Ordinal);
        var referers = (await Task.WhenAll(carried)).OfType<string>().ToList();
        Assert.NotEmpty(referers);
        Assert.All(referers, r => Assert.DoesNotContain(KeyOf(workspace), r, StringComparison.Ordinal));
        Assert.DoesNotContain(KeyOf(workspace), await page.ContentAsync(), StringComparison.Ordinal);
        Assert.Equal(["Failed to load resource: the server responded with a status of 404 (Not Found)"], workspace.Complaints);
    }

    [Theory]
    [InlineData("//elsewhere.example/")]
    [InlineData("https://elsewhere.example/")]
    [InlineData("/\\elsewhere.example/")]
    [InlineData("javascript:alert(1)")]
    [InlineData("/a\"><script>alert(1)</script>")]
    public async Task Entering_leads_nowhere_else(string to)
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var page = await workspace.PageAsync();
        await page.GotoAsync($"{workspace.Workspace.Address}&to={Uri.EscapeDataString(to)}");
        await page.WaitForURLAsync(url => !new Uri(url).AbsolutePath.StartsWith("/enter", StringComparison.Ordinal));
        Assert.StartsWith(workspace.Workspace.Root + "/", page.Url, StringComparison.Ordinal);
        Assert.DoesNotContain(workspace.Complaints, c => !c.Contains("404", StringComparison.Ordinal));
        await page.GotoAsync($"{workspace.Workspace.Root}/language/de?to={Uri.EscapeDataString(to.Contains('<', StringComparison.Ordinal) ? "/" : to)}");
        Assert.StartsWith(workspace.Workspace.Root + "/", page.Url, StringComparison.Ordinal);
        await Expect(page.Locator("html")).ToHaveAttributeAsync("lang", "de");
    }

    private static async Task<string?> Carried(IRequest request)
    {
        try
        {
            return await request.HeaderValueAsync("referer");
        }
        catch (PlaywrightException)
        {
            // The page went on before it was answered.
            return null;
        }
    }

    private static string KeyOf(OpenedWorkspace workspace) => workspace.Workspace.Address[(workspace.Workspace.Address.IndexOf("key=", StringComparison.Ordinal) + 4)..];

    private static async Task ResultsAsync(Visitor visitor, Guid trial)
    {
        for (var tries = 0; tries < 300; tries++)
        {
            using var answer = await visitor.AskAsync("GET", $"/trials/{trial:N}/results");
            if ((await answer.Content.ReadAsStringAsync()).Contains("id=\"overall\"", StringComparison.Ordinal)) return;
            await Task.Delay(200);
        }
        Assert.Fail("No results came.");
    }

    /// <summary>Style and script that stand in a page: attributes of elements, elements without a source. Data blocks are neither.</summary>
    [GeneratedRegex("""<[a-z][^>"']*(?:"[^"]*"[^>"']*|'[^']*'[^>"']*)*?\s(?:style|on[a-z]+)\s*=|<style|<script(?![^>]*(?:\ssrc=|type="application/json"))|(?:href|src|action)\s*=\s*"?javascript:""", RegexOptions.IgnoreCase)]
    private static partial Regex Own();
}
