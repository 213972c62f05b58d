using System.Buffers.Binary;
using System.Globalization;
using Hushtrial.Trials.Document;
using Hushtrial.Web.Recordings;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Recordings;

/// <summary>Takes are marked, moved and accepted on the level history, by mouse, keyboard and touch.</summary>
public sealed class TakesPageTests(OneBrowser browser)
{
    private const string TwoTakes = "[{ id: T01, condition: open, recording: flight, from: 0:02, to: 0:12 }, { id: T02, condition: alder, fit: A1, recording: flight, from: 0:18, to: 0:28 }]";

    private static string Value(OpenedWorkspace workspace, Guid trial, string path) => workspace.Workspace.Library.Find(trial)!.Draft.Value(path) ?? "";

    private static double Seconds(string time) => time.Split(':').Aggregate(0.0, (sum, part) => (60 * sum) + double.Parse(part, CultureInfo.InvariantCulture));

    /// <summary>Opens the page and waits until the history is drawn.</summary>
    private static async Task<(IPage Page, Box Picture)> OpenAsync(OpenedWorkspace workspace, Guid trial, int width = 1280, bool touch = false, string page = "takes")
    {
        var tab = await workspace.PageAsync($"/trials/{trial:N}/{page}", width, 900, touch: touch);
        await Expect(tab.Locator("[data-part=legend] canvas")).ToBeVisibleAsync();
        await tab.Locator("[data-part=surface]").ScrollIntoViewIfNeededAsync();
        var box = await tab.Locator("[data-part=surface]").BoundingBoxAsync() ?? throw new InvalidOperationException("The picture has no place.");
        return (tab, new(box.X + 52, (float)box.Y, box.Width - 52));
    }

    private static async Task SavedAsync(IPage page) => await Expect(page.Locator("#saved")).ToHaveTextAsync("Saved");

