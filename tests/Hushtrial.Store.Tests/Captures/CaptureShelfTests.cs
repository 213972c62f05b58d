using System.Runtime.InteropServices;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Captures;
using Hushtrial.Store.Files;
using Hushtrial.Store.Library;
using Hushtrial.Store.Tests.Library;

namespace Hushtrial.Store.Tests.Captures;

public sealed class CaptureShelfTests : IDisposable
{
    private const int Rate = 48_000;

    private readonly LibraryFixture _at = new();
    private readonly CaptureShelf _shelf;

    public CaptureShelfTests() => _shelf = new(_at.Library, TimeProvider.System);

    public void Dispose()
    {
        _shelf.Dispose();
        _at.Dispose();
    }

    [Fact]
    public async Task What_arrives_becomes_a_recording_with_every_sample()
    {
        var trial = _at.Create();
        var capture = Begin(trial.Id, 2);
        var samples = Noise(2 * 3 * Rate);
        for (var at = 0; at < samples.Length; at += 2 * 12_000) Assert.Equal(CaptureAnswer.Kept, _shelf.Append(capture, at / 2, Bytes(samples.AsSpan(at, 2 * 12_000))).Answer);
        _shelf.Note(capture, new("take", Rate, 2 * Rate, "open", null, ""));
        var state = _shelf.Find(capture)!;
        Assert.Equal((3.0, 1), (state.Seconds, state.Marks.Count));
        Assert.InRange(state.FirstFrameAt!.Value, DateTimeOffset.Now.AddMinutes(-1), DateTimeOffset.Now);
        var (file, ended) = (await _shelf.FinishAsync(capture, "me", TestContext.Current.CancellationToken)).GetValueOrDefault();
        Assert.Null(file.Problem);
        Assert.Equal(new("take", Rate, 2 * Rate, "open", null, ""), Assert.Single(ended.Marks));
        using var opened = _at.Library.Open(file.Trial!);
        var recording = opened.Recording(file.Recording!)!.Recording!;
        Assert.Equal((Rate, 2, 3L * Rate, SampleKind.FloatingPoint), (recording.SampleRate, recording.Channels, recording.Frames, recording.Encoding!.Value.Kind));
        for (var channel = 0; channel < 2; channel++)
        {
            var read = new double[3 * Rate];
            recording.Samples!.Read(channel, 0, read);
            for (var n = 0; n < read.Length; n++) Assert.Equal(samples[(2 * n) + channel], read[n]);
        }
        Assert.Empty(_shelf.Of(trial.Id));
        Assert.Empty(Directory.GetFiles(Path.Combine(_at.Library.Folder, "captures")));
        Assert.Null(await _shelf.FinishAsync(capture, "me", TestContext.Current.CancellationToken));
    }

    /// <summary>Two looks at a dead input of the same length, say: equal to the last byte, and yet two recordings with spans of their own.</summary>
    [Fact]
    public async Task Captures_that_are_equal_to_the_last_byte_are_two_recordings_and_one_that_is_ended_again_is_one()
    {
        var trial = _at.Create();
        var samples = Noise(2 * Rate);
        async Task<string> FinishedAsync(Action<AddedFile, CaptureState>? placed)
        {
            var capture = Begin(trial.Id, 1);
            _shelf.Append(capture, 0, Bytes(samples));
            try { return (await _shelf.FinishAsync(capture, "me", TestContext.Current.CancellationToken, placed)).GetValueOrDefault().File.Recording!; }
            // Killed after it was entered and before it was placed: the next process ends it again.
            catch (InvalidOperationException) { return (await _shelf.FinishAsync(capture, "me", TestContext.Current.CancellationToken)).GetValueOrDefault().File.Recording!; }
        }
        var recordings = new[] { await FinishedAsync(null), await FinishedAsync(null), await FinishedAsync((_, _) => throw new InvalidOperationException("killed")) };
        Assert.Equal(["flight", "flight-2", "flight-3"], recordings);
        var stored = _at.Library.Find(trial.Id)!;
        Assert.Equal(recordings, stored.Draft.Ids("recordings"));
        Assert.Single(stored.Files.Select(f => f.Sha256).Distinct());
        using var opened = _at.Library.Open(stored);
        Assert.All(recordings, r => Assert.Equal(2.0, opened.Recording(r)!.Recording!.Duration.TotalSeconds));
    }

