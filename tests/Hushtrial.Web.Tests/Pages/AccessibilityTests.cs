using Hushtrial.Web.Pages;
using Hushtrial.Web.Tests.Doors;
using Hushtrial.Web.Tests.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Synthesis;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Pages;

/// <summary>A workspace with an empty trial, a whole one with a recording, and the demo of noted readings.</summary>
public sealed class ThreeTrials(OneBrowser browser) : IAsyncLifetime
{
    /// <summary>The workspace.</summary>
    public OpenedWorkspace Workspace { get; private set; } = null!;

    /// <summary>The trials by name: 'empty', 'sound', 'tractor', 'rich'.</summary>
    public IReadOnlyDictionary<string, Guid> Trials { get; private set; } = null!;

    /// <inheritdoc/>
    public async ValueTask InitializeAsync()
    {
        Workspace = await OpenedWorkspace.StartAsync(browser);
        var library = Workspace.Workspace.Library;
        Trials = new Dictionary<string, Guid>(StringComparer.Ordinal)
        {
            ["empty"] = library.Create(TrialDraft.Empty("New trial"), "Begun").Id,
            ["sound"] = SoundTrial.Bring(Workspace, SoundTrial.FourTakes),
            ["tractor"] = DemoTrial.Bring(library, VineyardTractor.Make(1)),
            ["rich"] = await RichTrial.BringAsync(Workspace),
        };
        var page = await Workspace.PageAsync();
        foreach (var trial in new[] { "sound", "tractor", "rich" })
        {
            await page.GotoAsync($"{Workspace.Workspace.Root}/trials/{Trials[trial]:N}/results");
            await Expect(page.Locator("#overall")).ToBeVisibleAsync(new() { Timeout = 120_000 });
        }
        await page.Context.CloseAsync();
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => Workspace.DisposeAsync();
}

/// <summary>Tests that look at whole trials and change nothing share them.</summary>
[CollectionDefinition(nameof(WholeTrials))]
public sealed class WholeTrials : ICollectionFixture<ThreeTrials>;

/// <summary>Every page for everybody: WCAG 2.2 AA as far as a program can tell, by keyboard, at every width, at rest and on paper.</summary>
[Collection(nameof(WholeTrials)), Trait("Trials", "whole")]
public sealed class AccessibilityTests(ThreeTrials trials)
{
    /// <summary>Language, colour scheme and width each have both their levels; the fullest trial is looked at where they are furthest apart, for axe takes its time over it.</summary>
    [Theory]
    [InlineData("en-GB", ColorScheme.Light, 1280, "rich")]
    [InlineData("de-DE", ColorScheme.Dark, 390, "rich")]
    [InlineData("en-GB", ColorScheme.Dark, 390, "sound")]
    [InlineData("de-DE", ColorScheme.Light, 1280, "empty")]
    public async Task Nothing_is_found_on_any_page(string locale, ColorScheme scheme, int width, params string[] names)
    {
        var found = new List<string>();
        var page = await trials.Workspace.PageAsync("/", width, 900, scheme, locale);
        await Expect(page.Locator("html")).ToHaveAttributeAsync("lang", locale[..2]);
        foreach (var path in Everything().Where(p => names.Any(n => p.Contains(trials.Trials[n].ToString("N"), StringComparison.Ordinal)) || (!p.StartsWith("/trials/", StringComparison.Ordinal) && names[0] != "rich")))
        {
            await page.GotoAsync(trials.Workspace.Workspace.Root + path);
            if (await OpenedWorkspace.AxeAsync(page) is { Length: > 0 } faults) found.Add($"{path}\n{faults}");
        }
        await page.Context.CloseAsync();
        Assert.True(found.Count == 0, string.Join("\n\n", found));
    }

    [Theory]
    [InlineData(360)]
    [InlineData(2560)]
    public async Task No_page_is_wider_than_its_window(int width)
    {
        var found = new List<string>();
        var page = await trials.Workspace.PageAsync("/", width, 900, locale: width == 360 ? "de-DE" : "en-GB");
        foreach (var path in Everything())
        {
            await page.GotoAsync(trials.Workspace.Workspace.Root + path);
            await page.EvaluateAsync("() => { for (const details of document.querySelectorAll('main details')) details.open = true; }");
            var wide = await page.EvaluateAsync<string>("""
                () => document.documentElement.scrollWidth <= innerWidth ? '' : document.documentElement.scrollWidth + ' px: '
                  + [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1 && e.checkVisibility()).slice(0, 3).map(e => e.outerHTML.slice(0, 120)).join(' | ')
                """);
            if (wide.Length > 0) found.Add($"{path}: {wide}");
        }
        await page.Context.CloseAsync();
        Assert.True(found.Count == 0, string.Join("\n", found));
    }