    [Fact]
    public async Task A_take_is_marked_by_mouse_named_and_taken_back()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        var (page, picture) = await OpenAsync(workspace, trial);
        await page.Mouse.MoveAsync(picture.At(2), picture.Top + 20);
        await page.Mouse.DownAsync();
        await page.Mouse.MoveAsync(picture.At(6), picture.Top + 22, new() { Steps = 4 });
        await page.Mouse.MoveAsync(picture.At(12), picture.Top + 22, new() { Steps = 4 });
        await page.Mouse.UpAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "A new span, in pencil" })).ToBeVisibleAsync();
        Assert.Empty(workspace.Workspace.Library.Find(trial)!.Draft.Ids("takes"));
        await page.Locator("#panel").GetByLabel("Condition").SelectOptionAsync("open");
        await page.GetByRole(AriaRole.Button, new() { Name = "Take it into the trial" }).ClickAsync();
        await SavedAsync(page);
        await Expect(page.Locator("#takes tr[data-mark='take:T01']")).ToBeVisibleAsync();
        Assert.Equal("open", Value(workspace, trial, "takes[T01].condition"));
        // A pixel of 1100 px for 75 s is 0.07 s.
        Assert.InRange(Seconds(Value(workspace, trial, "takes[T01].from")), 1.9, 2.1);
        Assert.InRange(Seconds(Value(workspace, trial, "takes[T01].to")), 11.9, 12.1);
        await page.GetByRole(AriaRole.Button, new() { Name = "Undo" }).ClickAsync();
        await Expect(page.Locator("#takes tr[data-mark]")).ToHaveCountAsync(0);
        await Expect(page.Locator(".mark")).ToHaveCountAsync(0);
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task A_take_is_marked_moved_and_heard_by_keyboard_alone()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        var (page, _) = await OpenAsync(workspace, trial);
        await page.Locator("[data-part=surface]").FocusAsync();
        await page.Keyboard.PressAsync("m");
        await Expect(page.Locator("#panel-condition")).ToBeFocusedAsync();
        await page.Keyboard.PressAsync("a");
        await Expect(page.Locator("#panel-condition")).ToHaveValueAsync("alder");
        await page.GetByRole(AriaRole.Button, new() { Name = "Take it into the trial" }).PressAsync("Enter");
        var start = page.GetByRole(AriaRole.Slider, new() { Name = "Start of T01 Alder A1" });
        await Expect(start).ToBeFocusedAsync();
        Assert.Equal("A1", Value(workspace, trial, "takes[T01].fit"));
        // 20 s in the middle of 75 s: from 27.5 s.
        await Expect(start).ToHaveAttributeAsync("aria-valuetext", "0:27.50, clock 10:05:27.5");
        await page.Keyboard.PressAsync("Shift+ArrowRight");
        await page.Keyboard.PressAsync("ArrowRight");
        await page.Keyboard.PressAsync("Control+ArrowLeft");
        await Expect(start).ToHaveAttributeAsync("aria-valuetext", "0:28.59, clock 10:05:28.6");
        await Expect(page.Locator("#takes tr[data-from='0:28.59']")).ToBeVisibleAsync();
        var sound = page.WaitForResponseAsync(r => r.Url.Contains("/listen?", StringComparison.Ordinal));
        await page.Keyboard.PressAsync("l");
        Assert.Equal("audio/wav", (await sound).Headers["content-type"]);
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task An_edge_and_a_whole_take_are_dragged_and_results_follow()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace, TwoTakes);
        var (page, picture) = await OpenAsync(workspace, trial);
        await page.GetByRole(AriaRole.Button, new() { Name = "take T01 open ear" }).ClickAsync();
        // The page is renewed while the hand holds the edge, as when results arrive.
        await DragAsync(page, picture.At(12) + 2, picture.At(14) + 2, picture.Top + 250, () => page.EvaluateAsync("document.dispatchEvent(new CustomEvent('renewed', { detail: document }))"));
        await Expect(page.Locator("#takes tr[data-mark='take:T01']")).Not.ToHaveAttributeAsync("data-to", "0:12");
        Assert.InRange(Seconds(Value(workspace, trial, "takes[T01].to")), 13.85, 14.15);
        Assert.Equal(2, Seconds(Value(workspace, trial, "takes[T01].from")));
        await DragAsync(page, picture.At(3), picture.At(2.5), picture.Top + 20);
        await Expect(page.Locator("#takes tr[data-mark='take:T01']")).Not.ToHaveAttributeAsync("data-from", "0:02");
        Assert.InRange(Seconds(Value(workspace, trial, "takes[T01].from")), 1.35, 1.65);
        Assert.InRange(Seconds(Value(workspace, trial, "takes[T01].to")) - Seconds(Value(workspace, trial, "takes[T01].from")), 11.85, 12.15);
        await page.GetByRole(AriaRole.Button, new() { Name = "Undo" }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Undo" }).ClickAsync();
        await Expect(page.Locator("#takes tr[data-mark='take:T01']")).ToHaveAttributeAsync("data-to", "0:12");
        // From the history and from the analysis: the same level, to the rounding of both.
        var quick = page.Locator(".numbers div", new() { HasText = "LAeq" }).Locator("dd");
        await Expect(page.Locator("[data-part=analysed]")).ToContainTextAsync("LAeq");
        var analysed = (await page.Locator("[data-part=analysed]").TextContentAsync())!.Split(' ').First(w => w.Contains('.', StringComparison.Ordinal));
        Assert.Equal(double.Parse(analysed, CultureInfo.InvariantCulture), double.Parse((await quick.TextContentAsync())!.Split(' ')[0], CultureInfo.InvariantCulture), 0.11);
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task A_take_is_marked_and_its_edge_moved_by_touch_on_a_phone()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        var (page, picture) = await OpenAsync(workspace, trial, width: 390, touch: true);
        await using var finger = await Finger.OnAsync(page);
        await finger.DragAsync(picture.At(20), picture.Top + 20, picture.At(40), picture.Top + 20);
        await page.Locator("#panel").GetByLabel("Condition").SelectOptionAsync("open");
        await page.GetByRole(AriaRole.Button, new() { Name = "Take it into the trial" }).ClickAsync();
        await SavedAsync(page);
        var edge = page.GetByRole(AriaRole.Slider, new() { Name = "End of T01 open ear" });
        await edge.ScrollIntoViewIfNeededAsync();
        var place = (await edge.BoundingBoxAsync())!;
        Assert.True(place.Width >= 44, "A finger needs 44 px.");
        await finger.DragAsync(place.X + 20, place.Y + 100, place.X + 20 + (float)(picture.Width * 10 / 75), place.Y + 100);
        await Expect(page.Locator("#takes tr[data-mark='take:T01']")).ToHaveAttributeAsync("data-to", new System.Text.RegularExpressions.Regex("^0:(49|50)"));
        Assert.Equal(390, await page.EvaluateAsync<int>("document.documentElement.scrollWidth"));
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task Words_on_comfort_stand_at_their_moments_in_words_and_are_read_by_keyboard()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace, TwoTakes, comfort: """
            [{ condition: alder, at: 10:05:25, discomfort: 3, hot_spot: crown, worn_min: 2 }, { condition: alder, at: 10:05:26, remarks: warm }, { condition: alder, at: 11:30, discomfort: 8 }, { condition: alder, end_of_day: yes, discomfort: 4 }]
            """);
        var (page, picture) = await OpenAsync(workspace, trial);
        var first = page.GetByRole(AriaRole.Button, new() { Name = "Comfort, 10:05:25: Alder: discomfort 3 of 10; it presses: crown; worn for 2 min" });
        await Expect(first).ToHaveTextAsync("Alder: discomfort 3 of 10, it presses: crown");
        Assert.Equal(picture.At(25), (await first.BoundingBoxAsync())!.X, 2.0f);
        // The second of two at nearly the same moment does not lie on the first.
        var second = page.GetByRole(AriaRole.Button, new() { Name = "Comfort, 10:05:26: Alder: warm" });
        Assert.True((await second.BoundingBoxAsync())!.Y > (await first.BoundingBoxAsync())!.Y + 30, "They overlap.");
        await Expect(page.Locator("[data-part=comfort-elsewhere]")).ToHaveTextAsync("Words on comfort with a clock outside of this picture: 1.");
        // No level, no scale, no unit; and it comes and goes with the view.
        Assert.DoesNotContain("dB", await page.Locator("[data-part=comfort]").TextContentAsync() ?? "dB", StringComparison.Ordinal);
        await page.Locator("[data-part=surface]").FocusAsync();
        for (var n = 0; n < 8; n++) await page.Keyboard.PressAsync("+");
        await page.Keyboard.PressAsync("End");
        await Expect(page.Locator(".comfort-line").First).ToBeHiddenAsync();
        await page.Keyboard.PressAsync("Tab");
        while (!await first.EvaluateAsync<bool>("e => e === document.activeElement")) await page.Keyboard.PressAsync("Tab");
        await Expect(page.Locator(".comfort-line").First).ToBeVisibleAsync();
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("[data-part=comfort-said]")).ToHaveTextAsync("Comfort, 10:05:25: Alder: discomfort 3 of 10; it presses: crown; worn for 2 min");
        Assert.Equal("", await OpenedWorkspace.AxeAsync(page));
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task On_a_phone_a_take_is_one_line_until_it_is_opened()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace, TwoTakes);
        var (page, _) = await OpenAsync(workspace, trial, width: 390, touch: true);
        var line = page.GetByRole(AriaRole.Button, new() { NameRegex = new("^T01 open ear · 0:02 to 0:12 · LAeq ") });
        await Expect(line).ToHaveAttributeAsync("aria-expanded", "false");
        await Expect(page.GetByLabel("Start of T01")).ToBeHiddenAsync();
        await line.ClickAsync();
        await Expect(page.GetByLabel("Start of T01")).ToBeVisibleAsync();
        await Expect(page.GetByLabel("Start of T02")).ToBeHiddenAsync();
        // What is changed stays open when the page is renewed.
        await page.GetByLabel("End of T01").FillAsync("0:11");
        await page.GetByLabel("End of T01").PressAsync("Tab");
        await Expect(page.GetByRole(AriaRole.Button, new() { NameRegex = new("^T01 open ear · 0:02 to 0:11") })).ToHaveAttributeAsync("aria-expanded", "true");
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task Proposals_are_dashed_until_they_are_accepted_one_by_one_or_all_the_sure_ones()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        var (page, _) = await OpenAsync(workspace, trial);
        await page.GetByRole(AriaRole.Button, new() { Name = "Look for takes" }).ClickAsync();
        await Expect(page.Locator(".mark.pencilled")).ToHaveCountAsync(5);
        Assert.Empty(workspace.Workspace.Library.Find(trial)!.Draft.Ids("takes"));
        await Expect(page.Locator("[data-part=reasons] li").First).ToContainTextAsync("steady");
        await page.Keyboard.PressAsync("n");
        await page.Keyboard.PressAsync("p");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("#takes tr[data-mark]")).ToHaveCountAsync(1);
        Assert.Equal("open", Value(workspace, trial, "takes[T01].condition"));
        await page.Locator("[data-part=least]").FillAsync("50");
        await page.GetByRole(AriaRole.Button, new() { Name = "Accept all from this confidence on" }).ClickAsync();
        await Expect(page.Locator("#takes tr[data-mark]")).Not.ToHaveCountAsync(1);
        var takes = workspace.Workspace.Library.Find(trial)!.Draft.Ids("takes").Count;
        Assert.InRange(takes, 3, 5);
        await page.GetByRole(AriaRole.Button, new() { Name = "Undo" }).ClickAsync();
        await Expect(page.Locator("#takes tr[data-mark]")).ToHaveCountAsync(1);
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task A_two_hour_history_moves_under_the_hand_at_the_pace_of_the_screen()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace);
        await HistoryOfTwoHoursAsync(workspace, trial, "flight.wav");
        var (page, picture) = await OpenAsync(workspace, trial);
        await page.EvaluateAsync("""
            () => {
              window.frames_ = []; window.times_ = [];
              const ask = window.requestAnimationFrame.bind(window);
              window.requestAnimationFrame = work => ask(time => { const from = performance.now(); work(time); window.frames_.push(performance.now() - from); window.times_.push(time); });
            }
            """);
        foreach (var zooms in new[] { 1, 2, 3 })
        {
            for (var i = 0; i < zooms; i++) await page.GetByRole(AriaRole.Button, new() { Name = "Closer" }).ClickAsync();
            await page.Mouse.MoveAsync(picture.At(60), picture.Top + 150);
            await page.Mouse.DownAsync();
            await page.Mouse.MoveAsync(picture.At(20), picture.Top + 150, new() { Steps = 40 });
            await page.Mouse.MoveAsync(picture.At(70), picture.Top + 150, new() { Steps = 40 });
            await page.Mouse.UpAsync();
        }
        var work = (await page.EvaluateAsync<double[]>("window.frames_")).Order().ToArray();
        Assert.True(work.Length > 60, $"Only {work.Length} frames were drawn.");
        var (median, most) = (work[work.Length / 2], work[(int)(0.95 * work.Length)]);
        var apart = (await page.EvaluateAsync<double[]>("window.times_.slice(1).map((t, i) => t - window.times_[i]).filter(d => d > 0 && d < 200)")).Order().ToArray();
        TestContext.Current.TestOutputHelper?.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{work.Length} frames: median {median:F1} ms, 95 % {most:F1} ms; from frame to frame: median {apart[apart.Length / 2]:F1} ms, 95 % {apart[(int)(0.95 * apart.Length)]:F1} ms"));
        // 60 frames a second leave 16.7 ms. The browser paints without a graphics card here, and other tests may share the cores: half of it for the median leaves it room.
        Assert.InRange(median, 0, 8.3);
        Assert.InRange(most, 0, 33.3);
        Assert.Empty(workspace.Complaints);
    }

    /// <remarks>A recorder that is 200 ppm slow has lost 1.44 s after two hours, one that is 20 ppm fast has won 0.14 s.</remarks>
    [Theory]
    [InlineData(200, 20)]
    [InlineData(20, -200)]
    public async Task A_take_at_the_end_of_two_hours_lies_where_the_analysis_reads_the_other_recorder(double drift, double seatDrift)
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        RecordingEntry ear = new("flight", "flight.wav", (10 * 3600) + 300, "F1") { ClockDrift = drift }, seat = new("seat", "seat.wav", (10 * 3600) + 282, "F1") { ClockDrift = seatDrift };
        // The take of the ear's recorder, and what the analysis reads of the seat's at the same clock.
        double[] own = [7180, 7190], other = [.. own.Select(s => seat.Clock.Own(ear.Clock.At(s)))];
        string Take(string id, string recording, double[] span) => FormattableString.Invariant($"{{ id: {id}, condition: open, recording: {recording}, from: {span[0]:F3}, to: {span[1]:F3} }}");
        var trial = SoundTrial.Bring(workspace, $"[{Take("T01", "flight", own)}, {Take("T02", "seat", other)}]", FormattableString.Invariant($", clock_drift_ppm: {drift}"),
            FormattableString.Invariant($"{{ id: seat, file: seat.wav, run: F1, starts: 10:04:40, clock_offset_s: 2, clock_drift_ppm: {seatDrift} }}"));
        foreach (var name in new[] { "flight.wav", "seat.wav" }) await HistoryOfTwoHoursAsync(workspace, trial, name);
        var (page, picture) = await OpenAsync(workspace, trial);
        var spoken = page.GetByRole(AriaRole.Slider, new() { Name = "Start of T01 open ear" });
        await page.GetByRole(AriaRole.Button, new() { Name = "take T01 open ear" }).ClickAsync();
        var clock = TimeSpan.FromSeconds(ear.Clock.At(own[0]));
        await Expect(spoken).ToHaveAttributeAsync("aria-valuetext", $"1:59:40.00, clock {clock.Add(TimeSpan.FromSeconds(0.05)).ToString(@"hh\:mm\:ss\.f", CultureInfo.InvariantCulture)}");
        await page.Locator("[data-part=what]").SelectOptionAsync(new SelectOptionValue { Label = "First flight: all recordings, one below the other" });
        await page.GetByRole(AriaRole.Button, new() { Name = "take T01 open ear" }).ClickAsync();
        await page.Keyboard.PressAsync("z");
        async Task<double[]> PlaceAsync(string kind) => await page.Locator($".mark:has-text('{kind}')").EvaluateAsync<double[]>("e => { const b = e.getBoundingClientRect(); return [b.left, b.right]; }");
        // The recording that was shown before keeps its length.
        await page.WaitForFunctionAsync("() => [...document.querySelectorAll('.mark')].every(m => m.getBoundingClientRect().width > 300)");
        var (first, second) = (await PlaceAsync("T01"), await PlaceAsync("T02"));
        // The view is 22 s wide: a pixel is 0.02 s. The offset alone would leave them up to 80 px apart.
        Assert.Equal(picture.Width * 10 / 22, first[1] - first[0], 1.5);
        Assert.Equal(first[0], second[0], 1.5);
        Assert.Equal(first[1], second[1], 1.5);
        Assert.Empty(workspace.Complaints);
    }

    [Theory]
    [InlineData(1280, "takes")]
    [InlineData(390, "takes")]
    [InlineData(820, "takes")]
    [InlineData(1280, "calibrate")]
    [InlineData(390, "calibrate")]
    [InlineData(820, "calibrate")]
    public async Task Nothing_stands_in_the_way_of_a_screen_reader(int width, string which)
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace, TwoTakes);
        var (page, _) = await OpenAsync(workspace, trial, width, page: which);
        await page.Locator(".tag").First.ClickAsync();
        Assert.Equal("", await OpenedWorkspace.AxeAsync(page));
        Assert.Equal(width, await page.EvaluateAsync<int>("document.documentElement.scrollWidth"));
        Assert.Empty(workspace.Complaints);
    }

    private static async Task DragAsync(IPage page, double from, double to, double y, Func<Task>? halfway = null)
    {
        await page.Mouse.MoveAsync((float)from, (float)y);
        await page.Mouse.DownAsync();
        await page.Mouse.MoveAsync((float)(from + to) / 2, (float)y, new() { Steps = 3 });
        if (halfway is not null) await halfway();
        await page.Mouse.MoveAsync((float)to, (float)y, new() { Steps = 3 });
        await page.Mouse.UpAsync();
        await SavedAsync(page);
    }

    /// <summary>Lays a history of two hours beside a recording, as if it had been measured before.</summary>
    private static async Task HistoryOfTwoHoursAsync(OpenedWorkspace workspace, Guid trial, string name)
    {
        var file = workspace.Workspace.Library.Find(trial)!.Files.Single(f => f.Name == name);
        Directory.CreateDirectory(workspace.Workspace.Library.HistoriesFolder);
        await File.WriteAllBytesAsync(Path.Combine(workspace.Workspace.Library.HistoriesFolder, $"{file.Sha256}-1-v{Histories.AnalysisVersion}.levels"), TwoHours(), TestContext.Current.CancellationToken);
    }

    /// <summary>Two hours of steps: a loud bed with narrow events, so that the pyramid and the shades have something to do.</summary>
    private static byte[] TwoHours()
    {
        const int steps = 57_600;
        var bytes = new byte[HistoryRows.HeadBytes + (steps * HistoryRows.RowBytes)];
        HistoryRows.WriteHead(bytes, HistoryTrack.StepSeconds, 0, steps, HistoryTrack.StepSeconds);
        var random = new Random(1);
        for (var i = 0; i < steps * HistoryRows.RowNumbers; i++)
            BinaryPrimitives.WriteInt16LittleEndian(bytes.AsSpan(HistoryRows.HeadBytes + (2 * i)), (short)(-3000 - (60 * (i % HistoryRows.RowNumbers)) - random.Next(900) + (random.Next(4000) == 0 ? 2500 : 0)));
        return bytes;
    }

    private sealed record Box(double Left, float Top, double Width)
    {
        public float At(double seconds) => (float)(Left + (Width * seconds / (5 * SoundTrial.Turn)));
    }

    /// <summary>One finger on the glass, through the browser's own protocol.</summary>
    private sealed class Finger(ICDPSession session) : IAsyncDisposable
    {
        public static async Task<Finger> OnAsync(IPage page) => new(await page.Context.NewCDPSessionAsync(page));

        public async Task DragAsync(double fromX, double fromY, double toX, double toY)
        {
            await SendAsync("touchStart", fromX, fromY);
            for (var i = 1; i <= 8; i++) await SendAsync("touchMove", fromX + ((toX - fromX) * i / 8), fromY + ((toY - fromY) * i / 8));
            await session.SendAsync("Input.dispatchTouchEvent", new() { ["type"] = "touchEnd", ["touchPoints"] = Array.Empty<object>() });
        }

        public async ValueTask DisposeAsync() => await session.DetachAsync();

        private Task SendAsync(string type, double x, double y) =>
            session.SendAsync("Input.dispatchTouchEvent", new() { ["type"] = type, ["touchPoints"] = new[] { new { x, y } } });
    }
}
