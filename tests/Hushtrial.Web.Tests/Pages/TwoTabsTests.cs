using Hushtrial.Trials.Document;
using Hushtrial.Web.Tests.Recordings;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Pages;

/// <summary>Two pages of one trial, and a workspace that goes away: nothing that was acknowledged is lost, nothing is overwritten unseen.</summary>
public sealed class TwoTabsTests(OneBrowser browser)
{
    private static string? Title(OpenedWorkspace workspace, Guid trial) => workspace.Workspace.Library.Find(trial)!.Draft.Value("trial.title");

    private static async Task<(Guid Trial, IPage One, IPage Two)> OpenAsync(OpenedWorkspace workspace)
    {
        var trial = SoundTrial.Bring(workspace);
        var one = await workspace.PageAsync($"/trials/{trial:N}/question");
        return (trial, one, await workspace.TabAsync(one, $"/trials/{trial:N}/question"));
    }

    private static async Task TypeAsync(IPage page, string text)
    {
        await page.GetByLabel("Title").FillAsync(text);
        await page.GetByLabel("Title").PressAsync("Tab");
    }

    [Fact]
    public async Task A_change_in_one_shows_in_the_other_and_undo_works_across()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var (trial, one, two) = await OpenAsync(workspace);
        // Whoever is in a field without having typed sees the other's change there too.
        await two.GetByLabel("Title").FocusAsync();
        await TypeAsync(one, "Alder by day");
        await Expect(two.GetByLabel("Title")).ToHaveValueAsync("Alder by day");
        await Expect(two.Locator(".which")).ToHaveTextAsync("Alder by day");
        await TypeAsync(two, "Alder by night");
        await Expect(one.GetByLabel("Title")).ToHaveValueAsync("Alder by night");
        await one.GetByRole(AriaRole.Button, new() { Name = "Undo" }).ClickAsync();
        await Expect(two.GetByLabel("Title")).ToHaveValueAsync("Alder by day");
        await two.GetByRole(AriaRole.Button, new() { Name = "Redo" }).ClickAsync();
        await Expect(one.GetByLabel("Title")).ToHaveValueAsync("Alder by night");
        Assert.Equal("Alder by night", Title(workspace, trial));
        Assert.Empty(workspace.Complaints);
    }

    [Theory]
    [InlineData("Keep mine", "Typed here")]
    [InlineData("Keep the other", "Saved there")]
    public async Task The_same_field_changed_in_both_asks_and_both_answers_work(string answer, string expected)
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var (trial, one, two) = await OpenAsync(workspace);
        // The other saves while this one types: the page has heard of it, the person has not.
        await two.GetByLabel("Title").FillAsync("Typed here");
        await TypeAsync(one, "Saved there");
        await Expect(one.Locator("#saved")).ToHaveTextAsync("Saved");
        await Expect(two.Locator("meta[name=revision]")).ToHaveAttributeAsync("content", "2");
        await Expect(two.GetByLabel("Title")).ToHaveValueAsync("Typed here");
        await two.GetByLabel("Title").PressAsync("Enter");
        var dialog = two.GetByRole(AriaRole.Dialog, new() { Name = "Changed in the meantime" });
        await Expect(dialog).ToContainTextAsync("There it says: ‘Saved there’. You wrote: ‘Typed here’.");
        Assert.Empty(await OpenedWorkspace.AxeAsync(two));
        Assert.Equal("Saved there", Title(workspace, trial));
        await dialog.GetByRole(AriaRole.Button, new() { Name = answer }).ClickAsync();
        await Expect(dialog).ToHaveCountAsync(0);
        await Expect(two.GetByLabel("Title")).ToHaveValueAsync(expected);
        await Expect(one.GetByLabel("Title")).ToHaveValueAsync(expected);
        Assert.Equal(expected, Title(workspace, trial));
        // The question is settled: the next change of the same field is not asked about.
        await TypeAsync(two, "Later");
        await Expect(one.GetByLabel("Title")).ToHaveValueAsync("Later");
        await Expect(two.GetByRole(AriaRole.Dialog)).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task Quick_changes_of_one_page_are_never_held_against_it()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var (trial, one, _) = await OpenAsync(workspace);
        var title = one.GetByLabel("Title");
        foreach (var text in new[] { "A", "AB", "ABC", "ABCD" })
        {
            await title.FillAsync(text);
            await title.PressAsync("Enter");
        }
        await title.PressAsync("Tab");
        // Typing and going on at once: the change goes along.
        await one.Locator("#f-trial-purpose").FillAsync("To know");
        await one.GetByRole(AriaRole.Navigation).GetByRole(AriaRole.Link, new() { Name = "Devices and claims" }).ClickAsync();
        await Expect(one.GetByRole(AriaRole.Heading, new() { Name = "Devices and claims", Level = 1 })).ToBeVisibleAsync();
        Assert.Equal("ABCD", Title(workspace, trial));
        Assert.Equal("To know", workspace.Workspace.Library.Find(trial)!.Draft.Value("trial.purpose"));
        await Expect(one.GetByRole(AriaRole.Dialog)).ToHaveCountAsync(0);
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task A_workspace_that_went_away_is_said_and_what_was_typed_is_saved_once_it_is_back()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        var page = await workspace.PageAsync($"/trials/{trial:N}/question");
        await TypeAsync(page, "Acknowledged");
        await Expect(page.Locator("#saved")).ToHaveTextAsync("Saved");
        var clock = System.Diagnostics.Stopwatch.StartNew();
        await workspace.StopAsync();
        // An open page does not keep it from closing.
        Assert.InRange(clock.Elapsed.TotalSeconds, 0, 15);
        await Expect(page.Locator("#saved")).ToContainTextAsync("does not answer");
        await TypeAsync(page, "Typed meanwhile");
        await Expect(page.Locator("#saved")).ToContainTextAsync("Not saved");
        await workspace.StartAgainAsync();
        Assert.Equal("Acknowledged", Title(workspace, trial));
        await Expect(page.Locator("#saved")).ToHaveTextAsync("Saved");
        Assert.Equal("Typed meanwhile", Title(workspace, trial));
        await Expect(page.Locator(".which")).ToHaveTextAsync("Typed meanwhile");
        // The page hears again what others do.
        var library = workspace.Workspace.Library;
        library.Edit(trial, library.Find(trial)!.Revision, new DraftEdit.Set("trial.title", "Elsewhere"), "other");
        await page.Locator("#f-trial-purpose").FillAsync("x");
        await page.Locator("#f-trial-purpose").PressAsync("Tab");
        await Expect(page.GetByLabel("Title")).ToHaveValueAsync("Elsewhere");
    }

    [Fact]
    public async Task Nine_open_pages_of_a_trial_do_not_shut_out_the_tenth()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        var one = await workspace.PageAsync($"/trials/{trial:N}/question");
        // The test's browser calls every tab visible; a real one shows one at a time.
        await one.Context.AddInitScriptAsync("Object.defineProperty(document, 'hidden', { get: () => !document.documentElement.hasAttribute('data-seen') });");
        for (var n = 0; n < 8; n++) await workspace.TabAsync(one, $"/trials/{trial:N}/question");
        var last = await workspace.TabAsync(one, $"/trials/{trial:N}/question");
        await Expect(last.GetByLabel("Title")).ToHaveValueAsync("Alder in a loud cabin");
        await TypeAsync(one, "Renewed");
        await Expect(one.Locator("#saved")).ToHaveTextAsync("Saved");
        // Looked at again, it catches up.
        await last.EvaluateAsync("() => { document.documentElement.setAttribute('data-seen', ''); document.dispatchEvent(new Event('visibilitychange')); }");
        await Expect(last.GetByLabel("Title")).ToHaveValueAsync("Renewed");
        Assert.Empty(workspace.Complaints);
    }
}
