using System.Text.Json;
using Hushtrial.Signals.Recordings;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;

namespace Hushtrial.Trials.Tests.Logs;

public sealed class LogProposalTests
{
    public static TheoryData<string> Names => [.. LogCorpus.Names];

    [Fact]
    public void The_corpus_holds_at_least_forty_logs() => Assert.True(LogCorpus.Names.Count >= 40);

    /// Every trap of the trade has a log of its own, with what a person reads in it.
    [Theory]
    [InlineData("delimiter", "good.german-semicolon.csv", "good.english-comma.csv", "good.french-tab-latin1.txt", "good.spaces.txt", "good.bars.txt", "odd.delimiter-at-the-end.csv")]
    [InlineData("decimal mark", "good.german-semicolon.csv", "good.decimals-in-quotes.csv", "good.thousands.csv", "bad.comma-inside-and-between.csv", "bad.two-decimal-marks.csv")]
    [InlineData("encoding: UTF-8 with a mark", "good.german-semicolon.csv")]
    [InlineData("encoding: UTF-16 with a mark and without", "good.spanish-utf16.txt", "good.utf16-big-endian.csv")]
    [InlineData("encoding: Latin-1", "good.french-tab-latin1.txt")]
    [InlineData("preamble", "good.preamble-and-units.csv", "good.weighting-in-preamble.csv")]
    [InlineData("repeated headers", "good.header-on-every-page.txt", "good.two-header-rows.csv")]
    [InlineData("units rows", "good.preamble-and-units.csv", "good.units-in-cells.csv")]
    [InlineData("date order", "good.german-semicolon.csv", "good.spanish-utf16.txt", "bad.date-order.csv", "good.months-by-name.csv")]
    [InlineData("12-hour clock", "good.am-pm.csv", "bad.twelve-hours-without-marks.csv")]
    [InlineData("time zone", "bad.zone-in-stamps.csv")]
    [InlineData("summer time", "bad.summer-time-begins.csv", "bad.summer-time-ends.csv")]
    [InlineData("stamps of the start or the end", "good.start-and-end.csv", "good.elapsed-of-the-end.csv", "bad.minutes-of-start-or-end.csv")]
    [InlineData("midnight", "good.midnight.csv", "good.dates-over-midnight.csv", "odd.date-stays.csv")]
    [InlineData("elapsed time that begins again", "bad.elapsed-begins-again.csv")]
    [InlineData("missing rows", "odd.missing-rows.csv", "odd.last-line-cut.csv")]
    [InlineData("overload", "odd.overload-words.csv", "odd.overload-flag.csv")]
    [InlineData("under-range", "odd.under-range.csv")]
    [InlineData("octaves that are weighted already", "good.octaves-already-a-weighted.csv", "good.octaves-c-weighted-in-headers.csv", "bad.bands-headed-otherwise.csv")]
    [InlineData("a mean over maxima", "bad.maxima-alone.csv", "bad.maximum-and-average-swapped.csv")]
    public void Every_trap_has_its_log(string trap, params string[] names)
    {
        Assert.All(names, n => Assert.Contains(n, LogCorpus.Names));
        var wide = names.Where(n => LogCorpus.Bytes(n) is [0xFF, 0xFE, ..] or [0xFE, 0xFF, ..] or [0, _, ..]).ToList();
        Assert.Equal(trap.Contains("UTF-16", StringComparison.Ordinal) || trap is "date order" ? names.Count(n => n.Contains("utf16", StringComparison.Ordinal)) : 0, wide.Count);
        if (trap.Contains("UTF-8", StringComparison.Ordinal)) Assert.Equal([0xEF, 0xBB, 0xBF], LogCorpus.Bytes(names[0])[..3]);
        if (trap != "a mean over maxima") return;
        // Refused: no level comes of it, and it is said.
        foreach (var name in names)
        {
            Assert.False(LogCorpus.Expected(name).TryGetProperty("leq", out var leq) && leq.EnumerateObject().Any(l => l.Name.Contains("eq", StringComparison.Ordinal)), name);
            Assert.Contains(Propose(name, new LogWishes()).Problems, p => p.Severity != Severity.Note);
        }
    }

