using System.Runtime.InteropServices;
using System.Text.Json;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Captures;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Leading;
using Hushtrial.Trials.Screening;
using Hushtrial.Web.Capturing;
using Hushtrial.Web.Recordings;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Capturing;

/// <summary>What may go wrong while it is recorded: a disk that takes no mark, another workspace, frames while a take is measured, a take up to the last frame.</summary>
public sealed class CaptureTroubleTests(OneBrowser browser)
{
    private const int Rate = 16_000;

    private const string Trial = """
        hushtrial: 1
        trial: { title: In trouble, quantity: insertion-loss, design: sequential }
        channels: [{ id: ear, where: ear, number: 1 }]
        devices: [{ id: alder, name: Alder, kind: over-ear }]
        conditions: [{ id: alder, device: alder }]
        runs: [{ id: F1 }]
        takes: []
        """;

    /// <summary>Frames are heard while the shelf holds the capture, and a look waits for the shelf: a look must not keep frames from being heard.</summary>
    [Fact]
    public async Task Frames_are_heard_while_a_take_is_measured()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var stored = workspace.Workspace.Library.Create(TrialDraft.FromText(Trial, "trial.yaml").Draft!, "Begun");
        var session = new LeadSession(new(Rate, 1, "", new Dictionary<string, string>(StringComparer.Ordinal)), 0);
        using var shelf = new Shelf(workspace.Workspace.Library);
        var trial = LeadTrial.Of(stored, 1, new CalibrationDesk(shelf));
        var run = LedRun.Of([new("take", 0, 2 * Rate, "open", null, "")]);
        using var recording = Recorded(Noise(3 * Rate));
        var heard = false;
        var measured = session.Measured(run, trial, look =>
        {
            // The other request, which has the capture and hands on what it brought.
            var hearing = new Thread(() => session.Hear(MemoryMarshal.AsBytes(Noise(100).AsSpan()))) { IsBackground = true };
            hearing.Start();
            heard = hearing.Join(TimeSpan.FromSeconds(10));
            return look(recording);
        });
        Assert.True(heard, "the frames wait for the look, which would wait for them");
        Assert.Equal(2 * Rate, Assert.Single(measured).Span.To);
    }

    [Fact]
    public async Task A_mark_that_the_disk_refuses_waits_on_the_page_while_frames_go_on()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = workspace.Workspace.Library.Create(TrialDraft.FromText(Trial, "trial.yaml").Draft!, "Begun").Id;
        var page = await workspace.PageAsync($"/trials/{trial:N}/capture");
        var capture = await page.EvaluateAsync<string>($$"""
            async () => {
              const own = performance.getEntriesByType('resource').map(e => e.name);
              const [sending, { input }] = await Promise.all(['sending.js', 'input.js'].map(name => import(own.find(url => url.includes('/capture/' + name)))));
              Object.assign(input, { rate: {{Rate}}, channels: 1, device: 'made up', settings: {}, context: { resume() {} } });
              window.sending = sending;
              window.second = () => sending.take(new Float32Array({{Rate}}).fill(0.1));
              await sending.beginCapture('flight');
              return sending.capture.id;
            }
            """);
        // A folder in the place of the marks: they cannot be written, as on a full disk.
        var marks = Path.Combine(workspace.Folder, "captures", $"{capture}.marks");
        Directory.CreateDirectory(marks);
        await page.EvaluateAsync("() => { second(); sending.note({ kind: 'event', from: 10, words: 'radio' }); sending.note({ kind: 'event', from: 20, words: 'bump' }); }");
        await page.WaitForFunctionAsync("() => sending.capture.acknowledged > 0 && sending.capture.markedAgain > 0");
        var kept = await page.EvaluateAsync<long>("() => sending.capture.acknowledged");
        await page.EvaluateAsync("() => second()");
        await page.WaitForFunctionAsync("kept => sending.capture.acknowledged > kept", kept);
        Assert.Equal(2, await page.EvaluateAsync<int>("() => sending.capture.marks.length"));
        Directory.Delete(marks);
        await page.EvaluateAsync("() => sending.endCapture()");
        Assert.Equal(["radio", "bump"], (await File.ReadAllLinesAsync(marks, TestContext.Current.CancellationToken)).Select(line => JsonDocument.Parse(line).RootElement.GetProperty("words").GetString()));
        Assert.NotEmpty(workspace.Complaints);
        Assert.All(workspace.Complaints, c => Assert.Contains("507", c, StringComparison.Ordinal));
    }

    [Fact]
    public async Task What_another_workspace_has_open_is_only_looked_at_and_goes_on_when_that_one_is_closed()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        Guid trial;
        string at;
        using (var visitor = await Visitor.EnterAsync(workspace.Workspace)) (trial, at) = await BeginAsync(workspace, visitor);
        await workspace.StopAsync();
        using (var library = TrialLibrary.Open(workspace.Folder, TimeProvider.System))
        using (var other = new CaptureShelf(library, TimeProvider.System))
        {
            Assert.Equal(CaptureAnswer.Kept, other.Hold(other.Of(trial)[0].Id));
            await workspace.StartAgainAsync();
            using var visitor = await Visitor.EnterAsync(workspace.Workspace);
            foreach (var (method, path) in new[] { ("POST", $"{at}/frames?from=0"), ("POST", $"{at}/marks"), ("GET", $"{at}/lead"), ("POST", $"{at}/finish"), ("DELETE", at), ("POST", $"/trials/{trial:N}/erase") })
            {
                object? body = path.EndsWith("marks", StringComparison.Ordinal) ? new { kind = "event", from = 0, words = "radio" } : null;
                using var refused = await visitor.AskAsync(method, path, body);
                Assert.Equal((path, 503), (path, (int)refused.StatusCode));
                Assert.StartsWith("Another running workspace has this recording open", await refused.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
            }
            using var seen = await visitor.AskAsync("GET", at);
            Assert.Equal(200, (int)seen.StatusCode);
        }
        using var again = await Visitor.EnterAsync(workspace.Workspace);
        using var kept = await again.AskAsync("POST", $"{at}/frames?from=0", new ByteArrayContent(MemoryMarshal.AsBytes(Noise(Rate).AsSpan()).ToArray()));
        Assert.Equal(200, (int)kept.StatusCode);
    }

    [Fact]
    public async Task A_take_up_to_the_last_frame_lies_inside_its_recording_and_the_clock_keeps_its_fraction()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        var (trial, at) = await BeginAsync(workspace, visitor);
        // To the nearest thousandth it would end at 8.001 s, 3 frames behind the end.
        const int Frames = (8 * Rate) + 13;
        using (await visitor.AskAsync("POST", $"{at}/frames?from=0", new ByteArrayContent(MemoryMarshal.AsBytes(Noise(Frames).AsSpan()).ToArray()))) { }
        Assert.Equal(200, await MarkAsync(visitor, at, new { kind = "take", from = 33, to = Frames, condition = "open" }));
        // Shorter than a thousandth of a second, and from the same frame as another: no take, but told.
        Assert.Equal(200, await MarkAsync(visitor, at, new { kind = "take", from = 33, to = 40, condition = "open" }));
        using var ended = await visitor.AskAsync("POST", $"{at}/finish?run=F1");
        Assert.Equal(1, JsonDocument.Parse(await ended.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).RootElement.GetProperty("takes").GetInt32());
        var (document, problems) = workspace.Workspace.Library.Find(trial)!.Draft.Read();
        Assert.DoesNotContain(problems, p => p.Problem.Severity == Hushtrial.Quantities.Severity.Error);
        var take = Assert.Single(document!.Takes);
        Assert.Equal((0.003, 8.0), (take.From!.Value, take.To!.Value));
        // One in a million clocks has none.
        Assert.Matches(@"^[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{1,6}$", workspace.Workspace.Library.Find(trial)!.Draft.Value("recordings[flight].starts"));
        using var opened = workspace.Workspace.Library.Open(workspace.Workspace.Library.Find(trial)!);
        Assert.Equal(Frames, opened.Recording("flight")!.Recording!.Frames);
    }

    private static float[] Noise(int count)
    {
        var random = new Random(7);
        return [.. Enumerable.Range(0, count).Select(_ => (float)(0.2 * ((2 * random.NextDouble()) - 1)))];
    }

    private static Recording Recorded(float[] samples)
    {
        var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 1, WaveSampleFormat.Float32)) writer.Write([.. samples.Select(s => (double)s)]);
        return Recording.Open(new BufferedBytes(stream.ToArray()), "capture.wav");
    }

    private static async Task<(Guid Trial, string At)> BeginAsync(OpenedWorkspace workspace, Visitor visitor)
    {
        var trial = workspace.Workspace.Library.Create(TrialDraft.FromText(Trial, "trial.yaml").Draft!, "Begun").Id;
        using var begun = await visitor.AskAsync("POST", $"/trials/{trial:N}/captures", new { name = "flight", sampleRate = Rate, channels = 1, device = "", settings = new { } });
        var capture = JsonDocument.Parse(await begun.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).RootElement.GetProperty("capture").GetString();
        return (trial, $"/trials/{trial:N}/captures/{capture}");
    }

    private static async Task<int> MarkAsync(Visitor visitor, string at, object mark)
    {
        using var answer = await visitor.AskAsync("POST", $"{at}/marks", mark);
        return (int)answer.StatusCode;
    }
}
