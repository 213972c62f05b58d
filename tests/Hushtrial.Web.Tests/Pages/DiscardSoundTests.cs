using System.IO.Compression;
using System.Text;
using Hushtrial.Reporting.Exports;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Library;
using Hushtrial.Trials;
using Hushtrial.Trials.Results;
using Hushtrial.Web.Tests.Recordings;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Pages;

/// <summary>The levels of a whole trial are kept and its sound is discarded: asked twice, gone from the folder, and the answer stays.</summary>
public sealed class DiscardSoundTests(OneBrowser browser)
{
    [Fact]
    public async Task The_sound_goes_for_good_and_the_answer_stays()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var library = workspace.Workspace.Library;
        var id = await RichTrial.BringAsync(workspace);
        var before = Results(library, id);
        var voices = library.Find(id)!.Files.Where(f => f.Name.EndsWith(".wav", StringComparison.Ordinal)).Select(f => (f.Name, Piece: Piece(library.ContentPath(f)!))).ToList();
        Assert.True(voices.Count >= 4);
        Assert.All(voices, v => Assert.NotEmpty(Holding(workspace.Folder, v.Piece)));

        var page = await workspace.PageAsync($"/trials/{id:N}/takes");
        await Expect(page.Locator("[data-part=legend] canvas")).ToBeVisibleAsync();
        // It is kept when it is whole, a moment after it is drawn.
        for (var i = 0; i < 300 && Directory.GetFiles(library.HistoriesFolder).Length == 0; i++) await Task.Delay(100, TestContext.Current.CancellationToken);
        Assert.NotEmpty(Directory.GetFiles(library.HistoriesFolder));
        await page.GotoAsync($"{workspace.Workspace.Root}/trials/{id:N}/recordings");
        // Twice asked, and once declined each time, nothing has gone.
        var button = page.GetByRole(AriaRole.Button, new() { Name = "Keep the levels, discard the sound" });
        await button.ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Keep the sound" }).ClickAsync();
        await button.ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Go on", Exact = true }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Keep the sound" }).ClickAsync();
        Assert.All(voices, v => Assert.NotEmpty(Holding(workspace.Folder, v.Piece)));
        await button.ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Go on", Exact = true }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Discard the sound for good" }).ClickAsync();
        await Expect(page.Locator("#discard")).ToContainTextAsync("There is no sound in this trial.", new() { Timeout = 60_000 });
        await Expect(page.Locator("#facts")).ToContainTextAsync("The sound was discarded; its band levels are kept.");

        // No file of the library, the database and its log included, holds a piece of any recording; no fine history is left.
        Assert.All(voices, v => Assert.Equal([], Holding(workspace.Folder, v.Piece)));
        Assert.Empty(Directory.GetFiles(library.HistoriesFolder));
        Assert.DoesNotContain(library.Find(id)!.Files, f => f.Name.EndsWith(".wav", StringComparison.Ordinal));

        // The same answer: well within the 0.1 dB that were promised.
        var after = Results(library, id);
        AssertSame(before, after);
        Assert.Contains(after.Problems, p => p.Code == "PRV-003");
        Assert.Contains("discarded", library.Find(id)!.Draft.Value("method.data"), StringComparison.Ordinal);
        Assert.Contains(library.History(id), r => r.Summary == "Sound discarded, band levels kept: this cannot be undone");

        // Undo leads to the older document, not into a hole, and not to the sound.
        library.Undo(id);
        AssertSame(before, Results(library, id));
        library.Redo(id);

        // What is exported has no sound in it, and comes back as it was.
        using var archive = new MemoryStream();
        library.ExportZip(id, archive);
        archive.Position = 0;
        using (var zip = new ZipArchive(archive, ZipArchiveMode.Read, leaveOpen: true)) Assert.DoesNotContain(zip.Entries, e => e.Name.EndsWith(".wav", StringComparison.Ordinal));
        archive.Position = 0;
        var again = library.ImportZip(archive, new());
        Assert.DoesNotContain(again.Problems, p => p.Severity == Hushtrial.Quantities.Severity.Error);
        AssertSame(before, Results(library, again.Trial!.Id));

        // A take that is moved afterwards cannot be measured, and says so.
        library.Edit(id, library.Find(id)!.Revision, new Hushtrial.Trials.Document.DraftEdit.Set("takes[T02].from", "17"), "me");
        using var opened = library.Open(library.Find(id)!);
        Assert.Contains(Analysis.Findings(opened.ToInputs(), null, TestContext.Current.CancellationToken), p => p.Code == "PRV-001");
        Assert.Empty(workspace.Complaints);
    }

    private static TrialResults Results(TrialLibrary library, Guid id)
    {
        using var opened = library.Open(library.Find(id)!);
        Assert.True(opened.Readable, string.Join('\n', opened.Problems));
        return Analysis.Run(opened.ToInputs(), null, TestContext.Current.CancellationToken);
    }

    /// <summary>Everything that is exported as numbers, digit for digit but for the last: the list of inputs and the problems differ, as they must.</summary>
    private static void AssertSame(TrialResults a, TrialResults b)
    {
        foreach (var name in new[] { "conditions.csv", "bands.csv", "levels.csv", "pairs.csv", "takes.csv", "fits.csv", "listening-speech.csv", "listening-warnings.csv", "listening-hiss.csv", "cabins.csv" })
        {
            var (x, y) = (Rows(a, name), Rows(b, name));
            Assert.True(x.Count > 1, name);
            Assert.Equal(x.Count, y.Count);
            foreach (var (p, q) in x.Zip(y))
                foreach (var (s, t) in p.Zip(q))
                    if (double.TryParse(s, System.Globalization.CultureInfo.InvariantCulture, out var m) && double.TryParse(t, System.Globalization.CultureInfo.InvariantCulture, out var n)) Assert.True(Math.Abs(m - n) <= 0.01, $"{name}: {s} and {t} in {string.Join(',', p)}");
                    else Assert.Equal(s, t);
        }
        Assert.Equal(a.Headline, b.Headline);
        Assert.Equal(a.Calibrations.Select(c => c.Words), b.Calibrations.Select(c => c.Words));
    }

    private static List<string[]> Rows(TrialResults results, string name) =>
        [.. Encoding.UTF8.GetString(ResultExports.Find(results, name)!.Content.Span).Split("\r\n", StringSplitOptions.RemoveEmptyEntries).Select(r => r.Split(','))];

    /// <summary>64 bytes from the middle of the samples that are no silence.</summary>
    private static byte[] Piece(string path)
    {
        var bytes = File.ReadAllBytes(path);
        for (var at = bytes.Length / 2; ; at += 64)
            if (bytes.AsSpan(at, 64) is var piece && piece.ContainsAnyExcept((byte)0)) return piece.ToArray();
    }

    private static List<string> Holding(string folder, byte[] piece) => [.. Directory.GetFiles(folder, "*", SearchOption.AllDirectories).Where(f =>
    {
        using var stream = new FileStream(f, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        using var copy = new MemoryStream();
        stream.CopyTo(copy);
        return copy.ToArray().AsSpan().IndexOf(piece) >= 0;
    })];
}
