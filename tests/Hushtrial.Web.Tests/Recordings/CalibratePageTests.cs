using System.Globalization;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Recordings;

/// <summary>What a calibration gives is there at once, and follows what is changed.</summary>
public sealed class CalibratePageTests(OneBrowser browser)
{
    [Fact]
    public async Task A_tone_gives_the_level_of_full_scale_and_a_second_one_the_drift()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        var page = await workspace.PageAsync($"/trials/{trial:N}/calibrate");
        var given = page.Locator("#given tbody tr");
        // The tone has a mean square of 0.05², 26.02 dB below full scale: 94 dB there make 120.02 dB of full scale.
        await Expect(given.Locator("td").First).ToHaveTextAsync("120.02");
        await Expect(page.Locator("[data-part=legend] canvas")).ToBeVisibleAsync();
        // The page opens on the recording that holds the tone; a second span beside it becomes the calibration afterwards.
        await Expect(page.Locator("[data-part=what]")).ToHaveValueAsync("tone");
        await page.Locator("[data-part=surface]").FocusAsync();
        await page.Keyboard.PressAsync("m");
        await Expect(page.Locator("#panel-use")).ToBeFocusedAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Take it into the trial" }).ClickAsync();
        await Expect(page.Locator("#saved")).ToContainTextAsync("Say the level");
        Assert.Single(workspace.Workspace.Library.Find(trial)!.Draft.Ids("calibrations"));
        await page.Locator("#panel-level").FillAsync("94,3");
        await page.Locator("#panel-moment").SelectOptionAsync("after");
        await page.GetByRole(AriaRole.Button, new() { Name = "Take it into the trial" }).ClickAsync();
        // 0.3 dB more on the calibrator for the same tone: the mean of both, and the difference.
        await Expect(given.Locator("td").First).ToHaveTextAsync("120.17");
        await Expect(given.Locator("td").Nth(2)).ToHaveTextAsync("0.30");
        await page.GetByRole(AriaRole.Button, new() { Name = "Undo" }).ClickAsync();
        await Expect(given.Locator("td").First).ToHaveTextAsync("120.02");
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task Calibrations_are_told_also_while_the_rest_of_the_trial_cannot_be_read()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        var library = workspace.Workspace.Library;
        foreach (var section in new[] { "devices", "conditions" })
            library.Edit(trial, library.Find(trial)!.Revision, new Hushtrial.Trials.Document.DraftEdit.Set(section, null), "");
        Assert.Null(library.Find(trial)!.Draft.Read().Document);
        var page = await workspace.PageAsync($"/trials/{trial:N}/calibrate");
        await Expect(page.Locator("#given tbody tr td").First).ToHaveTextAsync("120.02");
        await Expect(page.GetByText("This trial is relative so far.")).ToHaveCountAsync(0);
        Assert.Equal(120.02.ToString(CultureInfo.InvariantCulture), await page.Locator("#given tbody tr td").First.TextContentAsync());
    }

    [Fact]
    public async Task Without_a_calibration_the_page_says_calmly_what_still_holds()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        var library = workspace.Workspace.Library;
        library.Edit(trial, 1, new Hushtrial.Trials.Document.DraftEdit.Remove("calibrations", "#0"), "");
        var page = await workspace.PageAsync($"/trials/{trial:N}/calibrate");
        await Expect(page.GetByText("This trial is relative so far.")).ToBeVisibleAsync();
        await Expect(page.Locator("[data-part=legend]")).ToContainTextAsync("re full scale");
    }
}
