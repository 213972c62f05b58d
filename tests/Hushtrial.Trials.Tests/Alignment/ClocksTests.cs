using System.Buffers.Binary;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Alignment;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;

namespace Hushtrial.Trials.Tests.Alignment;

/// <summary>Clocks from broadcast WAV, and offset and drift wherever a clock becomes a place in a recording or log.</summary>
public sealed class ClocksTests
{
    private const int Rate = 16_000;

    private static Recording Broadcast(double secondsSinceMidnight)
    {
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 1, WaveSampleFormat.Integer16)) writer.Write(new double[Rate]);
        var bext = new byte[8 + 602];
        "bext"u8.CopyTo(bext);
        BinaryPrimitives.WriteInt32LittleEndian(bext.AsSpan(4), 602);
        BinaryPrimitives.WriteInt64LittleEndian(bext.AsSpan(8 + 338), (long)(secondsSinceMidnight * Rate));
        var file = stream.ToArray();
        return Recording.Open(new BufferedBytes((byte[])[.. file.AsSpan(0, 12), .. bext, .. file.AsSpan(12)]), "f.wav");
    }

    private static TrialDocument Document(string recordings, string run = "{ id: F1 }", string more = "")
    {
        var (document, problems) = TrialDocumentReader.Read($"""
            hushtrial: 1
            trial: [title: clocks, quantity: insertion-loss, design: sequential]
            channels: [<id: ear, where: ear, number: 1>]
            recordings: {recordings}
            devices: [<id: elm, kind: over-ear>]
            conditions: [<id: elm, device: elm>]
            runs: [{run}]
            takes: []
            {more}
            """.Replace("[title", "{ title", StringComparison.Ordinal).Replace("sequential]", "sequential }", StringComparison.Ordinal).Replace('<', '{').Replace('>', '}'), "trial.yaml");
        Assert.True(document is not null, string.Join('\n', problems));
        return document;
    }

    private static (TrialDocument Document, string Codes) Applied(TrialDocument document, params (string Id, double Since)[] recordings)
    {
        var (applied, problems) = BroadcastClocks.Apply(document, recordings.ToDictionary(r => r.Id, r => Broadcast(r.Since), StringComparer.Ordinal));
        return (applied, string.Join(' ', problems.Select(p => p.Code)));
    }

    [Fact]
    public void A_recording_without_starts_begins_by_its_time_reference_over_midnight_too()
    {
        var (document, codes) = Applied(Document("[{ id: a, file: a.wav, run: F1 }, { id: b, file: b.wav, run: F1, clock_offset_s: 0.5 }]"), ("a", 86_390.25), ("b", 20));
        Assert.Equal("", codes);
        Assert.Equal(86_390.25, document.Runs[0].StartOfDay);
        Assert.Equal([0, 30.25], document.Recordings.Select(r => r.StartClock!.Value));
    }

    [Fact]
    public void A_run_with_a_start_keeps_it_and_a_reference_of_0_is_none()
    {
        var (document, _) = Applied(Document("[{ id: a, file: a.wav, run: F1 }, { id: b, file: b.wav, run: F1 }, { id: c, file: c.wav }]", "{ id: F1, start: 10:00 }"), ("a", 36_012.5), ("b", 0), ("c", 40_000));
        Assert.Equal(36_000, document.Runs[0].StartOfDay);
        Assert.Equal([12.5, null, null], document.Recordings.Select(r => r.StartClock));
    }

    [Theory]
    [InlineData("10:00:12", ""), InlineData("10:00:13.4", ""), InlineData("10:00:14.6", "REC-069"), InlineData("10:00:10.4", "REC-069"), InlineData("10:00:14.6, clock_offset_s: 7", "REC-069")]
    public void Starts_more_than_a_second_off_the_reference_is_told_and_used(string starts, string codes)
    {
        var (document, told) = Applied(Document($"[{{ id: a, file: a.wav, run: F1, starts: {starts} }}]", "{ id: F1, start: 10:00 }"), ("a", 36_012.5));
        Assert.Equal(codes, told);
        Assert.NotEqual(12.5, document.Recordings[0].StartClock);
    }

    [Fact]
    public void Offset_and_drift_move_the_rows_of_a_log()
    {
        var rows = string.Concat(Enumerable.Range(0, 3600).Select(i => FormattableString.Invariant($"{i / 3600 + 10}:{i / 60 % 60:00}:{i % 60:00};{60 + (i / 60)}\n")));
        var entry = new LogEntry("seat", "seat.csv", Outside: true, null, "F1", null, new() { Delimiter = LogDelimiter.Semicolon, IntervalSeconds = 1, Stamp = IntervalStamp.Start, Columns = new Dictionary<int, ColumnRole> { [1] = ColumnRole.FromWord("clock")!, [2] = ColumnRole.FromWord("LAeq")! } }, ClockOffset: 5) { ClockDrift = 100 };
        using var log = LevelLog.Open(entry, new BufferedBytes(System.Text.Encoding.ASCII.GetBytes(rows)), new Run("F1", null, []) { StartOfDay = 36_000 }, null);
        Assert.Equal(5, log.Moments[0].Start, 1e-9);
        Assert.Equal(5 + (3599 * 1.0001), log.Moments[^1].Start, 1e-6);
        // 3300 s after the start the clock of the log is 0.33 s behind: the minute of 115 dB is 0.33 s later than 5 s.
        var levels = log.Measure([LogSpan.ByClock(3305.33, 3365.34), LogSpan.ByClock(3305, 3365)]);
        Assert.Equal((60L, 115.0), (levels[0].Rows, levels[0].Columns[0].Level!.Value), new Near());
        Assert.Equal((59L, 2), (levels[1].Rows, levels[1].CutRows));
        // The curve for alignment is on the log's own clock.
        Assert.Equal(3599, LevelCurve.Of(log).Starts[^1], 1e-6);
    }

    [Fact]
    public void Values_are_set_in_braces_and_on_lines_and_nothing_else_is_touched()
    {
        const string text = """
            hushtrial: 1   # kept
            trial: { title: clocks, quantity: insertion-loss, design: sequential }
            channels: [{ id: ear, where: ear, number: 1 }]
            recordings:
              - { id: a, file: a.wav, run: F1 }   # first
              - id: b   # second
                file: b.wav
                run: F1
                clock_drift_ppm: 3
            devices: [{ id: elm, kind: over-ear }]
            conditions: [{ id: elm, device: elm }]
            runs: [{ id: F1 }]
            takes: []
            """;
        var (after, problem) = ClockInsertion.Set(text, [new("recordings", "a", [new("clock_offset_s", "-1.5")]), new("recordings", "b", [new("clock_offset_s", "2"), new("clock_drift_ppm", "12.5"), new("starts", "10:00:01.25")])]);
        Assert.Null(problem);
        Assert.Equal(text.Replace("{ id: a,", "{ id: a, clock_offset_s: -1.5,", StringComparison.Ordinal).Replace("# second\n", "# second\n    starts: 10:00:01.25\n    clock_offset_s: 2\n", StringComparison.Ordinal).Replace("ppm: 3", "ppm: 12.5", StringComparison.Ordinal), after);
        Assert.Equal("ALG-003", ClockInsertion.Set(text, [new("logs", "seat", [new("clock_offset_s", "1")])]).Problem!.Code);
    }

    private sealed class Near : IEqualityComparer<(long, double)>
    {
        public bool Equals((long, double) x, (long, double) y) => x.Item1 == y.Item1 && Math.Abs(x.Item2 - y.Item2) < 1e-6;

        public int GetHashCode((long, double) obj) => 0;
    }
}