    /// Levels: 10 lg of the time-weighted mean energy of the figures as written, computed in corpus/logs/make.py. Both sides hold doubles of
    /// the same sum in another order; the file prints six decimals, so half a unit of the fifth is ample.
    [Theory, MemberData(nameof(Names))]
    public void Roles_levels_and_problems_are_those_of_the_hand_reading(string name)
    {
        var expected = LogCorpus.Expected(name);
        Agree(expected, Propose(name, new LogWishes()), [.. expected.GetProperty("roles").EnumerateObject()]);
        if (!expected.TryGetProperty("answers", out var answers)) return;
        var answered = Propose(name, Wishes(answers));
        Agree(expected.GetProperty("answered"), answered, []);
        Assert.True(answered.IsComplete);
    }

    /// A confirmed layout asks nothing: through the text of the trial document and back, the log says what the proposal said.
    [Theory, MemberData(nameof(Names))]
    public void A_confirmed_log_reads_the_same_and_asks_nothing(string name)
    {
        var expected = LogCorpus.Expected(name);
        var proposal = Propose(name, expected.TryGetProperty("answers", out var answers) ? Wishes(answers) : new LogWishes());
        if (!proposal.IsComplete) return;
        var entry = new LogEntry("log", "log.csv", false, null, null, null, proposal.Layout!);
        var document = TrialDocumentReader.Read(Trial(LogSection.Text(entry)), "trial.yaml");
        Assert.DoesNotContain(document.Problems, p => p.Severity == Severity.Error);
        var confirmed = document.Document!.Logs[0];
        Assert.Equal(entry.Layout, confirmed.Layout);
        using var log = LevelLog.Open(confirmed, new BufferedBytes(LogCorpus.Bytes(name)), document.Document.Runs[0], null);
        Assert.DoesNotContain(log.Problems, p => p.Severity == Severity.Error);
        var levels = log.Measure([LogSpan.Everything])[0];
        Assert.Equal(proposal.Levels!.Rows, levels.Rows);
        Assert.Equal(proposal.Levels.Columns.Select(c => c.Level), levels.Columns.Select(c => c.Level));
        Assert.Equal(levels.Rows, log.Moments.Count);
    }

    [Fact]
    public void An_ambiguous_date_is_asked_with_both_readings()
    {
        var problem = Propose("bad.date-order.csv", new LogWishes()).Problems.Single(p => p.Code == "LOG-020");
        Assert.Contains("2026-04-03", problem.Found, StringComparison.Ordinal);
        Assert.Contains("2026-03-04", problem.Found, StringComparison.Ordinal);
    }

    [Fact]
    public void The_weighting_of_bands_comes_with_its_evidence()
    {
        var weighted = Propose("good.octaves-already-a-weighted.csv", new LogWishes()).Columns.Single(c => c.Role.Band?.NominalHertz == 125);
        Assert.Contains(weighted.Evidence, e => e.Contains("taken as A 0.0 dB", StringComparison.Ordinal));
        var unknown = Propose("bad.bands-of-unknown-weighting.csv", new LogWishes()).Problems.Single(p => p.Code == "LOG-015");
        Assert.Contains("125 Hz", unknown.Found, StringComparison.Ordinal);
    }

    private static LogProposal Propose(string name, LogWishes wishes)
    {
        using var bytes = new BufferedBytes(LogCorpus.Bytes(name));
        return LogProposal.Of(bytes, name, wishes);
    }

