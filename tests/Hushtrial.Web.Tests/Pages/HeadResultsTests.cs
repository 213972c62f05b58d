using System.Net;
using System.Text.Json;
using Hushtrial.Trials.Document;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Pages;

/// <summary>A file that leaves the workspace is of the trial as it stands, or it does not leave.</summary>
public sealed class HeadResultsTests(OneBrowser browser)
{
    private const string Document = """
        hushtrial: 1
        trial: { title: Two on a vineyard tractor, quantity: insertion-loss, design: readings-only }
        devices: [{ id: alder, name: Alder, kind: over-ear }]
        conditions: [{ id: alder, device: alder }]
        runs: [{ id: R1 }]
        takes: [{ id: T01, condition: open, reading_a: 90 }, { id: T02, condition: alder, fit: A1, reading_a: 70 }, { id: T03, condition: open, reading_a: 90 }, { id: T04, condition: alder, fit: A2, reading_a: 70 }]

        """;

    private static readonly string[] _files = ["exports/results.json", "exports/takes.csv", "report.html?save=1", "report.html"];

    private static (Guid Trial, Action<string> Read) Begin(OpenedWorkspace workspace)
    {
        var library = workspace.Workspace.Library;
        var trial = library.Create(TrialDraft.FromText(Document, "trial.yaml").Draft!, "Begun").Id;
        return (trial, level => library.Edit(trial, library.Find(trial)!.Revision, new DraftEdit.Set("takes[T02].reading_a", level), "me"));
    }

    private static string With(string file, int revision) => $"{file}{(file.Contains('?', StringComparison.Ordinal) ? '&' : '?')}revision={revision}";

    private static async Task<double> FirstLossAsync(Visitor visitor, Guid trial, string query = "")
    {
        using var answer = await visitor.AskAsync("GET", $"/trials/{trial:N}/exports/results.json{query}");
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        using var json = JsonDocument.Parse(await answer.Content.ReadAsStringAsync());
        return json.RootElement.GetProperty("conditions")[0].GetProperty("loss").GetProperty("a").GetProperty("estimate").GetDouble();
    }

    [Fact]
    public async Task A_saved_file_is_of_the_revision_that_was_asked_for_or_refused_with_a_sentence()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var (trial, read) = Begin(workspace);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        // Nobody has opened a page yet, so that nothing has asked for an analysis: the file waits for it.
        var before = await FirstLossAsync(visitor, trial, "?revision=1");
        read("60");
        // 10 dB less under the device in one of two fits: the file right after the change is of the change.
        Assert.InRange(await FirstLossAsync(visitor, trial), before + 3, before + 10);
        foreach (var file in _files)
        {
            using var answer = await visitor.AskAsync("GET", $"/trials/{trial:N}/{With(file, 1)}");
            Assert.True(answer.StatusCode == HttpStatusCode.Conflict, $"{file}: {answer.StatusCode}");
            Assert.Contains("has changed in the meantime", await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        }
        read("abc");
        foreach (var file in _files.Concat(_files.Select(f => With(f, 3))))
        {
            using var answer = await visitor.AskAsync("GET", $"/trials/{trial:N}/{file}");
            Assert.True(answer.StatusCode == HttpStatusCode.Conflict, $"{file}: {answer.StatusCode}");
            Assert.Contains("cannot be read as it stands", await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task The_page_of_the_report_gives_no_files_of_a_trial_that_cannot_be_read_and_says_so()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var (trial, read) = Begin(workspace);
        var page = await workspace.PageAsync($"/trials/{trial:N}/report");
        var save = page.GetByRole(AriaRole.Link, new() { Name = "Results as JSON" });
        await Expect(save).ToHaveAttributeAsync("href", $"/trials/{trial:N}/exports/results.json?revision=1");
        var download = await page.RunAndWaitForDownloadAsync(() => save.ClickAsync());
        Assert.Equal("results.json", download.SuggestedFilename);
        download = await page.RunAndWaitForDownloadAsync(() => page.GetByRole(AriaRole.Link, new() { Name = "Save as HTML" }).ClickAsync());
        Assert.Equal("report.html", download.SuggestedFilename);
        read("abc");
        await page.ReloadAsync();
        await Expect(page.Locator("#report-ways")).ToContainTextAsync("There is no report of the trial as it stands");
        await Expect(save).ToHaveCountAsync(0);
        await page.Locator("#report-ways").GetByRole(AriaRole.Link, new() { Name = "Findings" }).ClickAsync();
        await Expect(page.Locator("#findings")).ToContainTextAsync("abc");
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task Undo_of_a_page_that_has_not_seen_the_newest_change_is_refused()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var (trial, read) = Begin(workspace);
        var library = workspace.Workspace.Library;
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        read("71");
        read("72");
        library.Undo(trial);
        // The page shows revision 2, with 72 to be redone; another page saves revision 4 meanwhile.
        read("73");
        foreach (var act in new[] { "undo", "redo", "restore/1" })
        {
            using var unseen = await visitor.AskAsync("POST", $"/trials/{trial:N}/{act}?shown=2");
            Assert.True(unseen.StatusCode == HttpStatusCode.Conflict, $"{act}: {unseen.StatusCode}");
            Assert.Contains("has changed in the meantime", await unseen.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
            using var blind = await visitor.AskAsync("POST", $"/trials/{trial:N}/{act}");
            Assert.True(blind.StatusCode == HttpStatusCode.BadRequest, $"{act}: {blind.StatusCode}");
        }
        Assert.Equal("73", library.Find(trial)!.Draft.Value("takes[T02].reading_a"));
        using var seen = await visitor.AskAsync("POST", $"/trials/{trial:N}/undo?shown=4");
        Assert.Equal(HttpStatusCode.OK, seen.StatusCode);
        Assert.Equal("71", library.Find(trial)!.Draft.Value("takes[T02].reading_a"));
    }

    [Fact]
    public async Task Two_undos_in_a_row_take_back_two_changes()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var (trial, read) = Begin(workspace);
        foreach (var level in new[] { "71", "72", "73" }) read(level);
        var page = await workspace.PageAsync($"/trials/{trial:N}/findings");
        // Both before the first is answered.
        await page.EvaluateAsync("() => { const button = document.querySelector('[data-post=undo]'); button.click(); button.click(); }");
        await Expect(page.Locator("meta[name=revision]")).ToHaveAttributeAsync("content", "2");
        await Expect(page.Locator("#saved")).ToHaveTextAsync("Saved");
        Assert.Equal("71", workspace.Workspace.Library.Find(trial)!.Draft.Value("takes[T02].reading_a"));
        Assert.Empty(workspace.Complaints);
    }
}
