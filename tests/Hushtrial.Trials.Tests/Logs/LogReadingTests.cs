using Hushtrial.Signals.Recordings;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;

namespace Hushtrial.Trials.Tests.Logs;

public sealed class LogReadingTests
{
    private static readonly LogLayout _layout = new()
    {
        Delimiter = LogDelimiter.Semicolon, HeaderLine = 1, FirstLine = 2, IntervalSeconds = 10, Stamp = IntervalStamp.Start,
        Columns = new Dictionary<int, ColumnRole> { [1] = new(ColumnKind.Clock), [2] = ColumnRole.FromWord("LAeq")! },
    };

    /// By hand: 10 lg((3·10^8 + 10^9)/4) = 85.1188 dB, the energy mean of 80, 80, 80, 90 (their arithmetic mean is 82.5).
    [Fact]
    public void The_mean_is_one_of_energy() => Assert.Equal(85.1188, Read("10:00:00;80\n10:00:10;80\n10:00:20;80\n10:00:30;90\n", 36_000, 36_040).A!.Value, 1e-4);

    [Fact]
    public void Rows_that_an_edge_cuts_are_left_out_and_named()
    {
        var reading = Read("10:00:00;80\n10:00:10;90\n10:00:20;70\n", 36_005, 36_025);
        Assert.Equal(90, reading.A!.Value, 1e-9);
        Assert.Contains(reading.Problems, p => p.Code == "LOG-043");
    }

    [Fact]
    public void Rows_count_by_the_length_of_their_interval()
    {
        // By hand: 10 lg((30·10^8 + 10·10^9)/40) = 10 lg(3.25·10^8) = 85.1188 dB.
        var layout = _layout with { IntervalSeconds = null, Columns = new Dictionary<int, ColumnRole> { [1] = new(ColumnKind.Clock), [2] = ColumnRole.FromWord("LAeq")!, [3] = new(ColumnKind.Interval) } };
        Assert.Equal(85.1188, Read("10:00:00;80;0:00:30\n10:00:30;90;0:00:10\n", 36_000, 36_040, layout).A!.Value, 1e-4);
    }

    [Theory]
    [InlineData("LAFmax")]
    [InlineData("LAF")]
    [InlineData("LCpeak")]
    [InlineData("LAF10")]
    [InlineData("LAIeq")]
    public void Maxima_momentary_levels_peaks_and_percentiles_have_no_mean(string role)
    {
        var layout = _layout with { Columns = new Dictionary<int, ColumnRole> { [1] = new(ColumnKind.Clock), [2] = ColumnRole.FromWord(role)! } };
        var reading = Read("10:00:00;80\n10:00:10;90\n", 36_000, 36_020, layout);
        Assert.True(reading.IsEmpty);
        var problem = Assert.Single(reading.Problems);
        Assert.Equal(("LOG-040", Severity.Error), (problem.Code, problem.Severity));
        Assert.Contains(role, problem.Found, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("OL", 1, false)] // 1 of 20 rows: 5 %, which is allowed
    [InlineData("OL", 2, true)]
    [InlineData("-", 2, true)]
    [InlineData(null, 2, true)] // rows that are not there at all
    public void More_than_the_share_allowed_is_refused(string? marker, int lost, bool refused)
    {
        var text = string.Concat(Enumerable.Range(0, 20).Select(i => i is >= 5 && i < 5 + lost ? marker is null ? "" : $"10:{i / 6:00}:{10 * (i % 6):00};{marker}\n" : $"10:{i / 6:00}:{10 * (i % 6):00};80\n"));
        var reading = Read(text, 36_000, 36_200);
        Assert.Equal(refused, reading.A is null);
        Assert.Contains(reading.Problems, p => p.Code == (refused ? "LOG-042" : "LOG-044"));
    }

    /// Independent figure: the octave vector 95 104 108 100 94 88 83 76 70 dB (31.5 Hz to 8 kHz) sums up to 97.1 dB(A) and 109.8 dB(C) with the
    /// tabulated weightings of IEC 61672-1 (−39.4 −26.2 −16.1 −8.6 −3.2 0 1.2 1.0 −1.1; −3.0 −0.8 −0.2 0 0 0 −0.2 −0.8 −3.0), by hand to a tenth.
    [Theory]
    [InlineData("LZeq", "95;104;108;100;94;88;83;76;70")]
    [InlineData("LAeq", "55.6;77.8;91.9;91.4;90.8;88;84.2;77;68.9")]
    public void Levels_follow_from_bands_of_either_weighting(string weighting, string bands)
    {
        string[] hertz = ["31.5", "63", "125", "250", "500", "1000", "2000", "4000", "8000"];
        var columns = hertz.Select((h, i) => (i + 2, ColumnRole.FromWord($"{weighting} {h} Hz octave")!)).Append((1, new ColumnRole(ColumnKind.Clock))).ToDictionary(c => c.Item1, c => c.Item2);
        var reading = Read($"10:00:00;{bands}\n", 36_000, 36_010, _layout with { Columns = columns });
        Assert.Equal(97.1, reading.A!.Value, 0.05 + 0.05);
        Assert.Equal(109.8, reading.C!.Value, 0.05 + 0.05);
        // The second row of figures is rounded to tenths, and so are the tabulated weightings.
        Assert.Equal(104, reading.Bands[Band.FromNominal(BandFraction.Octave, 63)!.Value], 0.1);
        Assert.Contains(reading.Problems, p => p.Code == "LOG-045");
    }

    [Fact]
    public void An_under_range_cell_counts_with_its_bound_and_is_said()
    {
        var reading = Read("10:00:00;< 30\n10:00:10;30\n", 36_000, 36_020);
        Assert.Equal(30, reading.A!.Value, 1e-9);
        Assert.Contains("at most", reading.Problems.Single(p => p.Code == "LOG-044").Remedy, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("LAeq")]
    [InlineData("LZeq 31.5 Hz octave")]
    [InlineData("LAeq 1250 Hz third")]
    [InlineData("LAFmax")]
    [InlineData("LAF90")]
    [InlineData("LA90")]
    [InlineData("LCpeak")]
    [InlineData("LAE")]
    [InlineData("LAIeq")]
    [InlineData("LAS")]
    [InlineData("time")]
    [InlineData("other")]
    public void Words_of_roles_come_back(string word) => Assert.Equal(word, ColumnRole.FromWord(word)!.ToString());

    [Theory]
    [InlineData("LA")]
    [InlineData("LAFeq")]
    [InlineData("LAFpeak")]
    [InlineData("LBeq")]
    [InlineData("LAeq 125 Hz")]
    [InlineData("LAeq 130 Hz octave")]
    [InlineData("LAeq 80 Hz octave")]
    [InlineData("leq")]
    [InlineData("")]
    public void Other_words_are_no_roles(string word) => Assert.Null(ColumnRole.FromWord(word));

    private static LogReading Read(string rows, double from, double to, LogLayout? layout = null)
    {
        var entry = new LogEntry("log", "log.csv", false, null, null, null, layout ?? _layout);
        using var log = LevelLog.Open(entry, MemoryBytes.Of("Start;LAeq\n" + rows), null, null);
        return LogReading.Of(log.Measure([LogSpan.ByClock(from, to)])[0], entry, "trial.yaml");
    }
}
