using System.Diagnostics;
using Hushtrial.Store.Captures;
using Hushtrial.Store.Library;
using Hushtrial.Store.Victim;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Tests.Library;

/// <summary>A library on a disk of four megabytes. Needs the right to mount one, which root has.</summary>
public sealed class FullDiskTests : IDisposable
{
    private readonly string _disk = Directory.CreateTempSubdirectory("full-").FullName;
    private readonly bool _mounted;

    public FullDiskTests() => _mounted = OperatingSystem.IsLinux() && Run("mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", _disk);

    public void Dispose()
    {
        if (_mounted) Run("umount", _disk);
        Directory.Delete(_disk, recursive: true);
    }

    [Fact]
    public async Task A_full_disk_is_said_and_leaves_nothing_half()
    {
        Assert.SkipUnless(_mounted, "No small disk can be mounted here.");
        var cancellation = TestContext.Current.CancellationToken;
        using (var library = TrialLibrary.Open(_disk, TimeProvider.System, null, spareBytes: 0))
        {
            var trial = library.Create(TrialDraft.Empty("On a small disk"), "Begun");
            Assert.Equal("LIB-010", library.BeginUpload(trial.Id, "long.wav", 100_000_000).Problem!.Code);
            var bytes = LibraryFixture.Recording(400_000);
            var upload = library.BeginUpload(trial.Id, "take.wav", bytes.Length).Upload!.Value;
            // Somebody else takes the room meanwhile.
            await File.WriteAllBytesAsync(Path.Combine(_disk, "other"), new byte[2_200_000], cancellation);
            var state = (await library.AppendAsync(upload, 0, new MemoryStream(bytes), cancellation))!;
            Assert.True(state.Problem is { Code: "LIB-010" } or { Code: "LIB-012" }, state.ToString());
            var text = new string('x', 90_000);
            var refused = 0;
            for (var n = 0; n < 40; n++)
                if (library.Edit(trial.Id, library.Find(trial.Id)!.Revision, new DraftEdit.Set("trial.remarks", Noise(n, text.Length)), "me") is EditOutcome.Refused { Problem.Code: "LIB-010" or "LIB-012" }) refused++;
            Assert.True(refused > 0);
            await File.WriteAllBytesAsync(Path.Combine(_disk, "take.wav"), [], cancellation);
            var found = library.Find(trial.Id)!;
            Assert.Equal(library.DraftAt(trial.Id, found.Revision)!.Text, found.Draft.Text);
            // With room again it goes on from where it stood.
            File.Delete(Path.Combine(_disk, "other"));
            state = library.Upload(upload)!;
            Assert.Equal(bytes[..(int)state.Offset], (await File.ReadAllBytesAsync(Path.Combine(_disk, "uploads", upload.ToString("N") + ".part"), cancellation))[..(int)state.Offset]);
            state = (await library.AppendAsync(upload, state.Offset, new MemoryStream(bytes[(int)state.Offset..]), cancellation))!;
            Assert.True(state.Problem is null && state.Finished, state.ToString());
            Assert.IsType<EditOutcome.Saved>(library.Edit(trial.Id, library.Find(trial.Id)!.Revision, new DraftEdit.Set("trial.title", "Room again"), "me"));
        }
        Assert.Empty(Directory.GetFiles(Path.Combine(_disk, "uploads")));
    }

