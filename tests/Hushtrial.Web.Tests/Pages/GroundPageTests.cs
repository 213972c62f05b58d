using System.Net;
using System.Text.RegularExpressions;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Synthesis;
using Hushtrial.Web.Tests.Recordings;

namespace Hushtrial.Web.Tests.Pages;

/// <summary>What the checks before flight show of recordings that are there already: two tones, own noise, a calibrator's tone.</summary>
public sealed class GroundPageTests(OneBrowser browser)
{
    [Fact]
    public async Task Two_tones_ceiling_and_own_noise_are_worked_out_from_their_recordings()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var folder = Directory.CreateTempSubdirectory("hushtrial-ground-");
        try
        {
            // 94 dB at −29 dB re full scale (mean square): full scale is 123 dB. The second pair is squeezed by 2 dB.
            void Tone(string name, double decibels) => SoundTrial.Write(Path.Combine(folder.FullName, name + ".wav"), [.. Enumerable.Range(0, 6 * 48_000).Select(n => Math.Sqrt(2) * Math.Pow(10, decibels / 20) * Math.Sin(2 * Math.PI * 1000 * n / 48_000.0))]);
            Tone("calibration", -29);
            Tone("tone-low-before", -45);
            Tone("tone-high-before", -25);
            Tone("tone-low-after", -45);
            Tone("tone-high-after", -27);
            await File.WriteAllTextAsync(Path.Combine(folder.FullName, "trial.yaml"), """
                hushtrial: 1
                trial: { title: Checks, quantity: insertion-loss, design: sequential }
                channels: [{ id: left, where: ear, number: 1 }]
                recordings: [{ id: calibration, file: calibration.wav }, { id: tone-low-before, file: tone-low-before.wav }, { id: tone-high-before, file: tone-high-before.wav }, { id: tone-low-after, file: tone-low-after.wav }, { id: tone-high-after, file: tone-high-after.wav }]
                calibrations: [{ channel: left, kind: tone, recording: calibration, from: 0:01, to: 0:05, level_db: 94, hertz: 1000 }]
                cabins: [{ id: loud, name: A loud one, bands: { 63: 105, 125: 105 } }]
                devices: [{ id: oak, kind: over-ear }]
                conditions: [{ id: oak, device: oak }]
                runs: [{ id: F1 }]
                takes: []
                """, TestContext.Current.CancellationToken);
            var trial = workspace.Workspace.Library.ImportFolder(folder.FullName).Trial!.Id;
            using var visitor = await Visitor.EnterAsync(workspace.Workspace);
            using var answer = await visitor.AskAsync("GET", $"/trials/{trial:N}/ground");
            var html = WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).Replace('\u00A0', ' ');
            Assert.Contains("0 dB re full scale is 123.00 dB", html, StringComparison.Ordinal);
            Assert.Contains("20.00 dB apart: nothing moves the gain between the two.", html, StringComparison.Ordinal);
            Assert.Contains("18.00 dB apart instead of 20 ± 0.5 dB", html, StringComparison.Ordinal);
            // Two octaves of 105 dB make 108 dB, peaks 15 dB more: 123 dB is just what full scale holds.
            Assert.Contains("Peaks of 123 dB are to be expected.", html, StringComparison.Ordinal);
            Assert.Contains("Note the two tones as the proof that the gain stayed", html, StringComparison.Ordinal);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    /// <summary>The ceiling and the floor beside the trial's own open ear, worked out here from the same samples by the levels of their spans alone.</summary>
    [Fact]
    public async Task The_own_open_ear_stands_beside_the_cabin_that_is_named()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = SoundTrial.Bring(workspace, SoundTrial.FourTakes);
        var library = workspace.Workspace.Library;
        library.Edit(trial, library.Find(trial)!.Revision, new DraftEdit.Several([
            new DraftEdit.Add("cabins", [new("id", "quiet"), new("name", "A quiet one"), new("bands", "{ 63: 60, 125: 60, 250: 60, 500: 60, 1000: 60, 2000: 60, 4000: 60, 8000: 60 }")]),
            new DraftEdit.Set("channels[left].own_noise.recording", "flight"), new DraftEdit.Set("channels[left].own_noise.from", "0:16"), new DraftEdit.Set("channels[left].own_noise.to", "0:28")]), "me");
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        async Task<string> PageAsync()
        {
            using var answer = await visitor.AskAsync("GET", $"/trials/{trial:N}/ground");
            return WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).Replace('\u00A0', ' ');
        }
        var html = await PageAsync();
        for (var n = 0; n < 600 && !html.Contains("own open-ear takes", StringComparison.Ordinal); n++)
        {
            await Task.Delay(100, TestContext.Current.CancellationToken);
            html = await PageAsync();
        }
        // 94 dB at −26.02 dB re full scale: full scale is 120.02 dB.
        var samples = SoundTrial.Flight();
        var held = new HeldSamples(48_000, [[.. samples.Select(s => (float)(Math.Round(s * 32767) / 32768))]]);
        var levels = new[] { 1, 31, 61 }.Select(at => LevelAnalysis.Measure(held, 0, at * 48_000, 12 * 48_000, new LevelSettings { Octaves = false }, cancellation: TestContext.Current.CancellationToken)).ToList();
        double Decibels(double meanSquare) => (10 * Math.Log10(meanSquare)) + 120.02;
        var shown = Regex.Match(html, @"own open-ear takes, T0[135]: ([\d.]+) dB\(A\)");
        Assert.True(shown.Success, html);
        Assert.Equal(levels.Max(l => Decibels(l.MeanSquare(FrequencyWeighting.A))), Number(shown), 0.15);
        var peak = Regex.Match(html, @"Highest peak at the open ear: ([\d.]+) dB\(C\)");
        Assert.Equal(levels.Max(l => Decibels(l.PeakC * l.PeakC)), Number(peak), 0.15);
        var expected = Regex.Match(html, @"In its own open-ear noise: Peaks of (\d+) dB are to be expected\.");
        Assert.True(expected.Success, html);
        Assert.Equal(Number(peak) + 3, Number(expected), 0.6);
        // Eight octaves of 60 dB have some 66 dB(A).
        Assert.Contains("dB(A) louder than the cabin it names: plan with what was read.", html, StringComparison.Ordinal);
        Assert.Matches(@"At [\d.]+ dB\(A\) a bare ear has 25 % of a day after [\d.]+ min", html);
        // What lies under the device serves as the own noise: some loss can be measured over it in the own noise, none in the quiet cabin.
        Assert.Contains("Largest loss, own open ear", html, StringComparison.Ordinal);

        static double Number(Match match) => double.Parse(match.Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture);
    }
}
