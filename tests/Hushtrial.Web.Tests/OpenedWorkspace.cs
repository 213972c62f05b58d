using Deque.AxeCore.Commons;
using Hushtrial.Web;
using Microsoft.Playwright;

[assembly: AssemblyFixture(typeof(Hushtrial.Web.Tests.OneBrowser))]

namespace Hushtrial.Web.Tests;

/// <summary>Debian's Chromium, started once for all tests.</summary>
public sealed class OneBrowser : IAsyncLifetime
{
    // The same engine without a window that nobody sees: two thirds of the processor time.
    private const string Headless = "/usr/bin/chromium-headless-shell";

    private IPlaywright? _playwright;

    /// <summary>The browser.</summary>
    public IBrowser Browser { get; private set; } = null!;

    /// <inheritdoc/>
    public async ValueTask InitializeAsync()
    {
        // A page on a busy machine may take long; only a failing expectation waits so long.
        Assertions.SetDefaultExpectTimeout(30_000);
        _playwright = await Playwright.CreateAsync();
        Browser = await _playwright.Chromium.LaunchAsync(new()
        {
            ExecutablePath = File.Exists(Headless) ? Headless : "/usr/bin/chromium",
            ChromiumSandbox = false,
            Args = ["--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
        });
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await Browser.DisposeAsync();
        _playwright?.Dispose();
    }
}

/// <summary>A workspace with an empty library of its own, and pages in it.</summary>
public sealed class OpenedWorkspace : IAsyncDisposable
{
    private static readonly string _axe = new BundledAxeScriptProvider().GetScript();
    private readonly DirectoryInfo _folder;
    private readonly List<IBrowserContext> _contexts = [];
    private readonly OneBrowser _browser;
    private int _port;

    private OpenedWorkspace(OneBrowser browser, DirectoryInfo folder, Workspace workspace) => (_browser, _folder, Workspace) = (browser, folder, workspace);

    /// <summary>The workspace.</summary>
    public Workspace Workspace { get; private set; }

    /// <summary>Its library's folder.</summary>
    public string Folder => _folder.FullName;

    /// <summary>What pages said at their console as errors, and exceptions in their modules.</summary>
    public List<string> Complaints { get; } = [];

    /// <summary>Starts one on a free port.</summary>
    public static async Task<OpenedWorkspace> StartAsync(OneBrowser browser)
    {
        var folder = Directory.CreateTempSubdirectory("hushtrial-web-");
        return new(browser, folder, await Workspace.StartAsync(new(folder.FullName, 0, TimeProvider.System)));
    }

    /// <summary>A tab that has been let in.</summary>
    public async Task<IPage> PageAsync(string path = "/", int width = 1280, int height = 900, ColorScheme scheme = ColorScheme.Light, string locale = "en-GB", bool touch = false, IBrowser? of = null)
    {
        var context = await (of ?? _browser.Browser).NewContextAsync(new() { ViewportSize = new() { Width = width, Height = height }, ColorScheme = scheme, Locale = locale, HasTouch = touch, ReducedMotion = ReducedMotion.Reduce });
        context.SetDefaultTimeout(60_000);
        _contexts.Add(context);
        var page = Watched(await context.NewPageAsync());
        await page.GotoAsync($"{Workspace.Address}&to={Uri.EscapeDataString(path)}");
        await page.WaitForURLAsync(url => !new Uri(url).AbsolutePath.StartsWith("/enter", StringComparison.Ordinal));
        return page;
    }

    /// <summary>A further tab of the same browser, at a path.</summary>
    public async Task<IPage> TabAsync(IPage beside, string path)
    {
        var page = Watched(await beside.Context.NewPageAsync());
        await page.GotoAsync(Workspace.Root + path);
        return page;
    }

    /// <summary>Closes the workspace while its pages stay open.</summary>
    public async Task StopAsync()
    {
        _port = new Uri(Workspace.Root).Port;
        await Workspace.DisposeAsync();
    }

    /// <summary>Opens the same library again at the same address.</summary>
    public async Task StartAgainAsync() => Workspace = await Workspace.StartAsync(new(_folder.FullName, _port, TimeProvider.System));

    /// <summary>Notes what a page may never do: complain, ask through the browser, reach beyond this machine.</summary>
    private IPage Watched(IPage page)
    {
        page.Console += (_, message) => { if (message.Type == "error") Complaints.Add(message.Text); };
        page.PageError += (_, error) => Complaints.Add(error);
        page.Dialog += async (_, dialog) =>
        {
            Complaints.Add($"dialog: {dialog.Message}");
            await dialog.DismissAsync();
        };
        page.Request += (_, request) =>
        {
            var address = new Uri(request.Url);
            if (address.Scheme is not ("data" or "blob") && !address.IsLoopback) Complaints.Add($"reaches beyond this machine: {address}");
        };
        return page;
    }

    /// <summary>What axe finds on a page under WCAG 2.2 A and AA, a line per rule with the places; empty when nothing.</summary>
    public static async Task<string> AxeAsync(IPage page)
    {
        // In the page itself: the way through axe's package for browsers opens a second page for every one that is looked at, a second each.
        return await page.EvaluateAsync<string>($$"""
            async () => {
              {{_axe}};
              const found = await axe.run(document, { runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }, resultTypes: ['violations'] });
              if (found.passes.length < 5) throw new Error('axe looked at next to nothing: ' + found.passes.length + ' rules');
              return found.violations.map(v => v.id + ': ' + v.help + ' (' + v.nodes.slice(0, 3).map(n => n.html).join('; ') + ')').join('\n');
            }
            """);
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        foreach (var context in _contexts) await context.CloseAsync();
        await Workspace.DisposeAsync();
        _folder.Delete(recursive: true);
    }
}
