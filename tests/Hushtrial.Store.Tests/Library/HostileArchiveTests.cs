using System.IO.Compression;
using System.Text;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Tests.Library;

/// <summary>Archives that mean harm, or that were damaged on their way: refused in words, and nothing is left of them.</summary>
public sealed class HostileArchiveTests : IDisposable
{
    private static readonly byte[] _document = Encoding.UTF8.GetBytes("trial: { title: T }\nrecordings: [{ id: a, file: a.wav }]\n");

    private readonly LibraryFixture _at = new();

    public void Dispose()
    {
        Assert.Empty(Directory.GetFiles(Path.Combine(_at.Library.Folder, "uploads")));
        Assert.False(File.Exists(Path.Combine(Path.GetTempPath(), "evil.wav")));
        _at.Dispose();
    }

    [Theory]
    [InlineData("../evil.wav", "IMP-003")]
    [InlineData("x/../../evil.wav", "IMP-003")]
    [InlineData("{temporary}evil.wav", "IMP-003")]
    [InlineData(@"..\evil.wav", "IMP-003")]
    [InlineData("C:evil.wav", "IMP-003")]
    [InlineData("C:/evil.wav", "IMP-003")]
    [InlineData("nul.wav", "IMP-003")]
    [InlineData("a//b.wav", "IMP-003")]
    [InlineData("./b.wav", "IMP-003")]
    [InlineData("b.wav.", "IMP-003")]
    [InlineData("b\u0007.wav", "IMP-003")]
    [InlineData("A.WAV", "IMP-005")]
    [InlineData("a.wav", "IMP-005")]
    [InlineData("trial.yaml", "IMP-005")]
    [InlineData("b.wav", null)]
    public void Names_that_lead_elsewhere_or_come_twice(string name, string? code) =>
        Refused(code, Zip(("trial.yaml", _document), ("a.wav", LibraryFixture.Recording()), (name.Replace("{temporary}", Path.GetTempPath(), StringComparison.Ordinal), LibraryFixture.Recording())));

    [Theory]
    [InlineData(0xA1FF)]
    [InlineData(0x11FF)]
    [InlineData(0x61FF)]
    [InlineData(0xC1FF)]
    public void Links_pipes_and_devices(int mode)
    {
        using var zip = new MemoryStream();
        using (var archive = new ZipArchive(zip, ZipArchiveMode.Create, leaveOpen: true))
        {
            Put(archive, "trial.yaml", _document);
            Put(archive, "a.wav", Encoding.UTF8.GetBytes("/etc/passwd")).ExternalAttributes = mode << 16;
        }
        Refused("IMP-004", zip.ToArray());
    }

    [Fact]
    public void Files_that_are_nothing_or_something_else()
    {
        Refused("IMP-007", Zip(("trial.yaml", _document), ("a.wav", [])));
        Refused("IMP-008", Zip(("trial.yaml", _document), ("a.wav", Encoding.UTF8.GetBytes("<html>not found</html>"))));
        Refused("IMP-002", Zip(("a.wav", LibraryFixture.Recording())));
        Refused("IMP-002", Zip());
        Refused("IMP-002", Zip(("one/", []), ("one/two/", [])));
        Refused("IMP-002", Zip(("trial.zip", Zip(("trial.yaml", _document)))));
        Refused("IMP-002", Zip(("one/trial.yaml", _document), ("two/trial.yaml", _document)));
        Refused("DOC-005", Zip(("trial.yaml", Encoding.UTF8.GetBytes("trial: { title: ["))));
        Refused("DOC-008", Zip(("trial.yaml", [])));
        Refused("IMP-001", []);
        Refused("IMP-001", LibraryFixture.Recording());
    }

    [Fact]
    public void An_archive_with_a_folder_at_the_top_is_taken_and_what_nobody_names_is_left_out()
    {
        var outcome = Import(Zip(("My trial/", []), ("My trial/trial.yaml", _document), ("My trial/a.wav", LibraryFixture.Recording()), ("My trial/report.html", _document)));
        Assert.Equal(["IMP-013"], outcome.Problems.Select(p => p.Code));
        Assert.Equal("a.wav", Assert.Single(outcome.Trial!.Files).Name);
        Assert.Equal(Encoding.UTF8.GetString(_document), outcome.Trial.Draft.Text);
    }

    [Fact]
    public void Archives_that_unpack_to_too_much()
    {
        var limits = new ImportLimits { MostBytes = 70_000_000, MostFiles = 50, MostArchiveBytes = 1_000_000 };
        // 66 MB of digital silence pack into 66 kB: more than 64 MB, and more than a hundred for one.
        var silence = new byte[66_000_000];
        LibraryFixture.Recording(1).AsSpan(0, 44).CopyTo(silence);
        var bomb = Zip(("trial.yaml", _document), ("a.wav", silence));
        Assert.True(bomb.Length < 100_000);
        Refused("IMP-006", bomb, limits);
        Refused("IMP-006", Zip(("trial.yaml", _document), ("a.wav", new byte[71_000_000])), limits);
        Refused("IMP-006", Zip([("trial.yaml", _document), .. Enumerable.Range(0, 50).Select(n => ($"f{n}", _document))]), limits);
        Refused("IMP-001", [.. Zip(("trial.yaml", _document), ("a.wav", LibraryFixture.Recording(seed: 3))), .. new byte[1_000_000]], limits);
    }

