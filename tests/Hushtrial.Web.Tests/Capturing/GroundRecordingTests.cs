using System.Globalization;
using System.Text.RegularExpressions;
using Hushtrial.Trials.Document;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Capturing;

/// <summary>The checks before flight through a browser whose microphone plays a tone.</summary>
public sealed class GroundRecordingTests(OneBrowser browser)
{
    [Fact]
    public async Task A_tone_calibrates_and_two_tones_that_are_one_say_that_a_gain_acts()
    {
        const double amplitude = 0.1;
        // A little noise: two stretches of a tone alone may be the same file to the last byte, and the same file is not brought in twice.
        var noise = new Random(1);
        await using var input = await FakeInput.StartAsync(60, n => (amplitude * Math.Sin(2 * Math.PI * 1000 * n / FakeInput.Rate)) + (1e-4 * noise.NextDouble()));
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var (draft, _) = TrialDraft.Empty("On the ground").Apply(new DraftEdit.Add("channels", [new("id", "ear"), new("number", "1"), new("where", "ear")]));
        var trial = workspace.Workspace.Library.Create(draft!, "Begun").Id;
        var page = await workspace.PageAsync($"/trials/{trial:N}/ground", of: input.Browser);
        // A person waits 20 s; the checks are the same after seven.
        async Task CheckAsync(string name)
        {
            await page.EvaluateAsync("for (const button of document.querySelectorAll('[data-check]')) button.dataset.seconds = 7");
            await page.GetByRole(AriaRole.Button, new() { NameRegex = new($"^Record the {name}") }).ClickAsync();
            await Expect(page.Locator("[data-part=state]")).ToContainTextAsync("Recording: ");
            await Expect(page.Locator("[data-part=state]")).ToHaveTextAsync("Recorded. What it shows stands below.", new() { Timeout = 60_000 });
        }

        await Expect(page.GetByRole(AriaRole.Button, new() { NameRegex = new("^Record the tone") })).ToBeDisabledAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Open the input" }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { NameRegex = new("^Record the tone") }).ClickAsync();
        await Expect(page.Locator("[data-part=state]")).ToContainTextAsync("Say first what the calibrator gives");
        await page.GetByLabel("Level of the calibrator, dB").FillAsync("94");
        await CheckAsync("tone");
        // A sine of this amplitude lies 20 lg amplitude − 3.01 dB below full scale squared: 94 dB there are 117.0 dB at full scale.
        // A browser that is kept waiting loses samples, for which zeros stand in the capture: tones are measured without them.
        var fullScale = 94 - (20 * Math.Log10(amplitude / Math.Sqrt(2)));
        var said = page.Locator("main").GetByText(new Regex(@"0\sdB re full scale is [0-9.]+\sdB"));
        await Expect(said).ToBeVisibleAsync();
        Assert.Equal(fullScale, double.Parse(Regex.Match((await said.TextContentAsync())!, @"full scale is ([0-9.]+)\sdB").Groups[1].Value, CultureInfo.InvariantCulture), 0.1);
        Assert.Contains("kind: tone", workspace.Workspace.Library.Find(trial)!.Draft.Text, StringComparison.Ordinal);
        await CheckAsync("lower tone");
        await CheckAsync("higher tone");
        var tones = new Regex(@"Two tones before\s*([−-]?0\.[0-9]{2})\sdB apart instead of 20");
        await Expect(page.Locator("main")).ToContainTextAsync(tones);
        var apart = double.Parse(tones.Match((await page.Locator("main").TextContentAsync())!).Groups[1].Value.Replace('−', '-'), CultureInfo.InvariantCulture);
        Assert.InRange(apart, -0.095, 0.095);
        Assert.Empty(workspace.Complaints);
    }
}
