using System.IO.Compression;
using System.Text;
using Hushtrial.Trials.Document;
using Hushtrial.Web.Tests.Doors;
using Hushtrial.Web.Tests.Recordings;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Uploads;

/// <summary>Files and texts that mean harm: refused or harmless, and nothing of them leaves the library's folder or runs in a page.</summary>
public sealed class HostileFileTests(OneBrowser browser)
{
    private const string Script = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'><svg onload=alert(3)>{{7*7}}";

    [Fact]
    public async Task What_is_no_recording_is_refused_in_words()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = workspace.Workspace.Library.Create(TrialDraft.Empty("Files in"), "Begun").Id;
        var page = await workspace.PageAsync($"/trials/{trial:N}/recordings");
        using var zip = new MemoryStream();
        using (var archive = new ZipArchive(zip, ZipArchiveMode.Create, leaveOpen: true)) archive.CreateEntry("x.wav");
        var files = new (string Name, byte[] Bytes)[]
        {
            ("page.html", Encoding.UTF8.GetBytes($"<!DOCTYPE html><html>{Script}</html>")), ("page.wav", Encoding.UTF8.GetBytes($"<!DOCTYPE html><html>{Script}</html>")), ("picture.svg", Encoding.UTF8.GetBytes("<svg xmlns=\"http://www.w3.org/2000/svg\" onload=\"alert(1)\"/>")),
            ("setup.exe", [0x4D, 0x5A, .. new byte[600]]), ("setup.wav", [0x4D, 0x5A, .. new byte[600]]), ("empty.wav", []), ("packed.wav", zip.ToArray()),
        };
        foreach (var (name, bytes) in files)
        {
            await page.Locator("#files").SetInputFilesAsync(new FilePayload { Name = name, MimeType = "audio/wav", Buffer = bytes });
            var line = page.Locator("#under-way li", new() { HasText = name });
            await Expect(line.Locator(".wrong")).ToContainTextAsync(name == "empty.wav" ? "without a byte" : "The file is");
        }
        Assert.Empty(workspace.Workspace.Library.Find(trial)!.Draft.Ids("recordings"));
        Assert.Empty(workspace.Workspace.Library.Find(trial)!.Files);
        await Expect(page.Locator("#facts tbody tr")).ToHaveCountAsync(0);
        Assert.DoesNotContain(workspace.Complaints, c => !c.Contains("422", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("../../x.wav")]
    [InlineData("..\\..\\x.wav")]
    [InlineData("C:\\x.wav")]
    [InlineData("/etc/x.wav")]
    [InlineData("NUL.wav")]
    [InlineData("com1.wav")]
    [InlineData("Flug über Köln – 飛行 ✈.wav")]
    [InlineData("\u202Evaw.exe")]
    [InlineData("a\u0000b.wav")]
    [InlineData("line\nbreak.wav")]
    [InlineData(" .wav")]
    [InlineData("<script>alert(1)</script>.wav")]
    [InlineData("x\" onmouseover=\"alert(1).wav")]
    [InlineData("long")]
    public async Task A_name_is_only_a_name(string name)
    {
        if (name == "long") name = new string('a', 300) + ".wav";
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var library = workspace.Workspace.Library;
        var trial = library.Create(TrialDraft.Empty("Files in"), "Begun").Id;
        var beside = Directory.GetFileSystemEntries(Path.GetDirectoryName(workspace.Folder)!).ToHashSet(StringComparer.Ordinal);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        var bytes = SampleFiles.Wave();
        using var answer = await visitor.UploadAsync(trial, name, bytes);
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
        var file = Assert.Single(library.Find(trial)!.Files);
        Assert.Equal(SampleFiles.Sha256(bytes), file.Sha256);
        Assert.Matches(@"^recordings/[^/\\:*?""<>|\p{Cc}\p{Cf}]{1,130}$", file.Name);
        Assert.Equal(file.Name, library.Find(trial)!.Draft.Value($"recordings[{library.Find(trial)!.Draft.Ids("recordings")[0]}].file"));
        foreach (var there in new[] { "/etc/x.wav", Path.Combine(workspace.Folder, "..", "x.wav"), Path.Combine(workspace.Folder, "..", "..", "x.wav"), Path.Combine(workspace.Folder, "x.wav") }) Assert.False(File.Exists(there), there);
        Assert.DoesNotContain(Directory.GetFileSystemEntries(Path.GetDirectoryName(workspace.Folder)!), e => !beside.Contains(e) && Path.GetFileName(e).EndsWith(".wav", StringComparison.Ordinal));
        using var zip = new MemoryStream();
        library.ExportZip(trial, zip);
        using (var archive = new ZipArchive(zip, ZipArchiveMode.Read)) Assert.Contains(archive.Entries, e => e.FullName == file.Name);
        var page = await workspace.PageAsync($"/trials/{trial:N}/recordings");
        await Expect(page.Locator("#facts th[scope=row]")).ToHaveTextAsync(file.Name.Trim());
        await page.Locator("#facts th[scope=row]").HoverAsync();
        Assert.Empty(workspace.Complaints);
    }

    [Fact]
    public async Task Texts_stay_texts_on_every_page_and_in_the_report()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var library = workspace.Workspace.Library;
        var trial = SoundTrial.Bring(workspace, SoundTrial.FourTakes);
        foreach (var path in new[] { "trial.title", "trial.purpose", "trial.where", "trial.who", "devices[alder].name", "runs[F1].name", "takes[T04].excluded", "noise.vehicle", "method.departures", "takes[T03].remark", "calibrations[#0].calibrator_id" })
            Assert.True(library.Edit(trial, library.Find(trial)!.Revision, new DraftEdit.Set(path, Script), "") is { } outcome && outcome.GetType().Name is "Saved" or "Refused", path);
        Assert.Equal(Script, library.Find(trial)!.Draft.Value("devices[alder].name"));
        var page = await workspace.PageAsync($"/trials/{trial:N}/results");
        await Expect(page.Locator("#overall")).ToBeVisibleAsync(new() { Timeout = 60_000 });
        await Expect(page.Locator("#results")).ToContainTextAsync("<script>alert(1)</script>");
        foreach (var path in DoorTests.PagesOf(trial).Concat(["/", $"/trials/{trial:N}/report.html"]))
        {
            await page.GotoAsync(workspace.Workspace.Root + path);
            await Expect(page.Locator("h1")).ToBeVisibleAsync();
            Assert.Equal(0, await page.Locator("img[src=x], svg[onload], [onerror], script:not([src]):not([type='application/json'])").CountAsync());
        }
        Assert.Empty(workspace.Complaints);
    }

