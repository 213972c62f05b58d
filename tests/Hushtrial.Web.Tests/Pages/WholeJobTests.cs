using System.Globalization;
using System.IO.Compression;
using System.Text;
using System.Text.RegularExpressions;
using Hushtrial.Reporting.Exports;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;
using Hushtrial.Trials;
using Hushtrial.Trials.Synthesis;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Pages;

/// <summary>From an empty library to the report that a stranger can check, by the pages alone.</summary>
public sealed partial class WholeJobTests(OneBrowser browser)
{
    private const int Turn = 14;

    // Invented: a falling spectrum, and two devices some 3 dB apart.
    private static readonly CabinNoise _noise = new([.. Enumerable.Range(0, 31).Select(n => 88.0 - (0.03 * n * n))], []);
    private static readonly LossCurve _alder = new((20, 5), (125, 11), (1000, 30), (20000, 32));
    private static readonly LossCurve _birch = new((20, 4), (125, 8), (1000, 27), (20000, 31));
    private static readonly (string Condition, string Fit)[] _flight = [("open", ""), ("alder", "A1"), ("birch", "B1"), ("open", ""), ("birch", "B2"), ("alder", "A2"), ("open", ""), ("alder", "A3"), ("birch", "B3"), ("open", "")];

    [Fact]
    public async Task Two_devices_in_a_cabin_from_the_question_to_the_report()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var files = Directory.CreateTempSubdirectory("hushtrial-job-");
        try
        {
            Render(files.FullName);
            var page = await workspace.PageAsync();
            await page.GetByRole(AriaRole.Button, new() { Name = "Begin a trial" }).ClickAsync();
            await page.WaitForURLAsync("**/question");
            await FillAsync(page, "f-trial-title", "Alder and Birch in a cabin");
            await page.GetByLabel("Insertion loss").CheckAsync();
            await SavedAsync(page);
            await page.Locator("#f-trial-design-sequential, #f-trial-design").First.CheckAsync();
            await SavedAsync(page);

            await GoAsync(page, "Devices and claims");
            foreach (var (index, device) in new[] { "alder", "birch" }.Index())
            {
                await page.GetByRole(AriaRole.Button, new() { Name = "Add a device" }).ClickAsync();
                var name = page.Locator("#list-f-devices input[data-rename]").Nth(index);
                await name.FillAsync(device);
                await name.PressAsync("Tab");
                await FillAsync(page, $"f-devices-{device}--name", char.ToUpperInvariant(device[0]) + device[1..]);
            }
            await page.Locator("#f-devices-alder--published > summary").ClickAsync();
            await page.Locator("#f-devices-alder--published-ratings > summary").ClickAsync();
            await FillAsync(page, "f-devices-alder--published-ratings-snr", "27");
            await SavedAsync(page);
            await page.GetByRole(AriaRole.Button, new() { Name = "Add a passive condition" }).ClickAsync();
            await Expect(page.Locator("#list-f-conditions tbody tr")).ToHaveCountAsync(2);

            await GoAsync(page, "Plan and cards");
            await page.GetByRole(AriaRole.Button, new() { Name = "Plan", Exact = true }).ClickAsync();
            await Expect(page.Locator("main")).Not.ToContainTextAsync("The plan needs the conditions first.");

            await page.GetByRole(AriaRole.Button, new() { Name = "Keep this plan in the trial" }).ClickAsync();
            await Expect(page.Locator("#kept")).ToContainTextAsync("seed 1");
            var planned = workspace.Workspace.Library.Find(workspace.Workspace.Library.List().Single().Id)!.Draft;
            // Three flights, the open ear first, last and in between, both devices once in each.
            Assert.Equal(["flight 1", "flight 2", "flight 3"], planned.Value("fitting.order")!.Split('\n').Select(l => l.Split(':')[0]));
            Assert.All(planned.Value("fitting.order")!.Split('\n'), l => Assert.Matches(@"^flight \d: open, open; (alder, alder|birch, birch); (open, open; )?(alder, alder|birch, birch); open, open$", l));
            Assert.Matches("^[A-Z][2-9] = (alder|birch); [A-Z][2-9] = (alder|birch)$", planned.Value("fitting.codes"));
            await page.GetByRole(AriaRole.Button, new() { Name = "Undo" }).ClickAsync();
            await Expect(page.Locator("#kept")).Not.ToContainTextAsync("seed 1");

            await GoAsync(page, "Recordings and readings");
            await page.Locator("#files").SetInputFilesAsync([Path.Combine(files.FullName, "flight.wav"), Path.Combine(files.FullName, "tone.wav")]);
            await Expect(page.Locator("#facts th[scope=row]")).ToHaveTextAsync(["recordings/flight.wav", "recordings/tone.wav"], new() { Timeout = 60_000 });
            await page.GetByRole(AriaRole.Button, new() { Name = "Yes: make each a run" }).ClickAsync();
            await Expect(page.Locator("#list-f-runs tbody tr")).ToHaveCountAsync(1);
            var trial = workspace.Workspace.Library.List().Single().Id;
            string[] Ids(string section) => [.. workspace.Workspace.Library.Find(trial)!.Draft.Ids(section)];
            var (flight, tone, run) = (Ids("recordings")[0], Ids("recordings")[1], Ids("runs")[0]);
            // The flight alone: eight seconds of a tone are none.
            await Expect(page.Locator($"#f-recordings-{flight}--run")).ToHaveValueAsync(run);
            await Expect(page.Locator($"#f-recordings-{tone}--run")).ToHaveValueAsync("");
            await Expect(page.Locator("#flights .ask")).ToHaveCountAsync(0);

            await GoAsync(page, "Calibration");
            await page.GetByRole(AriaRole.Button, new() { Name = "left ear on channel 1", Exact = true }).ClickAsync();
            await Expect(page.Locator("#list-f-channels .card")).ToHaveCountAsync(1);
            await Expect(page.Locator("#f-channels-left--ear")).ToHaveValueAsync("left");
            await Expect(page.Locator("#usual-microphones button")).ToHaveCountAsync(0);
            await Expect(page.Locator("[data-part=legend] canvas")).ToBeVisibleAsync();
            await page.Locator("[data-part=what]").SelectOptionAsync(new SelectOptionValue { Value = tone });
            // What is not measured yet has no length to mark in.
            await Expect(page.Locator("[data-part=legend] canvas")).ToBeVisibleAsync();
            await page.Locator("[data-part=surface]").FocusAsync();
            await page.Keyboard.PressAsync("m");
            await page.Locator("#panel-level").FillAsync("94");
            await page.Locator("#panel-moment").SelectOptionAsync("before");
            await page.Locator("#panel-from").FillAsync("0:01");
            await page.Locator("#panel-from").PressAsync("Tab");
            await page.Locator("#panel-to").FillAsync("0:07");
            await page.Locator("#panel-to").PressAsync("Enter");
            // The tone is written with a mean square of 0.05², 26.02 dB below full scale.
            await Expect(page.Locator("#given tbody tr td").First).ToHaveTextAsync("120.02");

            await GoAsync(page, "Takes");
            var results = await workspace.TabAsync(page, $"/trials/{trial:N}/results");
            await Expect(results.Locator("#results")).ToContainTextAsync("There are no results yet");
            await Expect(page.Locator("[data-part=legend] canvas")).ToBeVisibleAsync();
            await Expect(page.Locator("[data-part=what]")).ToHaveValueAsync(flight);
            await page.Locator("[data-part=surface]").ScrollIntoViewIfNeededAsync();
            // The first two on the picture, the others in the table.
            foreach (var (index, (condition, fit)) in _flight.Index())
            {
                var (from, to) = (Clock((index * Turn) + 1), Clock(((index + 1) * Turn) - 1));
                if (index < 2)
                {
                    await page.Locator("[data-part=surface]").FocusAsync();
                    await page.Keyboard.PressAsync("m");
                    await page.Locator("#panel-condition").SelectOptionAsync(condition);
                    await FillOwnAsync(page, "panel-from", from);
                    await FillOwnAsync(page, "panel-to", to);
                    await page.GetByRole(AriaRole.Button, new() { Name = "Take it into the trial" }).ClickAsync();
                    await Expect(page.Locator("#takes tr[data-mark]")).ToHaveCountAsync(index + 1);
                }
                else
                {
                    await page.GetByRole(AriaRole.Button, new() { Name = "Add a take by its times" }).ClickAsync();
                    await Expect(page.Locator("#takes tr[data-mark]")).ToHaveCountAsync(index + 1);
                    var take = $"f-takes-{Ids("takes")[index]}-";
                    await page.Locator($"#{take}-condition").SelectOptionAsync(condition);
                    if (fit.Length > 0) await FillAsync(page, take + "-fit", fit);
                    await FillAsync(page, take + "-from", from);
                    await FillAsync(page, take + "-to", to);
                }
            }
            await Expect(results.Locator("#overall")).ToBeVisibleAsync(new() { Timeout = 60_000 });
            await Expect(results.Locator("#results tbody").First).ToContainTextAsync("Alder");
            await Expect(results.Locator("#so-far .waiting")).ToHaveCountAsync(0, new() { Timeout = 60_000 });
            await Expect(results.Locator(".relative")).ToHaveCountAsync(0);

            await GoAsync(results, "Findings");
            await Expect(results.Locator("#findings")).Not.ToContainTextAsync("Stands in the way");
            await GoAsync(results, "What it means");
            await Expect(results.Locator("#meaning")).ToContainTextAsync("Alder");
            await GoAsync(results, "Report");
            var json = await SaveAsync(results, "Results as JSON", files.FullName);
            var html = await SaveAsync(results, "Save as HTML", files.FullName);
            var pdf = await SaveAsync(results, "Save as PDF", files.FullName);
            var zip = await SaveAsync(results, "Save the whole trial", files.FullName);
            Assert.Contains("Alder and Birch in a cabin", await File.ReadAllTextAsync(html, TestContext.Current.CancellationToken), StringComparison.Ordinal);
            Assert.Equal("%PDF-", Encoding.ASCII.GetString((await File.ReadAllBytesAsync(pdf, TestContext.Current.CancellationToken))[..5]));
            await results.GetByRole(AriaRole.Link, new() { Name = "Read the report" }).ClickAsync();
            await Expect(results.Locator("h1")).ToContainTextAsync("Alder and Birch in a cabin");

            // What a stranger gets out of the archive with the same engine as the command line, to the last digit.
            var unpacked = Path.Combine(files.FullName, "unpacked");
            await ZipFile.ExtractToDirectoryAsync(zip, unpacked, TestContext.Current.CancellationToken);
            using var folder = TrialFolder.Open(unpacked);
            Assert.True(folder.Readable, string.Join('\n', folder.Problems));
            var again = Analysis.Run(folder.ToInputs(), cancellation: TestContext.Current.CancellationToken);
            Assert.Equal(Encoding.UTF8.GetString(ResultExports.Files(again).Single(f => f.Name == "results.json").Content.Span), await File.ReadAllTextAsync(json, TestContext.Current.CancellationToken));
            // The truth that the recordings were made from: 'as worn', without the scatter that was not put in.
            foreach (var (condition, curve) in Truth())
                Assert.InRange(again.Conditions.Single(c => c.Condition.Id == condition).Loss.A!.AsWorn!.Value, curve - 1, curve + 1);
            Assert.Empty(workspace.Complaints);
        }
        finally
        {
            files.Delete(recursive: true);
        }
    }

    [Fact]
    public async Task Readings_typed_by_hand_give_differences_and_nothing_absolute()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var page = await workspace.PageAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Begin a trial" }).ClickAsync();
        await page.WaitForURLAsync("**/question");
        await FillAsync(page, "f-trial-title", "Two ear muffs on a tractor");
        await page.GetByLabel("Insertion loss").CheckAsync();
        await SavedAsync(page);
        await page.Locator("#f-trial-design-readings-only").CheckAsync();
        await SavedAsync(page);
        await GoAsync(page, "Devices and claims");
        foreach (var (index, device) in new[] { "juniper", "laurel" }.Index())
        {
            await page.GetByRole(AriaRole.Button, new() { Name = "Add a device" }).ClickAsync();
            var name = page.Locator("#list-f-devices input[data-rename]").Nth(index);
            await name.FillAsync(device);
            await name.PressAsync("Tab");
            await Expect(page.Locator($"#f-devices-{device}-")).ToBeVisibleAsync();
        }
        await page.GetByRole(AriaRole.Button, new() { Name = "Add a passive condition" }).ClickAsync();
        await GoAsync(page, "Recordings and readings");
        await page.GetByRole(AriaRole.Button, new() { Name = "Add a run" }).ClickAsync();
        await Expect(page.Locator("#list-f-runs tbody tr")).ToHaveCountAsync(1);
        var trial = workspace.Workspace.Library.List().Single().Id;
        (string Condition, string Fit, string A)[] readings = [("open", "", "92"), ("juniper", "J1", "68.5"), ("laurel", "L1", "74"), ("open", "", "92.5"), ("laurel", "L2", "75,5"), ("juniper", "J2", "67"), ("open", "", "91.5"), ("juniper", "J3", "68"), ("laurel", "L3", "74.5"), ("open", "", "92")];
        foreach (var (index, (condition, fit, a)) in readings.Index())
        {
            await page.GetByRole(AriaRole.Button, new() { Name = "Note a reading" }).ClickAsync();
            await Expect(page.Locator("#list-f-takes tbody tr")).ToHaveCountAsync(index + 1);
            var take = $"f-takes-{workspace.Workspace.Library.Find(trial)!.Draft.Ids("takes")[index]}-";
            await page.Locator($"#{take}-condition").SelectOptionAsync(condition);
            await FillAsync(page, take + "-fit", fit);
            await FillAsync(page, take + "-at", string.Create(CultureInfo.InvariantCulture, $"{index + 1}:00"));
            await FillAsync(page, take + "-reading_5f_a", a);
        }
        Assert.Equal("75.5", workspace.Workspace.Library.Find(trial)!.Draft.Value($"takes[{workspace.Workspace.Library.Find(trial)!.Draft.Ids("takes")[4]}].reading_a"));
        await GoAsync(page, "Results");
        await Expect(page.Locator(".relative")).ToContainTextAsync("Differences only.", new() { Timeout = 60_000 });
        await Expect(page.Locator("#results tbody").First).ToContainTextAsync("juniper");
        foreach (var (name, part) in new[] { ("Results", "#results"), ("What it means", "#meaning") })
        {
            await GoAsync(page, name);
            var text = await page.Locator(part).InnerTextAsync();
            Assert.False(Absolute().IsMatch(text), $"{name}: {Absolute().Match(text).Value}");
        }
        await page.GotoAsync($"{workspace.Workspace.Root}/trials/{trial:N}/report.html");
        var report = await page.Locator("body").InnerTextAsync();
        Assert.Contains("juniper", report, StringComparison.Ordinal);
        Assert.False(Absolute().IsMatch(report), Absolute().Match(report).Value);
        Assert.Empty(workspace.Complaints);
    }

    /// <summary>A level at the ear or a time at it, as a number: neither can come out of readings without a calibration.</summary>
    [GeneratedRegex(@"\d dB\(?A\)? at the ear|LAeq at the ear, dB\(A\)|\b\d+([.,]\d+)? ?(h|hours|min)\b", RegexOptions.ExplicitCapture)]
    private static partial Regex Absolute();

    private static string Clock(int seconds) => string.Create(CultureInfo.InvariantCulture, $"{seconds / 60}:{seconds % 60:00}");

    private static async Task SavedAsync(IPage page) => await Expect(page.Locator("#saved")).ToHaveTextAsync("Saved");

    private static async Task FillAsync(IPage page, string id, string text)
    {
        await page.Locator($"#{id}").FillAsync(text);
        await page.Locator($"#{id}").PressAsync("Tab");
    }

    private static Task FillOwnAsync(IPage page, string id, string text) => FillAsync(page, id, text);

    private static async Task GoAsync(IPage page, string name)
    {
        await page.GetByRole(AriaRole.Navigation).GetByRole(AriaRole.Link, new() { Name = name }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToBeVisibleAsync();
        await Expect(page.Locator(".way [aria-current=step] .name")).ToContainTextAsync(name);
    }

    private static async Task<string> SaveAsync(IPage page, string name, string folder)
    {
        var download = await page.RunAndWaitForDownloadAsync(() => page.GetByRole(AriaRole.Link, new() { Name = name }).ClickAsync(), new() { Timeout = 60_000 });
        var path = Path.Combine(folder, download.SuggestedFilename);
        await download.SaveAsAsync(path);
        return path;
    }

    private static Dictionary<string, double> Truth()
    {
        var open = TruthIntegration.Level(_noise, _ => 0, FrequencyWeighting.A);
        return new(StringComparer.Ordinal)
        {
            ["alder"] = open - TruthIntegration.Level(_noise, _alder.At, FrequencyWeighting.A),
            ["birch"] = open - TruthIntegration.Level(_noise, _birch.At, FrequencyWeighting.A),
        };
    }

    /// <summary>A short flight in the cabin, without scatter of the fits, and the tone of a calibrator.</summary>
    private static void Render(string folder)
    {
        const int rate = 48_000;
        // Full scale is where the tone's calibration finds it.
        const double fullScale = 120.02;
        var draws = new Draws(7);
        var stretches = _flight.Index().Select(t => new Stretch(t.Index * Turn, (t.Index + 1) * Turn, t.Item.Condition switch { "alder" => _alder.At, "birch" => _birch.At, _ => _ => 0 })).ToList();
        var frames = (long)_flight.Length * Turn * rate;
        using (var stream = File.Create(Path.Combine(folder, "flight.wav")))
        using (var writer = new WaveWriter(stream, rate, 1, WaveSampleFormat.Integer24))
            new NoiseSynthesis(rate, _noise, -20, fullScale).Render(frames, stretches, new LevelWander(_flight.Length * Turn, 1, draws.Normal, 0.2, 0.2), [], draws.Split(), samples => writer.Write(samples));
        using (var stream = File.Create(Path.Combine(folder, "tone.wav")))
        using (var writer = new WaveWriter(stream, rate, 1, WaveSampleFormat.Integer24))
            writer.Write([.. Enumerable.Range(0, 8 * rate).Select(n => 0.05 * Math.Sqrt(2) * Math.Sin(2 * Math.PI * 1000 * n / (double)rate))]);
    }
}
