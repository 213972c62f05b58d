using System.Globalization;
using System.Text.RegularExpressions;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Capturing;

/// <summary>The card leads through a run while it is recorded, and what it led to stands in the trial.</summary>
public sealed partial class LeadingCardTests(OneBrowser browser)
{
    private const string Trial = """
        hushtrial: 1
        trial: { title: Led, quantity: insertion-loss, design: sequential }
        fitting: { order: "flight 1: open; alder; open", codes: B4 = alder, settle_s: 0, take_s: 60, open_level_a: 80 }
        channels: [{ id: ear, where: ear, number: 1 }]
        devices: [{ id: alder, name: Alder, kind: over-ear }]
        conditions: [{ id: alder, device: alder }]
        wearers: [{ id: w1, name: Pilot }, { id: w2, name: Paramedic }]
        runs: [{ id: F1, name: First flight }]
        takes: []
        """;

    [Fact]
    public async Task It_leads_by_keyboard_alone_through_safety_card_open_ear_device_again_and_abort()
    {
        await using var input = await FakeInput.StartAsync(60);
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = workspace.Workspace.Library.Create(TrialDraft.FromText(Trial, "trial.yaml").Draft!, "Begun").Id;
        var page = await workspace.PageAsync($"/trials/{trial:N}/capture", of: input.Browser);
        // Not a click from here to the end: the card is read, the input opened, wearer and run chosen, the recording begun.
        await TabToAsync(page, "[data-part=read]");
        await page.Keyboard.PressAsync("Space");
        await TabToAsync(page, "[data-part=open]");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("[data-part=opened]")).ToBeVisibleAsync();
        await TabToAsync(page, "[data-part=run]");
        await page.Keyboard.PressAsync("F");
        await Expect(page.Locator("[data-part=run]")).ToHaveValueAsync("F1");
        await TabToAsync(page, "[data-part=wearer]");
        await page.Keyboard.TypeAsync("Para");
        await Expect(page.Locator("[data-part=wearer]")).ToHaveValueAsync("w2");
        await TabToAsync(page, "[data-part=begin]");
        await page.Keyboard.PressAsync("Enter");
        await ShowsAsync(page, "next", "Take the headset off.", "Open ear");
        await Expect(page.Locator("[data-lead=go]")).ToBeFocusedAsync();
        await page.Keyboard.PressAsync("Enter");
        await TakeAsync(page, "Open ear", 2.5);
        var mean = await page.Locator("[data-level=mean]").TextContentAsync();
        await Expect(page.Locator("[data-level=figure] svg")).ToHaveAttributeAsync("aria-label", ThirdOctaves());
        await EndTakeAsync(page);
        // The name is hidden behind its code.
        await ShowsAsync(page, "next", "Put this one on.", "B4");
        Assert.DoesNotContain("Alder", await page.Locator("#lead").InnerTextAsync(), StringComparison.Ordinal);
        await page.Keyboard.PressAsync("Enter");
        await TakeAsync(page, "B4", 1);
        await page.Keyboard.PressAsync("1");
        await page.WaitForTimeoutAsync(300);
        await page.Keyboard.PressAsync("Enter");
        await ShowsAsync(page, "verdict", "Again: something was wrong.", "B4");
        await Expect(page.Locator("[data-lead=reasons]")).ToContainTextAsync("You marked: radio.");
        await page.Keyboard.PressAsync("Enter");
        await ShowsAsync(page, "next", "Leave it on.", "B4");
        await page.Keyboard.PressAsync("Enter");
        await TakeAsync(page, "B4", 0.5);
        await page.Keyboard.PressAsync("Escape");
        await ShowsAsync(page, "next", "Leave it on.", "B4");
        await page.Keyboard.PressAsync("Enter");
        await TakeAsync(page, "B4", 1);
        await EndTakeAsync(page);
        await ShowsAsync(page, "next", "Take the headset off.", "Open ear");
        await TabToAsync(page, "[data-part=end]");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("[data-part=state]")).ToContainTextAsync("Takes: 3.");
        Assert.Empty(workspace.Complaints);

        var stored = workspace.Workspace.Library.Find(trial)!;
        var document = stored.Draft.Read().Document!;
        Assert.Equal(["open  used", "alder F1-2 left out", "alder F1-2 used"], document.Takes.Select(t => $"{t.Condition} {t.Fit} {(t.Excluded is null ? "used" : "left out")}"));
        Assert.All(document.Takes, t => Assert.Equal("w2", t.Wearer));
        Assert.Contains("taken again: You marked: radio.", document.Takes[1].Excluded, StringComparison.Ordinal);
        Assert.Contains("radio at 0:", document.Takes[1].Remarks, StringComparison.Ordinal);
        Assert.Matches("flight: .*alder: stopped", document.Runs[0].Details.First(d => d.Key == "remarks").Value);
        // What was shown is what the file holds, to a tenth of a decibel.
        using var opened = workspace.Workspace.Library.Open(stored);
        var samples = opened.Recording("flight")!.Recording!.Samples!;
        var take = document.Takes[0];
        var (first, last) = ((long)(take.From!.Value * samples.SampleRate), (long)(take.To!.Value * samples.SampleRate));
        var file = 10 * Math.Log10(LevelAnalysis.Measure(samples, 0, first, last - first, new LevelSettings { Octaves = false }, cancellation: TestContext.Current.CancellationToken).MeanSquare(FrequencyWeighting.A));
        Assert.Equal(file, Shown(mean!), 0.1);
    }

    [Fact]
    public async Task A_browser_that_is_killed_inside_a_take_loses_less_than_a_second_and_its_marks_come_along()
    {
        await using var input = await FakeInput.StartAsync(40);
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = workspace.Workspace.Library.Create(TrialDraft.FromText(Trial, "trial.yaml").Draft!, "Begun").Id;
        var page = await BeginAsync(input, workspace, trial);
        await page.Keyboard.PressAsync("Enter");
        await TakeAsync(page, "Open ear", 1);
        await EndTakeAsync(page);
        await ShowsAsync(page, "next", "Put this one on.", "B4");
        await page.Keyboard.PressAsync("Enter");
        await TakeAsync(page, "B4", 1.5);
        var came = Seconds((await page.Locator("[data-lead=clock]").TextContentAsync())!);
        input.Kill();
        var next = await workspace.PageAsync($"/trials/{trial:N}/capture");
        await next.GetByRole(AriaRole.Button, new() { Name = "Bring it in" }).ClickAsync();
        await Expect(next.Locator("[data-part=state]")).ToContainTextAsync("Takes: 1.");
        var stored = workspace.Workspace.Library.Find(trial)!;
        using var opened = workspace.Workspace.Library.Open(stored);
        Assert.True(opened.Recording("flight")!.Recording!.Duration.TotalSeconds > came - 1, $"{came} s had come, {opened.Recording("flight")!.Recording!.Duration} are there");
        Assert.Equal("F1", stored.Draft.Value("recordings[flight].run"));
        Assert.Equal("open", Assert.Single(stored.Draft.Read().Document!.Takes).Condition);
        Assert.Contains("alder: the recording ended inside this take", stored.Draft.Value("runs[F1].remarks"), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("en-GB", 1280, ColorScheme.Light)]
    [InlineData("de-DE", 390, ColorScheme.Dark)]
    public async Task Axe_finds_nothing_by_day_and_by_night_and_gloves_hit_every_button(string locale, int width, ColorScheme scheme)
    {
        // Every fifth second clips, so that the card says so.
        await using var input = await FakeInput.StartAsync(40, n => n / FakeInput.Rate % 5 == 4 ? Math.Sign(Math.Sin(n / 20.0)) : 0.2 * Math.Sin(n / 7.0));
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = workspace.Workspace.Library.Create(TrialDraft.FromText(Trial, "trial.yaml").Draft!, "Begun").Id;
        var page = await BeginAsync(input, workspace, trial, locale, width, scheme);
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("#lead[data-phase=taking]")).ToBeVisibleAsync();
        await Expect(page.Locator("[data-lead=afresh]")).ToBeVisibleAsync();
        await Expect(page.Locator("[data-lead=said]")).ToContainTextAsync(locale == "de-DE" ? "Es übersteuert, " : "It clips, ");
        await Expect(page.Locator("[data-level=figure] svg")).ToBeVisibleAsync();
        await page.Locator("#lead-more summary").ClickAsync();
        Assert.Equal("", await OpenedWorkspace.AxeAsync(page));
        await page.Locator("[data-lead=night]").ClickAsync();
        Assert.Equal("", await OpenedWorkspace.AxeAsync(page));
        Assert.Empty(await page.EvaluateAsync<string[]>("[...document.querySelectorAll('#lead button, #lead summary')].filter(b => b.offsetParent && (b.offsetHeight < 64 || b.offsetWidth < 64)).map(b => b.outerHTML)"));
        Assert.Equal(width, await page.EvaluateAsync<int>("document.documentElement.scrollWidth"));
        if (locale == "de-DE") Assert.DoesNotMatch(@"\d\.\d|\b(?:the|take|open|so far)\b", await page.Locator("#lead").InnerTextAsync());
        // Begun again without a penalty: the lost one is noted as stopped.
        await page.Locator("[data-lead=afresh]").ClickAsync();
        await Expect(page.Locator("#lead[data-phase=taking]")).ToBeVisibleAsync();
        await page.Locator("[data-part=end]").ClickAsync();
        await Expect(page.Locator("[data-part=state]")).ToContainTextAsync("flight");
        Assert.Contains("open: stopped (it clipped and was begun again)", workspace.Workspace.Library.Find(trial)!.Draft.Value("runs[F1].remarks"), StringComparison.Ordinal);
    }

    private static async Task<IPage> BeginAsync(FakeInput input, OpenedWorkspace workspace, Guid trial, string locale = "en-GB", int width = 1280, ColorScheme scheme = ColorScheme.Light)
    {
        var page = await workspace.PageAsync($"/trials/{trial:N}/capture", width, scheme: scheme, locale: locale, of: input.Browser);
        await page.Locator("[data-part=read]").CheckAsync();
        await page.Locator("[data-part=open]").ClickAsync();
        await Expect(page.Locator("[data-part=opened]")).ToBeVisibleAsync();
        await page.Locator("[data-part=run]").SelectOptionAsync("F1");
        await page.Locator("[data-part=begin]").ClickAsync();
        await Expect(page.Locator("#lead")).ToBeVisibleAsync();
        return page;
    }

    private static async Task TabToAsync(IPage page, string part)
    {
        for (var n = 0; n < 120; n++)
        {
            await page.Keyboard.PressAsync("Tab");
            if (await page.Locator(part).EvaluateAsync<bool>("e => e === document.activeElement")) return;
        }
        Assert.Fail($"{part} is not reached by the keyboard.");
    }

    private static async Task ShowsAsync(IPage page, string phase, string what, string name)
    {
        await Expect(page.Locator($"#lead[data-phase={phase}]")).ToBeVisibleAsync();
        await Expect(page.Locator("[data-lead=what]")).ToHaveTextAsync(what);
        await Expect(page.Locator("[data-lead=name]")).ToHaveTextAsync(name);
    }

    private static async Task TakeAsync(IPage page, string name, double seconds)
    {
        await ShowsAsync(page, "taking", "Taking. Sit still.", name);
        await page.WaitForTimeoutAsync((float)(1000 * seconds));
    }

    /// <summary>Ends the take. A busy machine loses samples, and the card rightly asks for them again: they are kept here.</summary>
    private static async Task EndTakeAsync(IPage page)
    {
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("#lead:is([data-phase=next],[data-phase=verdict])")).ToBeVisibleAsync();
        if (await page.Locator("#lead[data-phase=verdict]").CountAsync() > 0) await page.Locator("[data-lead=other]").PressAsync("Enter");
        await Expect(page.Locator("#lead[data-phase=next]")).ToBeVisibleAsync();
    }

    private static double Shown(string level) => double.Parse(Number().Match(level.Replace('−', '-')).Value, CultureInfo.InvariantCulture);

    private static double Seconds(string clock) => clock.Split(':') is [var minutes, var seconds] ? (60 * int.Parse(minutes, CultureInfo.InvariantCulture)) + int.Parse(seconds, CultureInfo.InvariantCulture) : 0;

    [GeneratedRegex(@"-?\d+\.\d")]
    private static partial Regex Number();

    [GeneratedRegex("^One-third-octave levels of the take; the loudest band is ")]
    private static partial Regex ThirdOctaves();
}
