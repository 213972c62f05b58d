using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

public sealed class TrialDocumentReaderTests
{
    public static TheoryData<string> Good => [.. Corpus.Names("good")];

    public static TheoryData<string> Bad => [.. Corpus.Names("bad")];

    private static IReadOnlyList<string> Codes(string text) => [.. TrialDocumentReader.Read(text, "trial.yaml").Problems.Select(p => p.Code)];

    [Fact]
    public void The_corpus_is_there() => Assert.Equal((12, 137), (Corpus.Names("good").Count, Corpus.Names("bad").Count));

    [Theory, MemberData(nameof(Good))]
    public void Good_documents_are_read_with_their_pinned_notes(string name)
    {
        var (document, problems) = Corpus.Read(name);
        Assert.NotNull(document);
        Assert.DoesNotContain(problems, p => p.Severity > Severity.Note);
        Corpus.AssertPinned(name, problems);
    }

    [Theory, MemberData(nameof(Bad))]
    public void Each_fault_brings_its_pinned_message(string name)
    {
        var (document, problems) = Corpus.Read(name);
        Corpus.AssertPinned(name, problems);
        Assert.NotEmpty(problems);
        Assert.Equal(problems.Any(p => p.Severity == Severity.Error), document is null);
    }

    [Fact]
    public void Seven_faults_bring_seven_messages()
    {
        var text = Corpus.Text("good.sequential.yaml")
            .Replace("margin_db: 2", "margin_db: 2,5", StringComparison.Ordinal)
            .Replace("  operator:", "  operater:", StringComparison.Ordinal)
            .Replace("date: 2026-05-14", "date: 14.5.2026", StringComparison.Ordinal)
            .Replace("kind: on-ear", "kind: onear", StringComparison.Ordinal)
            .Replace("file: hangar.wav", "file: ../hangar.wav", StringComparison.Ordinal)
            .Replace("condition: spruce, fit: D1", "condition: sprouce, fit: D1", StringComparison.Ordinal)
            .Replace("from: 2:05, to: 2:25", "from: 2:25, to: 2:05", StringComparison.Ordinal);
        Assert.Equal(["DOC-010", "DOC-021", "DOC-027", "DOC-030", "DOC-031", "DOC-041", "DOC-050"], Codes(text).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void Several_faults_of_the_layout_are_collected_too() =>
        Assert.Equal(["DOC-007", "DOC-007", "DOC-011"], Codes(Corpus.Text("good.minimal.yaml")
            .Replace("title: One", "title: &a One", StringComparison.Ordinal)
            .Replace("  design:", "  design: readings-only\n  design:", StringComparison.Ordinal)
            .Replace("{ id: R1 }", "{ id: R1, name: *a }", StringComparison.Ordinal)).Where(c => c != "DOC-081").Order(StringComparer.Ordinal));

    [Fact]
    public void Every_encoding_that_editors_write_gives_the_same_document()
    {
        var text = Corpus.Text("good.everything.yaml");
        var expected = DocumentEquality.Of(TrialDocumentReader.Read(text, "trial.yaml").Document!);
        foreach (var encoding in new Encoding[] { new UTF8Encoding(false), new UTF8Encoding(true), Encoding.Unicode, Encoding.BigEndianUnicode })
            foreach (var lineEnd in new[] { "\n", "\r\n" })
            {
                using var stream = new MemoryStream([.. encoding.GetPreamble(), .. encoding.GetBytes(text.ReplaceLineEndings(lineEnd))]);
                Assert.Equal(expected, DocumentEquality.Of(TrialDocumentReader.Read(stream, "trial.yaml").Document!));
            }
        using var unmarked = new MemoryStream(Encoding.Unicode.GetBytes(text));
        Assert.Equal(expected, DocumentEquality.Of(TrialDocumentReader.Read(unmarked, "trial.yaml").Document!));
    }

    [Fact]
    public void A_file_of_more_than_5_MB_is_refused_and_one_of_less_is_not()
    {
        var text = Corpus.Text("good.sequential.yaml");
        Assert.Equal(["DOC-001"], Codes(text + new string('#', 5_000_001 - text.Length)));
        Assert.Empty(Codes(text + new string('#', 5_000_000 - text.Length)));
        using var stream = new MemoryStream(Encoding.UTF8.GetBytes(text + new string('#', 5_000_001 - text.Length)));
        Assert.Equal("DOC-001", Assert.Single(TrialDocumentReader.Read(stream, "trial.yaml").Problems).Code);
    }

    [Fact]
    public void Hundreds_of_faults_end_in_a_count()
    {
        var text = Corpus.Text("good.minimal.yaml") + string.Concat(Enumerable.Range(0, 300).Select(i => $"  - {{ id: X{i}, condition: nothing, fit: D9, reading_a: 70, at: 9:01 }}\n"));
        var (document, problems) = TrialDocumentReader.Read(text, "trial.yaml");
        Assert.Null(document);
        Assert.Equal(201, problems.Count);
        Assert.Equal(("DOC-009", "100 further problems, not listed"), (problems[^1].Code, problems[^1].Found));
    }

    [Theory]
    [InlineData("12", 12)]
    [InlineData("12.25", 12.25)]
    [InlineData("0:12", 12)]
    [InlineData("62:03.5", 3723.5)]
    [InlineData("1:02:03.000001", 3723.000001)]
    public void Times_are_exact(string written, double seconds)
    {
        var text = Corpus.Text("good.sequential.yaml").Replace("from: 6:30, to: 6:50", $"from: {written}, to: 1:10:00", StringComparison.Ordinal).Replace("recording: f1, condition: open, from: " + written, "recording: after, run: F1, condition: open, from: " + written, StringComparison.Ordinal);
        var (document, problems) = TrialDocumentReader.Read(text, "trial.yaml");
        Assert.NotNull(document);
        Assert.Equal(seconds, document.Takes[^1].From);
        Assert.DoesNotContain(problems, p => p.Severity == Severity.Error);
    }

    [Theory]
    [InlineData("1:5")]
    [InlineData("0:60")]
    [InlineData("1:2:03")]
    [InlineData("1:60:00")]
    [InlineData("-3")]
    [InlineData("1e2")]
    [InlineData("49:00:00")]
    [InlineData("0:12,5")]
    public void Other_times_are_refused(string written) => Assert.Contains("DOC-028",
        Codes(Corpus.Text("good.sequential.yaml").Replace("from: 6:30", $"from: \"{written}\"", StringComparison.Ordinal)));

    [Fact]
    public void Clocks_count_from_the_start_of_the_run_also_over_midnight()
    {
        var document = Corpus.Read("good.outside-channel.yaml").Document!;
        Assert.Equal(86_100, document.Runs[0].StartOfDay);
        Assert.Equal([210.0, 430.25], document.Recordings.Select(r => r.StartClock!.Value));
        var noted = Corpus.Read("good.minimal.yaml").Document!;
        Assert.Equal([0.0, 120, 240, 360], noted.Takes.Select(t => t.Clock!.Value));
    }

    [Fact]
    public void What_a_take_leaves_out_is_filled_in()
    {
        var document = Corpus.Read("good.sequential.yaml").Document!;
        Assert.All(document.Takes, t => Assert.Equal("F1", t.Run));
        Assert.Equal("good.sequential.yaml, line 51, column 5", document.Takes[0].Where);
        Assert.Equal("radio call", document.Takes[5].Excluded);
    }

    [Fact]
    public void What_a_trial_leaves_out_has_the_defaults_of_the_guide()
    {
        var document = Corpus.Read("good.minimal.yaml").Document!;
        Assert.Equal((2.0, 1.6, 0.0, false, EstimateScope.General), (document.Margin.Decibels, document.DonningScatterMedian, document.ReadingStep, document.ScatterPerKind, document.Scope));
        Assert.Empty(document.Family);
        Assert.Equal(("juniper", true, "passive"), (document.Devices[0].Name, document.Devices[0].Measurable, document.Conditions[0].Mode));
    }

    [Fact]
    public void Tabs_that_indent_nothing_are_harmless()
    {
        var text = Corpus.Text("good.everything.yaml");
        var tabbed = text.Replace("\n\n", "\n\t\n", StringComparison.Ordinal).Replace("\nhushtrial: 1\n", "\n\t# a remark\nhushtrial: 1\t\n", StringComparison.Ordinal).Replace("rpm: 394\n", "rpm:\t394\n", StringComparison.Ordinal);
        Assert.Equal(DocumentEquality.Of(TrialDocumentReader.Read(text, "trial.yaml").Document!), DocumentEquality.Of(TrialDocumentReader.Read(tabbed, "trial.yaml").Document!));
    }

    [Fact]
    public void The_only_wearer_need_not_be_named_and_is_not_kept_twice()
    {
        var text = Corpus.Text("good.minimal.yaml").Replace("devices:", "wearers:\n  - { id: me }\ndevices:", StringComparison.Ordinal).Replace("id: T2,", "id: T2, wearer: me,", StringComparison.Ordinal);
        Assert.All(TrialDocumentReader.Read(text, "trial.yaml").Document!.Takes, t => Assert.Null(t.Wearer));
    }
}
