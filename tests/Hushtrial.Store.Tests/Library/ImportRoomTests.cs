using System.IO.Compression;
using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Store.Library;

namespace Hushtrial.Store.Tests.Library;

/// <summary>Imports keep to the library's limit and leave the disk its reserve, as uploads do; what is refused leaves nothing.</summary>
public sealed class ImportRoomTests : IDisposable
{
    private const string Document = "trial: { title: T }\nrecordings: [{ id: a, file: a.wav }, { id: b, file: b.wav }]\n";

    // 2 channels of 24 bits: 6 bytes a frame, so that one fits and both do not.
    private readonly LibraryFixture _at = new(new LibraryLimits { MostBytes = 100_000 });
    private readonly byte[] _one = LibraryFixture.Recording(10_000, 1), _two = LibraryFixture.Recording(10_000, 2);

    private LibraryFolder Folder => new(_at.Library.Folder);

    public void Dispose()
    {
        Assert.Empty(Directory.GetFiles(Folder.Uploads, "*.copy"));
        _at.Dispose();
    }

    [Fact]
    public void What_is_more_than_the_library_takes_is_refused_and_what_fits_is_taken()
    {
        foreach (var outcome in new[] { Archive(_one, _two), FromFolder(_at.Library, _one, _two) })
        {
            Assert.Null(outcome.Trial);
            Assert.Equal("LIB-011", Assert.Single(outcome.Problems).Code);
        }
        Assert.Empty(_at.Library.List());
        var trial = Archive(_one).Trial!;
        Assert.Equal("a.wav", Assert.Single(trial.Files).Name);
        // What the first took counts for the second, as it does for uploads.
        Assert.Equal("LIB-011", Assert.Single(FromFolder(_at.Library, _two).Problems).Code);
        Assert.Equal("LIB-011", _at.Library.BeginUpload(trial.Id, "b.wav", _two.Length).Problem!.Code);
        Assert.Single(_at.Library.List());
    }

    [Fact]
    public void The_reserve_of_the_disk_is_left_to_others()
    {
        using var library = TrialLibrary.Open(_at.At("full"), TimeProvider.System, null, spareBytes: long.MaxValue / 2);
        using var zip = Zip(_one);
        Assert.Equal("LIB-010", Assert.Single(library.ImportZip(zip, new()).Problems).Code);
        Assert.Equal("LIB-010", Assert.Single(FromFolder(library, _one).Problems).Code);
        Assert.Empty(library.List());
        Assert.Empty(Directory.GetFiles(Path.Combine(_at.At("full"), "uploads")));
    }

    [Fact]
    public async Task A_stream_that_brings_more_than_it_said_or_finds_the_disk_filled_is_ended_on_the_way()
    {
        var most = new LibraryLimits { MostBytes = 1000 };
        Problem Ended(LibraryRoom room, long left, int bytes) => Assert.ThrowsAsync<NoRoomLeftException>(() => DurableFiles.CopyAsync(new MemoryStream(new byte[bytes]), _at.At(Guid.NewGuid().ToString("N")), long.MaxValue, room.Watch("an archive", left), CancellationToken.None)).GetAwaiter().GetResult().Problem;
        Assert.Equal("LIB-011", Ended(new(Folder, most, 0), 1000, 1001).Code);
        Assert.Equal("LIB-010", Ended(new(Folder, most, long.MaxValue / 2), long.MaxValue, 9_000_000).Code);
        var (bytes, _) = await DurableFiles.CopyAsync(new MemoryStream(new byte[9_000_000]), _at.At("whole"), long.MaxValue, new LibraryRoom(Folder, most, 0).Watch("an archive", 9_000_000), CancellationToken.None);
        Assert.Equal(9_000_000, bytes);
    }

    [Fact]
    public void Room_that_another_took_meanwhile_is_not_taken_twice()
    {
        var (folder, other) = (Folder, _at.Create());
        var records = new LibraryRecords(folder, TimeProvider.System);
        var package = new TrialPackage(records, new(records), new(folder, new LibraryLimits { MostBytes = 100_000 }, 0));
        // The other announces its bytes while those of the import are copied.
        Stream Meanwhile()
        {
            if (_at.Library.Uploads(other.Id).Count == 0) Assert.Null(_at.Library.BeginUpload(other.Id, "b.wav", _two.Length).Problem);
            return new MemoryStream(_one);
        }
        var outcome = package.TakeIn([new("trial.yaml", Document.Length, () => new MemoryStream(Encoding.UTF8.GetBytes(Document))), new("a.wav", _one.Length, Meanwhile)], "a folder", new(), "");
        Assert.Equal("LIB-011", Assert.Single(outcome.Problems).Code);
        Assert.Equal(other.Id, Assert.Single(_at.Library.List()).Id);
    }

    private ImportOutcome Archive(params byte[][] recordings)
    {
        using var zip = Zip(recordings);
        return _at.Library.ImportZip(zip, new());
    }

    private static MemoryStream Zip(params byte[][] recordings)
    {
        var zip = new MemoryStream();
        using (var archive = new ZipArchive(zip, ZipArchiveMode.Create, leaveOpen: true))
            foreach (var (name, bytes) in Files(recordings))
            {
                using var entry = archive.CreateEntry(name).Open();
                entry.Write(bytes);
            }
        zip.Position = 0;
        return zip;
    }

    private ImportOutcome FromFolder(TrialLibrary library, params byte[][] recordings)
    {
        var folder = Directory.CreateDirectory(_at.At(Guid.NewGuid().ToString("N"))).FullName;
        foreach (var (name, bytes) in Files(recordings)) File.WriteAllBytes(Path.Combine(folder, name), bytes);
        return library.ImportFolder(folder);
    }

    private static IEnumerable<(string Name, byte[] Bytes)> Files(byte[][] recordings) =>
        recordings.Select((bytes, i) => (i == 0 ? "a.wav" : "b.wav", bytes)).Prepend(("trial.yaml", Encoding.UTF8.GetBytes(Document)));
}