    [Fact]
    public async Task Who_asks_for_rest_gets_it()
    {
        var page = await trials.Workspace.PageAsync($"/trials/{trials.Trials["sound"]:N}/takes");
        const string moving = """
            () => [...document.querySelectorAll('*')].filter(e => { const s = getComputedStyle(e); return [s.transitionDuration, s.animationDuration].some(d => d.split(',').some(x => parseFloat(x) > 0.001)) || s.scrollBehavior === 'smooth'; }).slice(0, 3).map(e => e.outerHTML.slice(0, 100)).join(' | ')
            """;
        foreach (var name in new[] { "takes", "results", "devices" })
        {
            await page.GotoAsync($"{trials.Workspace.Workspace.Root}/trials/{trials.Trials["sound"]:N}/{name}");
            Assert.Equal("", await page.EvaluateAsync<string>(moving));
        }
        await page.Context.CloseAsync();
    }

    [Fact]
    public async Task On_paper_the_results_stand_alone()
    {
        var page = await trials.Workspace.PageAsync($"/trials/{trials.Trials["sound"]:N}/results", 718, 1000, ColorScheme.Dark);
        await page.EmulateMediaAsync(new() { Media = Media.Print, ColorScheme = ColorScheme.Light });
        foreach (var gone in new[] { ".top", ".way", ".foot", ".skip" }) await Expect(page.Locator(gone).First).ToBeHiddenAsync();
        await Expect(page.Locator("main button:visible")).ToHaveCountAsync(0);
        await Expect(page.Locator("#overall")).ToBeVisibleAsync();
        Assert.True(await page.Locator("main svg:visible").CountAsync() >= 3);
        await Expect(page.Locator("main table:visible").First).ToBeVisibleAsync();
        Assert.Equal("rgb(255, 255, 255)", await page.EvaluateAsync<string>("() => getComputedStyle(document.body).backgroundColor"));
        Assert.True(await page.EvaluateAsync<bool>("() => document.documentElement.scrollWidth <= innerWidth"));
        await page.Context.CloseAsync();
    }

    [Theory]
    [InlineData("devices")]
    [InlineData("recordings")]
    [InlineData("takes")]
    [InlineData("results")]
    public async Task Every_control_is_reached_by_keyboard_and_shows_it(string name)
    {
        var page = await trials.Workspace.PageAsync($"/trials/{trials.Trials["sound"]:N}/{name}");
        await page.Locator("h1").WaitForAsync();
        await page.Keyboard.PressAsync("Tab");
        await Expect(page.GetByRole(AriaRole.Link, new() { Name = "Skip to the page" })).ToBeFocusedAsync();
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("#page")).ToBeFocusedAsync();
        var wanted = await page.EvaluateAsync<int>("""
            () => [...document.querySelectorAll('main a[href], main button:not(:disabled), main input, main select, main textarea, main summary')]
              .filter(e => e.checkVisibility({ visibilityProperty: true }) && e.tabIndex >= 0 && !(e.type === 'radio' && e.name && !e.checked)).map((e, i) => e.dataset.wanted = i).length
            """);
        Assert.True(wanted >= 3);
        var reached = new HashSet<string>(StringComparer.Ordinal);
        var unseen = new List<string>();
        for (var n = 0; n < (wanted * 2) + 20; n++)
        {
            await page.Keyboard.PressAsync("Tab");
            var at = await page.EvaluateAsync<string[]>("""
                () => { const e = document.activeElement; const shows = x => { const s = getComputedStyle(x); return (s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) > 0) || s.boxShadow !== 'none'; };
                  const label = e.labels?.[0] ?? (e.id ? document.querySelector(`label[for="${e.id}"]`) : null);
                  return [e.closest('main') ? e.dataset.wanted ?? '' : 'out', shows(e) || (label && shows(label)) ? '' : e.outerHTML.slice(0, 120)]; }
                """);
            if (at[0] == "out" && reached.Count > 0) break;
            if (at[0].Length > 0) reached.Add(at[0]);
            if (at[1].Length > 0) unseen.Add(at[1]);
        }
        Assert.True(unseen.Count == 0, string.Join("\n", unseen.Take(5)));
        Assert.Equal(wanted, reached.Count);
        await page.Context.CloseAsync();
    }

    private IEnumerable<string> Everything() => new[] { "/", "/nothing-there" }.Concat(trials.Trials.SelectMany(t => DoorTests.PagesOf(t.Value).Select(p => t.Key == "tractor" ? p.Replace("loss/alder", "loss/juniper", StringComparison.Ordinal) : p)
        .Where(p => t.Key != "empty" || !p.Contains("/numbers/", StringComparison.Ordinal))));
}
