using System.Runtime.InteropServices;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Web.Tests.Capturing;

/// <summary>The doors of the leading card: marks that are none, a capture of two hours, what a device does not prove.</summary>
public sealed class LeadDoorTests(OneBrowser browser)
{
    private const int Rate = 16_000;

    private const string Trial = """
        hushtrial: 1
        trial: { title: Led, quantity: insertion-loss, design: sequential }
        fitting: { order: "F1: open; alder; open", settle_s: 0, open_level_a: 100, open_rules: niosh }
        devices: [{ id: alder, name: Alder, kind: over-ear }]
        conditions: [{ id: alder, device: alder }]
        runs: [{ id: F1 }]
        takes: []
        """;

    [Fact]
    public async Task Two_hours_go_through_the_doors_and_memory_does_not_grow()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        var (trial, capture) = await BeginAsync(workspace, visitor);
        var at = $"/trials/{trial:N}/captures/{capture}";
        const int Seconds = 360;
        var noise = new float[Rate * Seconds];
        var state = 1u;
        for (var n = 0; n < noise.Length; n++) noise[n] = (((state = (1664525 * state) + 1013904223) >> 8) / 16_777_216f) - 0.5f;
        var bytes = MemoryMarshal.AsBytes(noise.AsSpan()).ToArray();
        var early = 0L;
        for (var piece = 0; piece < 20; piece++)
        {
            using var frames = await visitor.AskAsync("POST", $"{at}/frames?from={(long)piece * noise.Length}", new ByteArrayContent(bytes));
            Assert.Equal(200, (int)frames.StatusCode);
            if (piece == 0) Assert.Equal(200, await MarkAsync(visitor, at, new { kind = "begin", from = 0, condition = "open" }));
            if (piece == 5) early = GC.GetTotalMemory(forceFullCollection: true);
        }
        var grown = GC.GetTotalMemory(forceFullCollection: true) - early;
        // A half hour of steps is remembered, from minute 36 on nothing more.
        Assert.True(grown < 2_000_000, $"{grown} bytes more after two hours than after half an hour");
        using var answer = await visitor.AskAsync("GET", at);
        Assert.Equal(2 * 3600 * Rate, (await JsonAsync(answer)).GetProperty("frames").GetInt64());
    }

    [Fact]
    public async Task Marks_that_are_none_are_refused()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        var (trial, capture) = await BeginAsync(workspace, visitor);
        var at = $"/trials/{trial:N}/captures/{capture}";
        using (await visitor.AskAsync("POST", $"{at}/frames?from=0", new ByteArrayContent(new byte[4 * Rate]))) { }
        Assert.Equal(200, await MarkAsync(visitor, at, new { kind = "begin", from = 10, condition = "alder", fit = "F1-2" }));
        foreach (object mark in new object[]
        {
            new { kind = "stop", from = 0 }, new { kind = "begin", from = 0, condition = "cedar" }, new { kind = "begin", from = 0 }, new { kind = "begin", from = Rate + 1, condition = "open" }, new { kind = "begin", from = -1, condition = "open" },
            new { kind = "take", from = 10, condition = "alder", fit = "F1-2" }, new { kind = "take", from = 10, to = 9, condition = "alder", fit = "F1-2" }, new { kind = "event", from = 0, words = "a pigeon" }, new { kind = "run", from = 0, words = new string('x', 401) },
        })
            Assert.Equal(422, await MarkAsync(visitor, at, mark));
        // Sent again because the answer was lost: kept once.
        Assert.Equal(200, await MarkAsync(visitor, at, new { kind = "take", from = 10, to = 15_000, condition = "alder", fit = "F1-2" }));
        Assert.Equal(200, await MarkAsync(visitor, at, new { kind = "take", from = 10, to = 15_000, condition = "alder", fit = "F1-2" }));
        using var ended = await visitor.AskAsync("POST", $"{at}/finish");
        Assert.Equal(1, (await JsonAsync(ended)).GetProperty("takes").GetInt32());
        // The browser said nothing of its processing, and 16 kHz carry no high bands: findings of the trial.
        var problems = workspace.Workspace.Library.Find(trial)!.Draft.Read().Problems.Select(p => p.Problem.Code).ToList();
        Assert.Contains("REC-071", problems);
        Assert.Equal(3, problems.Count(c => c == "REC-072"));
    }

    [Fact]
    public async Task An_open_ear_that_has_had_its_share_is_passed_over_and_the_card_says_why()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        var (trial, capture) = await BeginAsync(workspace, visitor);
        var at = $"/trials/{trial:N}/captures/{capture}";
        using (await visitor.AskAsync("POST", $"{at}/frames?from=0", new ByteArrayContent(new byte[4 * Rate * 240]))) { }
        await MarkAsync(visitor, at, new { kind = "run", from = 0, words = "F1" });
        await MarkAsync(visitor, at, new { kind = "worn", from = 0, condition = "open" });
        // 100 dB(A): a quarter of a day's dose are 225 s (NIOSH 98-126).
        using var stopped = await visitor.AskAsync("POST", $"{at}/marks", new { kind = "abort", from = 230 * Rate });
        var card = await JsonAsync(stopped);
        Assert.Equal("alder", card.GetProperty("next").GetProperty("condition").GetString());
        Assert.StartsWith("The open ear has had its share for today: open-ear steps that are left out: 2.", card.GetProperty("passed").GetString(), StringComparison.Ordinal);
        Assert.DoesNotContain("open", card.GetProperty("choices").EnumerateArray().Select(c => c.GetProperty("condition").GetString()));
    }

    [Fact]
    public async Task A_code_stands_for_a_name_until_the_key_is_revealed_and_that_is_noted()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        var (trial, capture) = await BeginAsync(workspace, visitor);
        var at = $"/trials/{trial:N}/captures/{capture}";
        var library = workspace.Workspace.Library;
        library.Edit(trial, library.Find(trial)!.Revision, new DraftEdit.Set("fitting.codes", "B4 = alder"), "");
        async Task<JsonElement> ChoiceAsync()
        {
            using var answer = await visitor.AskAsync("GET", $"{at}/lead");
            var card = await JsonAsync(answer);
            return card.GetProperty("choices").EnumerateArray().First(c => c.GetProperty("condition").GetString() == "alder");
        }
        Assert.Equal("B4", (await ChoiceAsync()).GetProperty("name").GetString());
        using (var revealed = await visitor.AskAsync("POST", $"/trials/{trial:N}/reveal")) Assert.Equal(200, (int)revealed.StatusCode);
        Assert.Equal("Alder", (await ChoiceAsync()).GetProperty("name").GetString());
        Assert.Matches("^[0-9]{4}-[0-9]{2}-[0-9]{2} [0-9]{2}:[0-9]{2}$", library.Find(trial)!.Draft.Value("fitting.codes_revealed"));
    }

    [Fact]
    public async Task A_take_that_clips_is_told_while_it_runs_and_the_mean_goes_on_after_a_restart()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        string at;
        var noise = Noise(12 * Rate);
        // Flat tops 6 s after the beginning, 4 s into the take.
        Array.Fill(noise, 1f, 6 * Rate, 40);
        JsonElement before, after;
        using (var visitor = await Visitor.EnterAsync(workspace.Workspace))
        {
            var (trial, capture) = await BeginAsync(workspace, visitor);
            at = $"/trials/{trial:N}/captures/{capture}";
            await LiveAsync(visitor, at, noise, 0, 5);
            await MarkAsync(visitor, at, new { kind = "begin", from = 2 * Rate, condition = "open" });
            before = await LiveAsync(visitor, at, noise, 5, 6);
            Assert.Equal("", before.GetProperty("clipped").GetString());
            Assert.StartsWith("It clips, 4 s after this take began: it will be asked again.", (await LiveAsync(visitor, at, noise, 6, 8)).GetProperty("clipped").GetString(), StringComparison.Ordinal);
        }
        await workspace.StopAsync();
        await workspace.StartAgainAsync();
        using (var visitor = await Visitor.EnterAsync(workspace.Workspace))
        {
            after = await LiveAsync(visitor, at, noise, 8, 12);
            Assert.Equal(10, after.GetProperty("seconds").GetDouble());
            Assert.StartsWith("It clips, 4 s after", after.GetProperty("clipped").GetString(), StringComparison.Ordinal);
            var file = LevelAnalysis.Measure(new HeldSamples(Rate, [noise]), 0, 2 * Rate, 10 * Rate, new LevelSettings { Octaves = false }, cancellation: TestContext.Current.CancellationToken);
            var mean = after.GetProperty("mean").GetString()!;
            Assert.Equal(10 * Math.Log10(file.MeanSquare(FrequencyWeighting.A)), double.Parse(mean.Split(' ')[0].Replace('−', '-'), System.Globalization.CultureInfo.InvariantCulture), 0.1);
            Assert.DoesNotContain("alone", mean, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task Of_a_very_long_take_the_last_minutes_are_taken_up_after_a_restart_and_that_is_said()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        string at;
        var noise = Noise(400 * Rate);
        using (var visitor = await Visitor.EnterAsync(workspace.Workspace))
        {
            var (trial, capture) = await BeginAsync(workspace, visitor);
            at = $"/trials/{trial:N}/captures/{capture}";
            await LiveAsync(visitor, at, noise, 0, 200);
            await LiveAsync(visitor, at, noise, 200, 399);
            await MarkAsync(visitor, at, new { kind = "begin", from = 0, condition = "open" });
        }
        await workspace.StopAsync();
        await workspace.StartAgainAsync();
        using var again = await Visitor.EnterAsync(workspace.Workspace);
        Assert.EndsWith("(of the last 301 s alone)", (await LiveAsync(again, at, noise, 399, 400)).GetProperty("mean").GetString(), StringComparison.Ordinal);
    }

    private static float[] Noise(int count)
    {
        var random = new Random(7);
        return [.. Enumerable.Range(0, count).Select(_ => (float)(0.2 * ((2 * random.NextDouble()) - 1)))];
    }

    /// <summary>Sends some seconds and reads what the workspace measures.</summary>
    private static async Task<JsonElement> LiveAsync(Visitor visitor, string at, float[] samples, int from, int to)
    {
        using var answer = await visitor.AskAsync("POST", $"{at}/frames?from={from * Rate}", new ByteArrayContent(MemoryMarshal.AsBytes(samples.AsSpan(from * Rate, (to - from) * Rate)).ToArray()));
        Assert.Equal(200, (int)answer.StatusCode);
        return (await JsonAsync(answer)).GetProperty("live");
    }

    private static async Task<(Guid Trial, string Capture)> BeginAsync(OpenedWorkspace workspace, Visitor visitor)
    {
        var trial = workspace.Workspace.Library.Create(TrialDraft.FromText(Trial, "trial.yaml").Draft!, "Begun").Id;
        using var begun = await visitor.AskAsync("POST", $"/trials/{trial:N}/captures", new { name = "flight", sampleRate = Rate, channels = 1, device = "", settings = new { } });
        return (trial, (await JsonAsync(begun)).GetProperty("capture").GetString()!);
    }

    private static async Task<int> MarkAsync(Visitor visitor, string at, object mark)
    {
        using var answer = await visitor.AskAsync("POST", $"{at}/marks", mark);
        return (int)answer.StatusCode;
    }

    private static async Task<JsonElement> JsonAsync(HttpResponseMessage answer) => JsonDocument.Parse(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).RootElement;
}
