using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests;

/// <summary>From an empty library to devices and conditions, in a real browser.</summary>
public sealed class FirstStepsTests(OneBrowser browser)
{
    [Fact]
    public async Task A_trial_is_begun_named_and_kept_as_it_is_typed()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var page = await workspace.PageAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Begin a trial" }).ClickAsync();
        await Expect(page).ToHaveURLAsync(new System.Text.RegularExpressions.Regex("/question$"));
        await page.GetByLabel("Title").FillAsync("Two headsets in a loud cabin");
        await page.GetByLabel("Title").BlurAsync();
        await Expect(page.Locator("#saved")).ToHaveTextAsync("Saved");
        await page.GetByLabel("Insertion loss").CheckAsync();
        await Expect(page.Locator("#saved")).ToHaveTextAsync("Saved");
        await page.ReloadAsync();
        await Expect(page.GetByLabel("Title")).ToHaveValueAsync("Two headsets in a loud cabin");
        await Expect(page.GetByLabel("Insertion loss")).ToBeCheckedAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Undo" }).ClickAsync();
        await Expect(page.GetByLabel("Insertion loss")).Not.ToBeCheckedAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Redo" }).ClickAsync();
        await Expect(page.GetByLabel("Insertion loss")).ToBeCheckedAsync();
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task Devices_conditions_and_wearers_are_added_by_keyboard_alone()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var page = await workspace.PageAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Begin a trial" }).PressAsync("Enter");
        await page.GetByRole(AriaRole.Link, new() { Name = "Devices and claims" }).First.PressAsync("Enter");
        await page.GetByRole(AriaRole.Button, new() { Name = "Add a device" }).PressAsync("Enter");
        await page.Locator("#list-f-devices input[data-rename]").FillAsync("alder");
        await page.Keyboard.PressAsync("Tab");
        await Expect(page.Locator("#f-devices-alder-")).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Add the condition" }).PressAsync("Enter");
        await Expect(page.Locator("#list-f-conditions select").First).ToHaveValueAsync("alder");
        var trial = workspace.Workspace.Library.List().Single();
        var draft = workspace.Workspace.Library.Find(trial.Id)!.Draft;
        Assert.Equal(["alder"], draft.Ids("devices"));
        Assert.Equal("alder", draft.Value("conditions[alder].device"));
        Assert.Empty(workspace.Complaints);
    }
}