    [Fact]
    public async Task A_capture_waits_for_room_and_loses_nothing()
    {
        Assert.SkipUnless(_mounted, "No small disk can be mounted here.");
        var cancellation = TestContext.Current.CancellationToken;
        using var library = TrialLibrary.Open(_disk, TimeProvider.System, null, spareBytes: 0);
        using var shelf = new CaptureShelf(library, TimeProvider.System);
        var trial = library.Create(TrialDraft.Empty("On a small disk"), "Begun");
        var capture = shelf.Begin(trial.Id, "flight", new(VictimCapture.Rate, 2, "test", new Dictionary<string, string>(StringComparer.Ordinal))).Id;
        await File.WriteAllBytesAsync(Path.Combine(_disk, "other"), new byte[2_600_000], cancellation);
        var (answer, frames) = (CaptureAnswer.Kept, 0L);
        for (var n = 0; n < 40 && answer == CaptureAnswer.Kept; n++)
        {
            (answer, var state) = shelf.Append(capture, frames, VictimCapture.Frames(frames, VictimCapture.Piece));
            frames = state!.Frames;
        }
        Assert.Equal(CaptureAnswer.NotWritten, answer);
        File.Delete(Path.Combine(_disk, "other"));
        (answer, _) = shelf.Append(capture, frames, VictimCapture.Frames(frames, VictimCapture.Piece));
        Assert.Equal(CaptureAnswer.Kept, answer);
        var (file, ended) = (await shelf.FinishAsync(capture, "", cancellation)).GetValueOrDefault();
        Assert.Null(file.Problem);
        Assert.Equal(frames + VictimCapture.Piece, ended.Frames);
        using var opened = library.Open(file.Trial!);
        var expected = System.Runtime.InteropServices.MemoryMarshal.Cast<byte, float>(VictimCapture.Frames(0, (int)ended.Frames)).ToArray();
        var read = new double[ended.Frames];
        opened.Recording(file.Recording!)!.Recording!.Samples!.Read(1, 0, read);
        Assert.Equal(expected.Where((_, i) => i % 2 == 1).Select(s => (double)s), read);
    }

    [Fact]
    public void A_mark_that_a_full_disk_refuses_leaves_nothing_half_and_those_behind_it_are_there_after_a_restart()
    {
        Assert.SkipUnless(_mounted, "No small disk can be mounted here.");
        using var library = TrialLibrary.Open(_disk, TimeProvider.System, null, spareBytes: 0);
        var trial = library.Create(TrialDraft.Empty("On a small disk"), "Begun");
        Guid capture;
        var noted = new List<CaptureMark>();
        using (var shelf = new CaptureShelf(library, TimeProvider.System))
        {
            capture = shelf.Begin(trial.Id, "flight", new(VictimCapture.Rate, 2, "test", new Dictionary<string, string>(StringComparer.Ordinal))).Id;
            shelf.Append(capture, 0, VictimCapture.Frames(0, VictimCapture.Piece));
            CaptureAnswer Note(CaptureMark mark)
            {
                var noting = shelf.Note(capture, mark);
                if (noting == CaptureAnswer.Kept) noted.Add(mark);
                return noting;
            }
            Note(new("worn", 1, null, "open", null, ""));
            Fill();
            // Room is given in pages of 4096 bytes: the last line that begins in one ends half.
            var answer = CaptureAnswer.Kept;
            for (var n = 0; n < 400 && answer == CaptureAnswer.Kept; n++) answer = Note(new("event", n, null, null, null, "bump"));
            Assert.Equal(CaptureAnswer.NotWritten, answer);
            Assert.True(noted.Count > 1);
            File.Delete(Path.Combine(_disk, "other"));
            Assert.Equal(CaptureAnswer.Kept, Note(new("take", 0, 9000, "open", null, "")));
            Assert.Equal(noted, shelf.Find(capture)!.Marks);
        }
        using var later = new CaptureShelf(library, TimeProvider.System);
        Assert.Equal(noted, later.Find(capture)!.Marks);
    }

    /// <summary>Takes all the room that there is.</summary>
    private void Fill()
    {
        using var other = new FileStream(Path.Combine(_disk, "other"), FileMode.Create, FileAccess.Write, FileShare.None, 0);
        try { while (true) other.Write(new byte[4096]); }
        catch (IOException) { /* It is full. */ }
    }

    /// <summary>Letters that do not pack.</summary>
    private static string Noise(int seed, int length)
    {
        var state = (uint)seed + 1;
        return string.Create(length, 0, (letters, _) =>
        {
            for (var i = 0; i < letters.Length; i++) letters[i] = (char)('0' + ((state = (1664525 * state) + 1013904223) >> 26));
        });
    }

    private static bool Run(string program, params string[] arguments)
    {
        try
        {
            using var process = Process.Start(new ProcessStartInfo(program, arguments) { UseShellExecute = false, RedirectStandardError = true })!;
            process.WaitForExit();
            return process.ExitCode == 0;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return false;
        }
    }
}
