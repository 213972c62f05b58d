using System.Security.Cryptography;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Tests.Library;

public sealed class UploadTests : IDisposable
{
    private readonly LibraryFixture _at = new(new LibraryLimits { MostFileBytes = 1_000_000, MostBytes = 1_500_000 });

    private TrialLibrary Library => _at.Library;

    public void Dispose() => _at.Dispose();

    private static string Hash(byte[] bytes) => Convert.ToHexStringLower(SHA256.HashData(bytes));

    [Fact]
    public void An_upload_can_break_off_at_every_byte_and_go_on_in_another_process()
    {
        // 44 bytes of header and two samples: every boundary of a small file, each with the library opened anew in between.
        var bytes = LibraryFixture.Recording(frames: 2);
        var trial = _at.Create();
        for (var cut = 0; cut <= bytes.Length; cut++)
        {
            var upload = Library.BeginUpload(trial.Id, "take.wav", bytes.Length).Upload!.Value;
            Assert.Equal(cut, _at.Append(upload, 0, bytes[..cut]).Offset);
            if (cut % 5 == 0) _at.Reopen();
            Assert.Equal((cut, cut == bytes.Length), (Library.Upload(upload)!.Offset, Library.Upload(upload)!.Finished));
            var state = _at.Append(upload, cut, bytes[cut..]);
            Assert.Equal((null, true, Hash(bytes)), (state.Problem, state.Finished, state.Sha256));
        }
        Assert.Single(Directory.GetFiles(Path.Combine(Library.Folder, "recordings"), "*", SearchOption.AllDirectories));
        Assert.Equal(bytes.Length + 1, Library.Find(trial.Id)!.Draft.Ids("recordings").Count);
    }

    [Fact]
    public void An_upload_in_single_bytes_is_whole()
    {
        var bytes = LibraryFixture.Recording(frames: 4);
        var upload = Library.BeginUpload(_at.Create().Id, "take.wav", bytes.Length).Upload!.Value;
        for (var at = 0; at < bytes.Length; at++) Assert.Equal(at + 1, _at.Append(upload, at, [bytes[at]]).Offset);
        Assert.Equal(Hash(bytes), Library.Upload(upload)!.Sha256);
    }

    [Fact]
    public void Bytes_for_another_place_are_not_taken()
    {
        var bytes = LibraryFixture.Recording(frames: 100);
        var upload = Library.BeginUpload(_at.Create().Id, "take.wav", bytes.Length).Upload!.Value;
        _at.Append(upload, 0, bytes[..600]);
        foreach (var offset in new[] { 0L, 599, 601, bytes.Length, -1, long.MaxValue })
        {
            var state = _at.Append(upload, offset, bytes[..10]);
            Assert.Equal(("UPL-001", 600), (state.Problem?.Code, state.Offset));
        }
        var tooLong = _at.Append(upload, 600, [.. bytes[600..], 0]);
        Assert.Equal(("UPL-003", 600), (tooLong.Problem?.Code, tooLong.Offset));
        Assert.Equal(Hash(bytes), _at.Append(upload, 600, bytes[600..]).Sha256);
        Assert.Equal("UPL-001", _at.Append(upload, 3, bytes).Problem!.Code);
        Assert.Null(_at.Append(upload, bytes.Length, []).Problem);
    }

    [Fact]
    public async Task What_came_before_the_line_broke_is_kept()
    {
        var bytes = LibraryFixture.Recording(frames: 60_000);
        var upload = Library.BeginUpload(_at.Create().Id, "take.wav", bytes.Length).Upload!.Value;
        var kept = 0L;
        foreach (var (upTo, broken) in new (int, Func<Exception>)[] { (200_001, () => new IOException("connection reset")), (250_000, () => new OperationCanceledException()), (300_003, () => new InvalidOperationException("the server's own")) })
        {
            await Assert.ThrowsAsync(broken().GetType(), () => Library.AppendAsync(upload, kept, new BreakingStream(bytes[(int)kept..upTo], broken), TestContext.Current.CancellationToken));
            kept = Library.Upload(upload)!.Offset;
            Assert.Equal(upTo, kept);
        }
        Assert.Equal(Hash(bytes), _at.Append(upload, kept, bytes[(int)kept..]).Sha256);
    }

    [Fact]
    public async Task Two_transfers_of_one_upload_do_not_mix()
    {
        var bytes = LibraryFixture.Recording(frames: 100);
        var upload = Library.BeginUpload(_at.Create().Id, "take.wav", bytes.Length).Upload!.Value;
        using var waiting = new WaitingStream(bytes);
        var first = Library.AppendAsync(upload, 0, waiting, TestContext.Current.CancellationToken);
        Assert.Equal("UPL-002", _at.Append(upload, 0, bytes).Problem!.Code);
        waiting.Go();
        Assert.Equal(Hash(bytes), (await first)!.Sha256);
    }