    [Fact]
    public void An_archive_that_lies_about_its_lengths()
    {
        // The entry says 1000 bytes and unpacks to 100 MB: what comes out is counted, not what is promised.
        var silence = new byte[100_000_000];
        LibraryFixture.Recording(1).AsSpan(0, 44).CopyTo(silence);
        var zip = Zip(("trial.yaml", _document), ("a.wav", silence));
        var length = BitConverter.GetBytes(silence.Length);
        for (var at = zip.AsSpan().IndexOf(length); at >= 0; at = zip.AsSpan().IndexOf(length)) BitConverter.GetBytes(1000).CopyTo(zip, at);
        Refused("IMP-001", zip);
    }

    [Fact]
    public void An_archive_with_a_bit_turned_on_its_way()
    {
        var recording = LibraryFixture.Recording();
        var zip = Zip(CompressionLevel.NoCompression, ("trial.yaml", _document), ("a.wav", recording));
        var at = zip.AsSpan().IndexOf(recording.AsSpan(1000, 50));
        Assert.True(at > 0);
        zip[at] ^= 1;
        Refused("IMP-001", zip);
    }

    [Fact]
    public void A_history_that_is_no_tree()
    {
        var trial = _at.Create();
        trial = _at.Edit(trial, new DraftEdit.Set("trial.title", "x"));
        using var zip = new MemoryStream();
        _at.Library.ExportZip(trial.Id, zip);
        string history;
        using (var archive = new ZipArchive(zip, ZipArchiveMode.Read, leaveOpen: true))
        using (var reader = new StreamReader(archive.GetEntry("history.json")!.Open())) history = reader.ReadToEnd();
        Refused(null, Zip(("trial.yaml", Encoding.UTF8.GetBytes(trial.Draft.Text)), ("history.json", Encoding.UTF8.GetBytes(history))));
        // A few kilobytes can hold revisions without end.
        Refused("IMP-006", Zip(("trial.yaml", _document), ("history.json", Encoding.UTF8.GetBytes(history))), new() { MostRevisions = 1 });
        foreach (var (from, to, code) in new[] { ("\"head\": 2", "\"head\": 3", "IMP-010"), ("\"parent\": 1", "\"parent\": 2", "IMP-010"), ("\"parent\": 1", "\"parent\": null", "IMP-010"), ("\"number\": 2", "\"number\": 7", "IMP-010"),
            ("\"next\": null", "\"next\": 1", "IMP-010"), ("\"hushtrial_history\": 1", "\"hushtrial_history\": 2", "IMP-009"), ("\"text\": \"", "\"text\": \"[", "IMP-010"), ("}", "", "IMP-010"), ("\"author\"", "\"autor\"", "IMP-010") })
        {
            Assert.Contains(from, history, StringComparison.Ordinal);
            Refused(code, Zip(("trial.yaml", _document), ("history.json", Encoding.UTF8.GetBytes(history.Replace(from, to, StringComparison.Ordinal)))));
        }
    }

    [Fact]
    public void A_folder_with_links_that_lead_out_is_refused_and_one_with_a_loop_ends()
    {
        Directory.CreateDirectory(_at.At("trial"));
        File.WriteAllBytes(_at.At("trial/trial.yaml"), _document);
        File.WriteAllText(_at.At("secret"), "keep out");
        File.CreateSymbolicLink(_at.At("trial/a.wav"), _at.At("secret"));
        Assert.Equal("IMP-004", Assert.Single(_at.Library.ImportFolder(_at.At("trial")).Problems).Code);
        File.Delete(_at.At("trial/a.wav"));
        Directory.CreateSymbolicLink(_at.At("trial/loop"), _at.At("trial"));
        var outcome = _at.Library.ImportFolder(_at.At("trial"));
        Assert.Equal("IMP-011", outcome.Problems[0].Code);
        Assert.NotNull(outcome.Trial);
        Assert.Equal("IMP-002", Assert.Single(_at.Library.ImportFolder(_at.At("nowhere")).Problems).Code);
    }

    private void Refused(string? code, byte[] zip, ImportLimits? limits = null)
    {
        var before = _at.Library.List().Count;
        var outcome = Import(zip, limits);
        if (code is null)
        {
            Assert.NotNull(outcome.Trial);
            return;
        }
        Assert.True(outcome.Trial is null, $"Taken, where {code} was to refuse it.");
        Assert.True(outcome.Problems[0].Code == code, outcome.Problems[0].ToString());
        Assert.Equal(before, _at.Library.List().Count);
    }

    private ImportOutcome Import(byte[] zip, ImportLimits? limits = null) => _at.Library.ImportZip(new MemoryStream(zip), limits ?? new());

    private static byte[] Zip(params (string Name, byte[] Bytes)[] files) => Zip(CompressionLevel.Optimal, files);

    private static byte[] Zip(CompressionLevel level, params (string Name, byte[] Bytes)[] files)
    {
        using var zip = new MemoryStream();
        using (var archive = new ZipArchive(zip, ZipArchiveMode.Create, leaveOpen: true))
            foreach (var (name, bytes) in files) Put(archive, name, bytes, level);
        return zip.ToArray();
    }

    private static ZipArchiveEntry Put(ZipArchive archive, string name, byte[] bytes, CompressionLevel level = CompressionLevel.Optimal)
    {
        var entry = archive.CreateEntry(name, level);
        using var stream = entry.Open();
        stream.Write(bytes);
        return entry;
    }
}
