using System.Text;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Web.Tests.Recordings;

/// <summary>The document of the helicopter demo with every section it has, and one short flight instead of three long ones: every page is full and nothing takes long.</summary>
internal static class RichTrial
{
    /// <summary>Brings it into the workspace, with a level log whose columns leave a question open.</summary>
    public static async Task<Guid> BringAsync(OpenedWorkspace workspace)
    {
        var demo = HelicopterTrial.Make(1);
        var document = demo.Document with
        {
            Recordings = [new("flight", "flight.wav", 0, "F1"), .. demo.Document.Recordings.Where(r => r.Run is null)],
            Runs = [demo.Document.Runs[0]],
            Takes =
            [
                Take("T01", TrialDocument.OpenEar, null, 1, 13), Take("T02", "alder", "A1", 16, 28), Take("T03", TrialDocument.OpenEar, null, 31, 43),
                Take("T04", "birch-passive", "B1", 46, 51), Take("T05", "birch-active", "B1", 53, 58), Take("T06", TrialDocument.OpenEar, null, 61, 73) with { Remarks = "quiet outside" },
            ],
        };
        var folder = Directory.CreateTempSubdirectory("hushtrial-rich-");
        try
        {
            SoundTrial.Write(Path.Combine(folder.FullName, "flight.wav"), SoundTrial.Flight());
            foreach (var recording in demo.Recordings.Where(r => document.Recordings.Any(d => d.File == r.File && d.Id != "flight")))
            {
                using var stream = File.Create(Path.Combine(folder.FullName, recording.File));
                using var writer = new WaveWriter(stream, recording.SampleRate, 1, WaveSampleFormat.Integer24);
                recording.Render(samples => writer.Write(samples));
            }
            await File.WriteAllTextAsync(Path.Combine(folder.FullName, "trial.yaml"), TrialDocumentWriter.Write(document));
            var library = workspace.Workspace.Library;
            var trial = library.ImportFolder(folder.FullName) is { Trial: { } made } ? made.Id : throw new InvalidOperationException("The trial could not be brought in.");
            var log = Path.Combine(folder.FullName, "cabin.csv");
            var rows = new StringBuilder("Clock;LAeq;Level\n");
            for (var second = 0; second < 90; second++) rows.Append(System.Globalization.CultureInfo.InvariantCulture, $"10:{5 + (second / 60):00}:{second % 60:00};95.{second % 10};97.5\n");
            await File.WriteAllTextAsync(log, rows.ToString());
            await library.AddLocalFileAsync(trial, log, "me");
            library.Edit(trial, library.Find(trial)!.Revision, new DraftEdit.Several([new DraftEdit.Set("logs[cabin].where", "ear"), new DraftEdit.Set("logs[cabin].columns.2", "LAeq"), new DraftEdit.Set("logs[cabin].run", document.Runs[0].Id), new DraftEdit.Add("fits", [new("id", "A1"), new("by", "the wearer")])]), "me");
            return trial;
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static TakeEntry Take(string id, string condition, string? fit, double from, double to) =>
        new(id, "F1", null, condition, fit, "flight", from, to, null, null, [], null, null, null, null, "");
}