    private static void Agree(JsonElement expected, LogProposal proposal, List<JsonProperty> roles)
    {
        string[] Texts(string key) => [.. expected.GetProperty(key).EnumerateArray().Select(c => c.GetString()!)];
        var codes = proposal.Problems.Select(p => p.Code).Distinct().Order(StringComparer.Ordinal).ToArray();
        if (expected.TryGetProperty("only", out _)) Assert.Subset(codes.ToHashSet(), Texts("only").ToHashSet());
        else Assert.Equal(Texts("codes"), codes);
        foreach (var role in roles)
            Assert.Equal(role.Value.GetString(), proposal.Columns.Single(c => c.Number == int.Parse(role.Name, System.Globalization.CultureInfo.InvariantCulture)).Role.ToString());
        foreach (var property in expected.EnumerateObject())
            switch (property.Name)
            {
                case "rows": Assert.Equal(property.Value.GetInt64(), proposal.Levels!.Rows); break;
                case "from": Assert.Equal(property.Value.GetString(), proposal.From); break;
                case "to": Assert.Equal(property.Value.GetString(), proposal.To); break;
                case "interval_s": Assert.Equal(property.Value.GetDouble(), proposal.Layout!.IntervalSeconds!.Value, 1e-9); break;
                case "first_line": Assert.Equal(property.Value.GetInt32(), proposal.Layout!.FirstLine); break;
                case "header_line": Assert.Equal(property.Value.GetInt32(), proposal.Layout!.HeaderLine); break;
                case "stamp": Assert.Equal(LogWords.Find(LogWords.Stamps, property.Value.GetString()), proposal.Layout!.Stamp); break;
                case "decimal": Assert.Equal(LogWords.Find(LogWords.Decimals, property.Value.GetString()), proposal.Layout!.Decimal); break;
                case "delimiter": Assert.Equal(LogWords.Find(LogWords.Delimiters, property.Value.GetString()), proposal.Layout!.Delimiter); break;
                case "date_order": Assert.Equal(LogWords.Find(LogWords.DateOrders, property.Value.GetString()), proposal.Layout!.DateOrder); break;
                case "encoding_found": Assert.Equal(LogWords.Find(LogWords.Encodings, property.Value.GetString()), proposal.Layout!.Encoding); break;
                case "missing_s": Assert.Equal(property.Value.GetDouble(), proposal.Levels!.MissingSeconds, 1e-6); break;
                case "overload_s": Seconds(property.Value, proposal, c => c.OverloadSeconds); break;
                case "lost_s": Seconds(property.Value, proposal, c => c.LostSeconds); break;
                case "under_s": Seconds(property.Value, proposal, c => c.UnderRangeSeconds); break;
                case "leq": Levels(property.Value, proposal); break;
                default: break;
            }
    }

    private static LogColumnMean Column(LogProposal proposal, string role) => proposal.Levels!.Columns.First(c => c.Role.ToString() == role);

    private static void Seconds(JsonElement expected, LogProposal proposal, Func<LogColumnMean, double> of)
    {
        foreach (var column in expected.EnumerateObject()) Assert.Equal(column.Value.GetDouble(), of(Column(proposal, column.Name)), 1e-9);
    }

    private static void Levels(JsonElement expected, LogProposal proposal)
    {
        foreach (var column in expected.EnumerateObject())
        {
            var found = Column(proposal, column.Name);
            if (column.Value.ValueKind == JsonValueKind.Null) Assert.False(found.Role.CanBeAveraged);
            else Assert.Equal(column.Value.GetDouble(), found.Level!.Value, 5e-6);
        }
    }

    private static LogWishes Wishes(JsonElement answers)
    {
        var wishes = new LogWishes();
        foreach (var answer in answers.EnumerateObject())
            wishes = answer.Name switch
            {
                "date_order" => wishes with { DateOrder = LogWords.Find(LogWords.DateOrders, answer.Value.GetString()) },
                "stamp" => wishes with { Stamp = LogWords.Find(LogWords.Stamps, answer.Value.GetString()) },
                "clock_change" => wishes with { ClockChange = LogWords.Find(LogWords.ClockChanges, answer.Value.GetString()) },
                "half_of_day" => wishes with { HalfOfDay = LogWords.Find(LogWords.HalvesOfDay, answer.Value.GetString()) },
                "run_zone" => wishes with { RunZoneMinutes = LogWords.ZoneMinutes(answer.Value.GetString()) },
                "interval" => wishes with { IntervalSeconds = answer.Value.GetDouble() },
                "last_line" => wishes with { LastLine = answer.Value.GetInt32() },
                "bands" => wishes with { BandWeighting = Enum.Parse<FrequencyWeighting>(answer.Value.GetString()!) },
                "column" => wishes with { Columns = answer.Value.EnumerateObject().ToDictionary(c => int.Parse(c.Name, System.Globalization.CultureInfo.InvariantCulture), c => ColumnRole.FromWord(c.Value.GetString()!)!) },
                _ => throw new InvalidDataException(answer.Name),
            };
        return wishes;
    }

    private static string Trial(string logs) => $"""
        hushtrial: 1
        trial: {"{"} title: A log, quantity: insertion-loss, design: sequential {"}"}
        {logs}
        devices:
          - {"{"} id: alder, kind: over-ear {"}"}
        conditions:
          - {"{"} id: alder, device: alder {"}"}
        runs:
          - {"{"} id: F1 {"}"}
        takes: []
        """;
}