    [Fact]
    public void What_is_sent_twice_is_kept_once_and_nothing_is_skipped()
    {
        var capture = Begin(_at.Create().Id, 1);
        var samples = Noise(1000);
        Assert.Equal(CaptureAnswer.Kept, _shelf.Append(capture, 0, Bytes(samples.AsSpan(0, 600))).Answer);
        // The answer was lost: the same again, with more behind it.
        Assert.Equal((CaptureAnswer.Kept, 900L), Stand(_shelf.Append(capture, 400, Bytes(samples.AsSpan(400, 500)))));
        Assert.Equal((CaptureAnswer.TooFar, 900L), Stand(_shelf.Append(capture, 901, Bytes(samples.AsSpan(901, 9)))));
        Assert.Equal((CaptureAnswer.Wrong, 900L), Stand(_shelf.Append(capture, 0, Bytes(samples.AsSpan(1, 600)))));
        Assert.Equal((CaptureAnswer.Wrong, 900L), Stand(_shelf.Append(capture, 900, new byte[6])));
        Assert.Equal((CaptureAnswer.Wrong, 900L), Stand(_shelf.Append(capture, 900, Bytes([0.5f, float.NaN]))));
        Assert.Equal((CaptureAnswer.Kept, 1000L), Stand(_shelf.Append(capture, 900, Bytes(samples.AsSpan(900, 100)))));
        Assert.Equal((CaptureAnswer.Unknown, null), _shelf.Append(Guid.NewGuid(), 0, []));
    }

    [Fact]
    public void Inserted_zeros_are_found_across_pieces_and_the_silence_of_the_start_is_not()
    {
        var capture = Begin(_at.Create().Id, 2);
        var samples = new float[2 * 4000];
        for (var n = 500; n < 4000; n++)
            for (var c = 0; c < 2; c++) samples[(2 * n) + c] = n is (>= 1000 and < 1441) or (>= 2000 and < 2127) || (n >= 3000 && c == 0) ? 0 : 0.25f;
        for (var at = 0; at < 4000; at += 250) _shelf.Append(capture, at, Bytes(samples.AsSpan(2 * at, 500)));
        Assert.Equal([new CaptureGap(1000, 441)], _shelf.Find(capture)!.Gaps);
        _shelf.Append(capture, 4000, new byte[8 * 200]);
        Assert.Equal([new(1000, 441), new CaptureGap(4000, 200)], _shelf.Find(capture)!.Gaps);
    }

    [Fact]
    public async Task A_closed_workspace_goes_on_where_it_stood_and_a_capture_of_nothing_leaves_nothing()
    {
        var trial = _at.Create();
        var capture = Begin(trial.Id, 1);
        var samples = Noise(2000);
        _shelf.Append(capture, 0, Bytes(samples.AsSpan(0, 1500)));
        _shelf.Dispose();
        using var later = new CaptureShelf(_at.Library, TimeProvider.System);
        Assert.Equal((capture, 1500L, "flight.wav"), (later.Of(trial.Id)[0].Id, later.Of(trial.Id)[0].Frames, later.Of(trial.Id)[0].Name));
        Assert.Equal((CaptureAnswer.Kept, 2000L), Stand(later.Append(capture, 1000, Bytes(samples.AsSpan(1000, 1000)))));
        var nothing = later.Begin(trial.Id, "nothing", new(Rate, 1, "test", new Dictionary<string, string>(StringComparer.Ordinal))).Id;
        Assert.Null((await later.FinishAsync(nothing, "", TestContext.Current.CancellationToken)).GetValueOrDefault().File.Recording);
        later.Discard(capture);
        Assert.Empty(later.Of(trial.Id));
        Assert.Empty(_at.Library.Find(trial.Id)!.Files);
        Assert.Empty(Directory.GetFiles(Path.Combine(_at.Library.Folder, "captures")));
    }

    [Fact]
    public void What_a_kill_left_without_its_words_is_swept_and_what_has_them_stays()
    {
        var trial = _at.Create();
        var capture = Begin(trial.Id, 1);
        var folder = Path.Combine(_at.Library.Folder, "captures");
        var left = Path.Combine(folder, $"{Guid.NewGuid():N}.wav");
        File.WriteAllBytes(left, new byte[100]);
        using var later = new CaptureShelf(_at.Library, TimeProvider.System);
        Assert.False(File.Exists(left));
        Assert.True(File.Exists(Path.Combine(folder, $"{capture:N}.wav")));
        Assert.Equal(capture, Assert.Single(_shelf.Of(trial.Id)).Id);
        Assert.Empty(_shelf.Of(_at.Create().Id));
    }

