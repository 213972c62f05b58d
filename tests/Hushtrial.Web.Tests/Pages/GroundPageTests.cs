using System.Net;
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
            var html = WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
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
}
