using Hushtrial.Signals.Recordings;

namespace Hushtrial.Web.Tests.Uploads;

/// <summary>A trial with its recordings is an archive of many megabytes: it comes in through the page as a small one does.</summary>
public sealed class LargeArchiveTests(OneBrowser browser)
{
    [Fact]
    public async Task An_archive_beyond_the_limit_of_other_forms_comes_in_whole()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var library = workspace.Workspace.Library;
        var folder = Directory.CreateTempSubdirectory("hushtrial-archive-").FullName;
        var path = Path.Combine(folder, "trial.zip");
        try
        {
            var trial = library.ImportFolder(Folder(folder)).Trial!.Id;
            using (var file = File.Create(path)) library.ExportZip(trial, file);
            Assert.InRange(new FileInfo(path).Length, (8 * 1024 * 1024) + 1, long.MaxValue);
            var page = await workspace.PageAsync();
            await page.Locator("#import-file").SetInputFilesAsync(path);
            await page.WaitForURLAsync(url => url.EndsWith("/question", StringComparison.Ordinal));
            var second = Assert.Single(library.List(), t => t.Id != trial);
            Assert.Equal(library.Find(trial)!.Files.Select(f => f.Sha256), library.Find(second.Id)!.Files.Select(f => f.Sha256));
            Assert.Empty(workspace.Complaints);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    /// <summary>A trial with 65 s of noise over all 24 bits, which no archive makes smaller.</summary>
    private static string Folder(string under)
    {
        var folder = Directory.CreateDirectory(Path.Combine(under, "trial")).FullName;
        using (var file = File.Create(Path.Combine(folder, "noise.wav")))
        using (var writer = new WaveWriter(file, 48_000, 1, WaveSampleFormat.Integer24))
        {
            var random = new Random(7);
            var second = new double[48_000];
            for (var s = 0; s < 65; s++)
            {
                for (var n = 0; n < second.Length; n++) second[n] = (1.98 * random.NextDouble()) - 0.99;
                writer.Write(second);
            }
        }
        File.WriteAllText(Path.Combine(folder, "trial.yaml"), """
            hushtrial: 1
            trial: { title: A long flight, quantity: insertion-loss, design: sequential }
            recordings: [{ id: noise, file: noise.wav }]
            devices: [{ id: alder, name: Alder, kind: over-ear }]
            conditions: [{ id: alder, device: alder }]

            """);
        return folder;
    }
}
