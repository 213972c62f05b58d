using System.IO.Compression;
using System.Net;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Signals.Rendering;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Pages;

/// <summary>The cabin and its residuals: prepared, switched by keyboard, blind, and taken along.</summary>
[Collection(nameof(WholeTrials)), Trait("Trials", "whole")]
public sealed class HearPageTests(ThreeTrials trials)
{
    private string Page => $"/trials/{trials.Trials["rich"]:N}/hear";

    [Fact]
    public async Task The_sounds_are_prepared_and_switched_by_keyboard_and_blind()
    {
        // Other tests of this workspace ask for pages that are not there.
        var before = trials.Workspace.Complaints.Count;
        var page = await trials.Workspace.PageAsync(Page);
        await page.GetByRole(AriaRole.Button, new() { Name = "Prepare and play" }).ClickAsync();
        var state = page.Locator("[data-part=state]");
        await Expect(state).ToHaveTextAsync("Playing: The cabin", new() { Timeout = 60_000 });
        await page.Keyboard.PressAsync("2");
        await Expect(state).ToHaveTextAsync("Playing: Alder");
        await page.GetByRole(AriaRole.Radio, new() { Name = "Alder" }).First.FocusAsync();
        await page.Keyboard.PressAsync("ArrowUp");
        await Expect(state).ToHaveTextAsync("Playing: The cabin");
        await page.GetByLabel("Blind: letters instead of names, in a new order").CheckAsync();
        await Expect(page.Locator("[data-part=list]")).ToContainTextAsync("Device A");
        await Expect(page.Locator("[data-part=list]")).Not.ToContainTextAsync("Alder");
        await Expect(page.Locator("[data-part=rows]")).ToBeHiddenAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Say which is which" }).ClickAsync();
        await Expect(page.Locator("[data-part=list]")).ToContainTextAsync("Alder");
        await page.GetByRole(AriaRole.Button, new() { Name = "Pause" }).ClickAsync();
        await Expect(state).ToHaveTextAsync("Paused.");
        Assert.Empty(trials.Workspace.Complaints.Skip(before));
        await page.Context.CloseAsync();
    }

    /// <summary>What the page plays, measured by the analysis of the trial: each device loses of the cabin what was estimated, in dB(A) within 0.7 dB of the estimate and in every trusted band within 0.5 dB.</summary>
    [Fact]
    public async Task What_is_played_loses_what_was_estimated_and_is_one_loop_at_a_low_level()
    {
        using var visitor = await Visitor.EnterAsync(trials.Workspace.Workspace);
        using var told = await visitor.AskAsync("GET", Page + "/sounds");
        using var set = JsonDocument.Parse(await told.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
        var revision = set.RootElement.GetProperty("revision").GetInt32();
        var levels = new List<double>();
        foreach (var sound in set.RootElement.GetProperty("sounds").EnumerateArray())
        {
            using var answer = await visitor.AskAsync("GET", $"{Page}/{sound.GetProperty("place")}.wav?revision={revision}");
            Assert.Equal("audio/wav", answer.Content.Headers.ContentType!.MediaType);
            Assert.Equal("nosniff", Assert.Single(answer.Headers.GetValues("X-Content-Type-Options")));
            using var wave = Recording.Open(new BufferedBytes(await answer.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken)), "clip.wav");
            var loop = new double[wave.Frames];
            wave.Samples!.Read(0, 0, loop);
            Assert.InRange(loop.Max(Math.Abs), 0.0001, 0.9);
            levels.Add(10 * Math.Log10(LevelAnalysis.Measure(new LoopSamples(loop, wave.SampleRate, 2), 0, loop.Length, loop.Length, new() { Thirds = false, Octaves = false }, cancellation: TestContext.Current.CancellationToken).MeanSquare(FrequencyWeighting.A)));
            if (sound.GetProperty("estimate").GetString() is not { Length: > 0 } estimate) continue;
            Assert.Equal(double.Parse(estimate, System.Globalization.CultureInfo.InvariantCulture), levels[0] - levels[^1], 0.7);
            Assert.InRange(double.Parse(sound.GetProperty("deviation").GetString()!, System.Globalization.CultureInfo.InvariantCulture), 0, 0.5);
        }
        Assert.True(levels.Count >= 4);
        Assert.InRange(levels[0], -40, -25.9);
        Assert.Equal(HttpStatusCode.Conflict, (await visitor.AskAsync("GET", $"{Page}/0.wav?revision={revision + 1}")).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await visitor.AskAsync("GET", $"{Page}/99.wav?revision={revision}")).StatusCode);
    }

    [Fact]
    public async Task The_clips_come_with_their_caution_and_without_a_voice()
    {
        using var visitor = await Visitor.EnterAsync(trials.Workspace.Workspace);
        using var answer = await visitor.AskAsync("GET", Page + ".zip");
        using var archive = new ZipArchive(new MemoryStream(await answer.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken)));
        Assert.Contains("00-cabin.wav", archive.Entries.Select(e => e.Name));
        Assert.Contains("01-alder.wav", archive.Entries.Select(e => e.Name));
        using var text = new StreamReader(archive.GetEntry("read-first.txt")!.Open());
        var words = await text.ReadToEndAsync(TestContext.Current.CancellationToken);
        Assert.Contains("Never turn up", words, StringComparison.Ordinal);
        Assert.DoesNotContain("Speech was left in", words, StringComparison.Ordinal);
        using var joined = new MemoryStream();
        await using (var entry = archive.GetEntry("all-in-order.wav")!.Open()) await entry.CopyToAsync(joined, TestContext.Current.CancellationToken);
        using var wave = Recording.Open(new BufferedBytes(joined.ToArray()), "all.wav");
        Assert.Equal(archive.Entries.Count - 2, wave.Markers.Count);
        Assert.Equal("The cabin", wave.Markers[0].Label);
        using var spoken = await visitor.AskAsync("GET", Page + "/sounds?speech=yes");
        Assert.Equal(HttpStatusCode.OK, spoken.StatusCode);
        // Noted readings without bands: nothing to hear, and why.
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await visitor.AskAsync("GET", $"/trials/{trials.Trials["tractor"]:N}/hear/sounds")).StatusCode);
    }
}
