using System.Globalization;
using System.Net;
using System.Text;
using Hushtrial.Trials.Document;
using Hushtrial.Web.Tests.Recordings;

namespace Hushtrial.Web.Tests.Uploads;

/// <summary>A document may name files that come later. They come without a new revision, and everything that looked before sees them.</summary>
public sealed class AwaitedFileTests(OneBrowser browser)
{
    private const string Awaited = "No file of this name has been added";

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task A_recording_that_the_document_named_before_it_came_reaches_analysis_levels_and_calibration(bool local)
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var files = new SampleFiles();
        var trial = workspace.Workspace.Library.Create(TrialDraft.FromText("""
            hushtrial: 1
            trial: { title: Recordings later, quantity: insertion-loss, design: sequential }
            channels: [{ id: left, where: ear, ear: left, number: 1 }]
            recordings: [{ id: tone, file: tone.wav }]
            calibrations: [{ channel: left, kind: tone, recording: tone, from: 0:01, to: 0:07, level_db: 94, hertz: 1000, when: before }]
            devices: [{ id: alder, name: Alder, kind: over-ear }]
            conditions: [{ id: alder, device: alder }]
            runs: [{ id: R1 }]
            takes: [{ id: T01, condition: open, reading_a: 90 }, { id: T02, condition: alder, fit: A1, reading_a: 70 }]

            """, "trial.yaml").Draft!, "Begun").Id;
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        Assert.Contains(Awaited, await SettledAsync(visitor, trial, "findings"), StringComparison.Ordinal);
        Assert.DoesNotContain("120.02", await SettledAsync(visitor, trial, "calibrate"), StringComparison.Ordinal);
        using (var before = await visitor.AskAsync("GET", $"/trials/{trial:N}/recordings/tone/levels?channel=1")) Assert.Equal(HttpStatusCode.NotFound, before.StatusCode);
        var path = files.PathOf("tone.wav");
        // A mean square of 0.05², 26.02 dB below full scale: 94 dB there make 120.02 dB of full scale.
        SoundTrial.Write(path, [.. Enumerable.Range(0, 8 * 48_000).Select(n => 0.05 * Math.Sqrt(2) * Math.Sin(2 * Math.PI * 1000 * n / 48_000.0))]);
        using (var added = local ? await visitor.AskAsync("POST", $"/trials/{trial:N}/local-files", new { path }) : await visitor.UploadAsync(trial, "tone.wav", await File.ReadAllBytesAsync(path, TestContext.Current.CancellationToken)))
            Assert.True(added.IsSuccessStatusCode, added.ToString());
        Assert.Equal(1, workspace.Workspace.Library.Find(trial)!.Revision);
        Assert.DoesNotContain(Awaited, await SettledAsync(visitor, trial, "findings"), StringComparison.Ordinal);
        Assert.Contains("120.02", await SettledAsync(visitor, trial, "calibrate"), StringComparison.Ordinal);
        using var levels = await visitor.AskAsync("GET", $"/trials/{trial:N}/recordings/tone/levels?channel=1");
        Assert.Equal(HttpStatusCode.OK, levels.StatusCode);
    }

    [Fact]
    public async Task So_does_a_level_log()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = workspace.Workspace.Library.Create(TrialDraft.FromText("""
            hushtrial: 1
            trial: { title: A log later, quantity: insertion-loss, design: sequential }
            logs: [{ id: ear, file: ear.csv, where: ear, delimiter: semicolon, first_line: 2, interval_s: 1, columns: { 1: clock, 2: LAeq } }]
            devices: [{ id: alder, name: Alder, kind: over-ear }]
            conditions: [{ id: alder, device: alder }]
            runs: [{ id: F1, start: "10:00" }]
            takes: [{ id: T01, condition: open, log: ear, clock_from: "10:00:05", clock_to: "10:00:25" }, { id: T02, condition: alder, fit: A1, log: ear, clock_from: "10:01:05", clock_to: "10:01:25" }]

            """, "trial.yaml").Draft!, "Begun").Id;
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        Assert.Contains(Awaited, await SettledAsync(visitor, trial, "findings"), StringComparison.Ordinal);
        var text = new StringBuilder("Clock;LAeq\n");
        for (var second = 0; second < 120; second++) text.Append(CultureInfo.InvariantCulture, $"10:{second / 60:00}:{second % 60:00};95.0\n");
        using (var added = await visitor.UploadAsync(trial, "ear.csv", Encoding.UTF8.GetBytes(text.ToString()))) Assert.True(added.IsSuccessStatusCode, added.ToString());
        Assert.Equal(1, workspace.Workspace.Library.Find(trial)!.Revision);
        Assert.DoesNotContain(Awaited, await SettledAsync(visitor, trial, "findings"), StringComparison.Ordinal);
    }

    /// <summary>A page once the analysis that it asked for has ended.</summary>
    private static async Task<string> SettledAsync(Visitor visitor, Guid trial, string name)
    {
        (await visitor.AskAsync("GET", $"/trials/{trial:N}/{name}")).Dispose();
        for (var tries = 0; tries < 300; tries++)
        {
            using var state = await visitor.AskAsync("GET", $"/trials/{trial:N}/analysis");
            if ((await state.Content.ReadAsStringAsync()).Contains("\"running\":false", StringComparison.Ordinal)) break;
            await Task.Delay(100);
        }
        using var page = await visitor.AskAsync("GET", $"/trials/{trial:N}/{name}");
        return await page.Content.ReadAsStringAsync();
    }
}