    [Fact]
    public void An_upload_that_was_killed_at_its_last_step_is_finished_by_whoever_looks()
    {
        var bytes = LibraryFixture.Recording(frames: 100);
        var trial = _at.Create();
        foreach (var moved in new[] { false, true })
        {
            var upload = Library.BeginUpload(trial.Id, "take.wav", bytes.Length).Upload!.Value;
            _at.Append(upload, 0, bytes[..1]);
            // As a kill leaves it: all bytes acknowledged, and the file moved or not, but no row of the content.
            using (var context = new LibraryContext(LibraryContext.Embedded(Path.Combine(Library.Folder, "library.db"))))
                context.Uploads.Where(u => u.Id == upload).ExecuteUpdate(s => s.SetProperty(u => u.Offset, bytes.Length).SetProperty(u => u.Sha256, moved ? Hash(bytes) : null));
            var part = Path.Combine(Library.Folder, "uploads", upload.ToString("N") + ".part");
            File.WriteAllBytes(part, bytes);
            var content = Path.Combine(Library.Folder, "recordings", Hash(bytes)[..2], Hash(bytes));
            if (moved) File.Move(part, content, overwrite: true);
            _at.Reopen();
            var state = Library.Upload(upload)!;
            Assert.Equal((true, Hash(bytes)), (state.Finished, state.Sha256));
            Assert.Equal(bytes, File.ReadAllBytes(content));
            Assert.False(File.Exists(part));
        }
    }

    [Fact]
    public void Bytes_that_are_gone_from_the_disk_are_asked_for_again()
    {
        var bytes = LibraryFixture.Recording(frames: 200);
        var upload = Library.BeginUpload(_at.Create().Id, "take.wav", bytes.Length).Upload!.Value;
        _at.Append(upload, 0, bytes[..700]);
        using (var part = File.OpenWrite(Path.Combine(Library.Folder, "uploads", upload.ToString("N") + ".part"))) part.SetLength(300);
        Assert.Equal(("UPL-006", 300), (_at.Append(upload, 700, bytes[700..]) is var state ? state.Problem?.Code : null, state.Offset));
        Assert.Equal(Hash(bytes), _at.Append(upload, 300, bytes[300..]).Sha256);
    }

    [Fact]
    public void What_the_library_does_not_take_is_refused_before_it_is_sent()
    {
        var trial = _at.Create();
        Assert.Equal("UPL-005", Library.BeginUpload(trial.Id, "a.wav", 0).Problem!.Code);
        Assert.Equal("UPL-004", Library.BeginUpload(trial.Id, "a.wav", 1_000_001).Problem!.Code);
        Assert.Equal("LIB-001", Library.BeginUpload(Guid.NewGuid(), "a.wav", 10).Problem!.Code);
        var first = Library.BeginUpload(trial.Id, "a.wav", 1_000_000).Upload!.Value;
        Assert.Equal("LIB-011", Library.BeginUpload(trial.Id, "b.wav", 600_000).Problem!.Code);
        Library.Abandon(first);
        Assert.NotNull(Library.BeginUpload(trial.Id, "b.wav", 600_000).Upload);
        Library.Remove(trial.Id);
        Assert.Equal("LIB-006", Library.BeginUpload(trial.Id, "c.wav", 10).Problem!.Code);
        Assert.Equal("Two on a tractor", Assert.Single(Library.List()).Title);
        Assert.Empty(Library.Uploads(Guid.NewGuid()));
        Library.Abandon(Guid.NewGuid());
    }

    [Fact]
    public void A_file_that_is_no_sound_is_told_from_its_first_bytes()
    {
        var upload = Library.BeginUpload(_at.Create().Id, "notes.wav", 900_000).Upload!.Value;
        var state = _at.Append(upload, 0, System.Text.Encoding.UTF8.GetBytes(string.Concat(Enumerable.Repeat("only words ", 100))));
        Assert.Equal(("UPL-007", 0), (state.Problem?.Code, state.Offset));
        Assert.Contains("plain text", state.Problem!.Found, StringComparison.Ordinal);
    }

    [Fact]
    public void A_document_that_cannot_take_the_recording_keeps_the_file()
    {
        var trial = _at.Edit(_at.Create(), new DraftEdit.Set("recordings", "to be filled in"));
        var state = _at.Upload(trial.Id, "a.wav", LibraryFixture.Recording());
        Assert.Equal(("UPL-008", true, null), (state.Problem?.Code, state.Finished, state.Recording));
        Assert.Equal("recordings/a.wav", Assert.Single(Library.Find(trial.Id)!.Files).Name);
    }

    private sealed class BreakingStream(byte[] bytes, Func<Exception> broken) : MemoryStream(bytes)
    {
        public override async ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default) =>
            await base.ReadAsync(buffer[..Math.Min(buffer.Length, 10_007)], cancellationToken) is var read and > 0 ? read : throw broken();
    }

    private sealed class WaitingStream(byte[] bytes) : MemoryStream(bytes)
    {
        private readonly TaskCompletionSource _go = new();

        public void Go() => _go.SetResult();

        public override async ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
        {
            await _go.Task;
            return await base.ReadAsync(buffer, cancellationToken);
        }
    }
}