    /// <summary>Two processes have two shelves: the lock is the file's, not the process's.</summary>
    [Fact]
    public async Task A_second_workspace_that_looks_changes_nothing_of_what_the_first_one_records()
    {
        var cancellation = TestContext.Current.CancellationToken;
        var trial = _at.Create();
        var capture = Begin(trial.Id, 1);
        var samples = Noise(6 * Rate);
        _shelf.Append(capture, 0, Bytes(samples.AsSpan(0, Rate)));
        _shelf.Note(capture, new("event", 5, null, null, null, "bump"));
        var second = new CaptureShelf(_at.Library, TimeProvider.System);
        var seen = Assert.Single(second.Of(trial.Id));
        Assert.Equal((capture, (long)Rate, 1), (seen.Id, seen.Frames, seen.Marks.Count));
        Assert.Equal((CaptureAnswer.Elsewhere, null), second.Append(capture, Rate, Bytes(samples.AsSpan(Rate, 10))));
        Assert.Equal((CaptureAnswer.Elsewhere, CaptureAnswer.Elsewhere), (second.Hold(capture), second.Note(capture, new("event", 5, null, null, null, "radio"))));
        Assert.Null(second.Look(capture, r => r));
        Assert.Null(await second.FinishAsync(capture, "", cancellation));
        Assert.False(second.Discard(capture));
        _shelf.Append(capture, Rate, Bytes(samples.AsSpan(Rate)));
        Assert.Equal(6L * Rate, second.Find(capture)!.Frames);
        var (file, state) = (await _shelf.FinishAsync(capture, "", cancellation)).GetValueOrDefault();
        second.Dispose();
        Assert.Single(state.Marks);
        var bytes = await File.ReadAllBytesAsync(_at.Library.ContentPath(_at.Library.Find(trial.Id)!.Files[0])!, cancellation);
        Assert.Equal(file.Sha256, Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(bytes)));
        Assert.Equal(Bytes(samples), bytes[^(4 * 6 * Rate)..]);
    }

    [Fact]
    public void To_look_and_to_open_what_is_whole_write_nothing_and_what_is_given_back_another_takes()
    {
        var trial = _at.Create();
        var capture = Begin(trial.Id, 1);
        _shelf.Append(capture, 0, Bytes(Noise(1000)));
        _shelf.Dispose();
        var sound = Path.Combine(_at.Library.Folder, "captures", $"{capture:N}.wav");
        var longAgo = new DateTime(2020, 1, 2, 3, 4, 5, DateTimeKind.Utc);
        File.SetLastWriteTimeUtc(sound, longAgo);
        using (var second = new CaptureShelf(_at.Library, TimeProvider.System))
        {
            // One that only looks does not keep the capture from the other.
            Assert.Equal(1000L, second.Of(trial.Id)[0].Frames);
            using var third = new CaptureShelf(_at.Library, TimeProvider.System);
            Assert.Equal((CaptureAnswer.Kept, CaptureAnswer.Elsewhere), (third.Hold(capture), second.Hold(capture)));
        }
        Assert.Equal(longAgo, File.GetLastWriteTimeUtc(sound));
        Assert.Equal(CaptureAnswer.Kept, _shelf.Hold(capture));
    }

    [Fact]
    public void Half_a_mark_that_a_kill_left_spoils_none_behind_it()
    {
        var capture = Begin(_at.Create().Id, 1);
        _shelf.Append(capture, 0, Bytes(Noise(1000)));
        _shelf.Note(capture, new("event", 1, null, null, null, "bump"));
        _shelf.Dispose();
        File.AppendAllText(Path.Combine(_at.Library.Folder, "captures", $"{capture:N}.marks"), "{\"kind\":\"ta");
        using (var later = new CaptureShelf(_at.Library, TimeProvider.System))
        {
            Assert.Equal(CaptureAnswer.Kept, later.Note(capture, new("take", 0, 400, "open", null, "")));
            Assert.Equal(CaptureAnswer.Kept, later.Note(capture, new("keep", 400, null, null, null, "")));
        }
        Assert.Equal(["event", "take", "keep"], _shelf.Find(capture)!.Marks.Select(m => m.Kind));
    }

    [Theory]
    [InlineData(0, 1)]
    [InlineData(7999, 1)]
    [InlineData(192_001, 1)]
    [InlineData(48_000, 0)]
    [InlineData(48_000, 5)]
    public void Rates_and_channels_out_of_range_are_refused(int rate, int channels) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => _shelf.Begin(_at.Create().Id, "x", new(rate, channels, "", new Dictionary<string, string>(StringComparer.Ordinal))));

    private Guid Begin(Guid trial, int channels) => _shelf.Begin(trial, "flight", new(Rate, channels, "test", new Dictionary<string, string>(StringComparer.Ordinal))).Id;

    private static (CaptureAnswer, long?) Stand((CaptureAnswer Answer, CaptureState? State) outcome) => (outcome.Answer, outcome.State?.Frames);

    private static float[] Noise(int length)
    {
        var state = 7u;
        return [.. Enumerable.Range(0, length).Select(_ => ((int)(state = (1664525 * state) + 1013904223) >> 8) / 8_388_608f)];
    }

    private static byte[] Bytes(ReadOnlySpan<float> samples) => MemoryMarshal.AsBytes(samples).ToArray();
}