    [Theory]
    [InlineData("bomb", "IMP-006")]
    [InlineData("out of the folder", "IMP-003")]
    [InlineData("link", "IMP-004")]
    [InlineData("no archive", "IMP-001")]
    [InlineData("page as document", "DOC-")]
    public async Task An_archive_that_means_harm_is_not_opened_and_the_page_says_why(string kind, string code)
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var files = new SampleFiles();
        var path = files.PathOf(kind == "page as document" ? "trial.yaml" : "trial.zip");
        var document = Encoding.UTF8.GetBytes("trial: { title: T }\nrecordings: [{ id: a, file: a.wav }]\n");
        if (kind is "no archive" or "page as document") await File.WriteAllTextAsync(path, $"<html>{Script}</html>", TestContext.Current.CancellationToken);
        else
        {
            // 66 MB of digital silence pack into 66 kB.
            var silence = new byte[66_000_000];
            SampleFiles.Wave().AsSpan(0, 4096).CopyTo(silence);
            using var archive = ZipFile.Open(path, ZipArchiveMode.Create);
            Put(archive, "trial.yaml", document);
            var recording = Put(archive, "a.wav", kind == "bomb" ? silence : SampleFiles.Wave());
            if (kind == "link") recording.ExternalAttributes = unchecked((int)0xA1FF0000);
            if (kind == "out of the folder") Put(archive, "../../evil.wav", SampleFiles.Wave());
        }
        var page = await workspace.PageAsync();
        await page.Locator("#import-file").SetInputFilesAsync(path);
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Not opened" })).ToBeVisibleAsync(new() { Timeout = 60_000 });
        await Expect(page.Locator(".problems")).ToContainTextAsync(code);
        Assert.Empty(await OpenedWorkspace.AxeAsync(page));
        await page.GetByRole(AriaRole.Link, new() { Name = "All trials" }).ClickAsync();
        await Expect(page.GetByText("There is no trial yet.")).ToBeVisibleAsync();
        Assert.Empty(workspace.Workspace.Library.List());
        Assert.Empty(Directory.GetFiles(Path.GetTempPath(), "evil.wav"));
        Assert.Empty(Directory.GetFiles(workspace.Folder, "*.wav", SearchOption.AllDirectories));
        Assert.DoesNotContain(workspace.Complaints, c => !c.Contains("422", StringComparison.Ordinal));
    }

    private static ZipArchiveEntry Put(ZipArchive archive, string name, byte[] bytes)
    {
        var entry = archive.CreateEntry(name, CompressionLevel.Optimal);
        using var stream = entry.Open();
        stream.Write(bytes);
        return entry;
    }
}
