using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Captures;
using Hushtrial.Trials.Document;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Capturing;

/// <summary>What a microphone gives comes into the trial sample by sample, whatever happens meanwhile.</summary>
public sealed class CapturePageTests(OneBrowser browser)
{
    [Fact]
    public async Task Every_sample_is_accounted_for_though_the_workspace_stops_in_the_middle()
    {
        await using var input = await FakeInput.StartAsync(40);
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = Begin(workspace);
        var page = await OpenAsync(input, workspace, trial);
        await Expect(page.Locator("[data-part=settings]")).ToContainTextAsync("44100 Hz");
        await Expect(page.Locator("[data-part=doubt]")).ToBeHiddenAsync();
        await page.GetByLabel("Run").SelectOptionAsync("F1");
        await page.GetByRole(AriaRole.Button, new() { Name = "Begin the recording" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "Begin the recording" })).ToBeHiddenAsync();
        await Expect(page.Locator("[data-part=state]")).ToContainTextAsync("Kept: 0:02.");
        await Expect(page.Locator("#broken-off")).ToBeHiddenAsync();
        await workspace.StopAsync();
        await Expect(page.Locator("[data-part=state]")).ToContainTextAsync("The workspace does not answer.");
        await page.WaitForTimeoutAsync(1500);
        await workspace.StartAgainAsync();
        await Expect(page.Locator("[data-part=state]")).ToContainTextAsync("Kept: 0:0");
        await page.GetByRole(AriaRole.Button, new() { Name = "End the recording" }).ClickAsync();
        await Expect(page.Locator("[data-part=state]")).ToContainTextAsync("In the trial as ‘flight’");
        var stored = workspace.Workspace.Library.Find(trial)!;
        Assert.Equal("F1", stored.Draft.Value("recordings[flight].run"));
        Assert.Matches(@"^[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?$", stored.Draft.Value("recordings[flight].starts"));
        Assert.Contains("44100 Hz", stored.Draft.Value("chain.recorder"), StringComparison.Ordinal);
        using var opened = workspace.Workspace.Library.Open(stored);
        AssertPlayed(input, opened.Recording("flight")!.Recording!, seconds: 4);
        Assert.Empty(Directory.GetFiles(Path.Combine(workspace.Folder, "captures")));
        Assert.All(workspace.Complaints, c => Assert.Contains("ERR_CONNECTION", c, StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_tab_that_is_gone_loses_less_than_a_second_and_what_is_there_is_brought_in()
    {
        await using var input = await FakeInput.StartAsync(40);
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = Begin(workspace);
        var page = await OpenAsync(input, workspace, trial);
        await page.GetByRole(AriaRole.Button, new() { Name = "Begin the recording" }).ClickAsync();
        await Expect(page.Locator("[data-part=elapsed]")).ToHaveTextAsync("0:03");
        await page.CloseAsync();
        var next = await workspace.PageAsync($"/trials/{trial:N}/capture");
        await Expect(next.Locator("#broken-off li")).ToContainTextAsync("flight.wav");
        await next.GetByRole(AriaRole.Button, new() { Name = "Bring it in" }).ClickAsync();
        await Expect(next.Locator("[data-part=state]")).ToContainTextAsync("In the trial as ‘flight’");
        await Expect(next.Locator("#broken-off li")).ToHaveCountAsync(0);
        // No run was chosen, and a clock without a run would be an error of the document.
        Assert.Null(workspace.Workspace.Library.Find(trial)!.Draft.Value("recordings[flight].starts"));
        using var opened = workspace.Workspace.Library.Open(workspace.Workspace.Library.Find(trial)!);
        Assert.True(opened.Recording("flight")!.Recording!.Duration.TotalSeconds > 2, $"{opened.Recording("flight")!.Recording!.Duration}");
        AssertPlayed(input, opened.Recording("flight")!.Recording!, seconds: 1);
        Assert.Empty(workspace.Complaints);
    }

    [Theory]
    [InlineData(1280, ColorScheme.Light)]
    [InlineData(390, ColorScheme.Dark)]
    public async Task Nothing_begins_before_the_card_is_read_and_axe_finds_nothing(int width, ColorScheme scheme)
    {
        await using var input = await FakeInput.StartAsync(4);
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var page = await OpenAsync(input, workspace, Begin(workspace), width, scheme);
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "Begin the recording" })).ToBeEnabledAsync();
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "End the recording" })).ToBeHiddenAsync();
        Assert.Equal("", await OpenedWorkspace.AxeAsync(page));
        await page.GetByLabel("I am the observer").UncheckAsync();
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "Begin the recording" })).ToBeDisabledAsync();
        Assert.Equal(width, await page.EvaluateAsync<int>("document.documentElement.scrollWidth"));
    }

    [Fact]
    public async Task Doors_refuse_what_is_no_capture_of_this_trial()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var (trial, other) = (Begin(workspace), Begin(workspace));
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        using (var refused = await visitor.AskAsync("POST", $"/trials/{trial:N}/captures", new { sampleRate = 48_000, channels = 9 })) Assert.Equal(400, (int)refused.StatusCode);
        using (var refused = await visitor.AskAsync("POST", $"/trials/{Guid.NewGuid():N}/captures", new { sampleRate = 48_000, channels = 1 })) Assert.Equal(404, (int)refused.StatusCode);
        using var begun = await visitor.AskAsync("POST", $"/trials/{trial:N}/captures", new { name = "../../x", sampleRate = 48_000, channels = 1, device = "", settings = new { } });
        Assert.Equal(200, (int)begun.StatusCode);
        var capture = System.Text.Json.JsonDocument.Parse(await begun.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).RootElement.GetProperty("capture").GetString();
        using (var foreign = await visitor.AskAsync("POST", $"/trials/{other:N}/captures/{capture}/finish")) Assert.Equal(404, (int)foreign.StatusCode);
        using (var odd = await visitor.AskAsync("POST", $"/trials/{trial:N}/captures/{capture}/frames?from=7", new ByteArrayContent(new byte[4]))) Assert.Equal(409, (int)odd.StatusCode);
        using (var odd = await visitor.AskAsync("POST", $"/trials/{trial:N}/captures/{capture}/frames?from=0", new ByteArrayContent(new byte[3]))) Assert.Equal(422, (int)odd.StatusCode);
        using (var another = await visitor.AskAsync("POST", $"/trials/{other:N}/captures", new { sampleRate = 48_000, channels = 1 })) Assert.Equal(200, (int)another.StatusCode);
        // Sound, words and lock of each.
        Assert.Equal(6, Directory.GetFiles(Path.Combine(workspace.Folder, "captures")).Length);
        using (var erased = await visitor.AskAsync("POST", $"/trials/{other:N}/erase")) Assert.True(erased.IsSuccessStatusCode);
        Assert.Equal(3, Directory.GetFiles(Path.Combine(workspace.Folder, "captures")).Length);
        using (var ended = await visitor.AskAsync("POST", $"/trials/{trial:N}/captures/{capture}/finish")) Assert.Equal(200, (int)ended.StatusCode);
        Assert.Empty(workspace.Workspace.Library.Find(trial)!.Files);
    }

    private static Guid Begin(OpenedWorkspace workspace)
    {
        var (draft, _) = TrialDraft.Empty("Recorded here").Apply(new DraftEdit.Add("runs", [new("id", "F1"), new("name", "First flight")]));
        return workspace.Workspace.Library.Create(draft!, "Begun").Id;
    }

    private static async Task<IPage> OpenAsync(FakeInput input, OpenedWorkspace workspace, Guid trial, int width = 1280, ColorScheme scheme = ColorScheme.Light)
    {
        var page = await workspace.PageAsync($"/trials/{trial:N}/capture", width, scheme: scheme, of: input.Browser);
        await page.GetByLabel("I am the observer").CheckAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Open the input" }).ClickAsync();
        await Expect(page.Locator("[data-part=opened]")).ToBeVisibleAsync();
        return page;
    }

    /// <summary>Every stretch between inserted zeros is what was played, one after another, sample by sample.</summary>
    private static void AssertPlayed(FakeInput input, Recording recording, double seconds)
    {
        Assert.Equal((FakeInput.Rate, 2), (recording.SampleRate, recording.Channels));
        var frames = (int)recording.Frames;
        var (left, right) = (new double[frames], new double[frames]);
        recording.Samples!.Read(0, 0, left);
        recording.Samples.Read(1, 0, right);
        var (at, played, matched) = (0, 0, 0);
        while (at < frames)
        {
            if (left[at] == 0 && right[at] == 0) { at++; continue; }
            // Where in the file this stretch begins; later stretches lie behind earlier ones.
            var place = Find(input.Played, played, left, right, at);
            Assert.True(place >= 0, $"from frame {at} of {frames} on it is not what was played");
            for (; at < frames && place < input.Played.Length / 2 && Is(input.Played, place, left[at], right[at]); at++, place++) matched++;
            Assert.True(at == frames || place == input.Played.Length / 2 || (left[at] == 0 && right[at] == 0), $"frame {at} is neither the next one that was played nor an inserted zero");
            if (place == input.Played.Length / 2) break;
            played = place;
        }
        Assert.True(matched >= seconds * FakeInput.Rate, $"{matched} frames of {frames} are what was played");
    }

    private static int Find(short[] played, int from, double[] left, double[] right, int at)
    {
        const int Sure = 8;
        for (var place = from; place + Sure <= played.Length / 2; place++)
        {
            var same = 0;
            while (same < Sure && at + same < left.Length && Is(played, place + same, left[at + same], right[at + same])) same++;
            if (same == Sure || at + same == left.Length) return place;
        }
        return -1;
    }

    // The browser takes +32767 and -32768 for full scale; half a step either way is the same whole number.
    private static bool Is(short[] played, int place, double left, double right) => Near(played[2 * place], left) && Near(played[(2 * place) + 1], right);

    private static bool Near(short value, double sample) => Math.Abs((sample * (value < 0 ? 32768 : 32767)) - value) < 0.01;
}
