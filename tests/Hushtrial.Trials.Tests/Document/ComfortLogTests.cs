using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

public sealed class ComfortLogTests
{
    private const string Trial = """
        hushtrial: 1
        trial: { title: t, quantity: insertion-loss, design: readings-only }
        wearers: [{ id: W1 }, { id: W2 }]
        devices: [{ id: oak, kind: over-ear }]
        conditions: [{ id: oak, device: oak }]
        runs: [{ id: R1, start: 10:00 }, { id: R2, start: 14:00 }]
        takes:
          - { id: T1, run: R1, wearer: W1, condition: open, reading_a: 90 }
          - { id: T2, run: R1, wearer: W1, condition: oak, fit: D1, reading_a: 70 }
          - { id: T3, run: R1, wearer: W1, condition: open, reading_a: 90 }
        comfort:
        """;

    private static (TrialDocument? Document, IReadOnlyList<Problem> Problems) Read(string entry) => TrialDocumentReader.Read($"{Trial}\n  - {entry}\n", "trial.yaml");

    [Fact]
    public void A_word_is_read_with_its_place_on_the_clock_of_its_run()
    {
        var entry = Assert.Single(Read("{ condition: oak, fit: D1, wearer: W2, run: R2, at: 15:30, worn_min: 80, discomfort: 3.5, hot_spot: crown, hot_spot_min: 50, glasses: no }").Document!.Comfort);
        Assert.Equal(new("oak", "W2", "D1", "R2", 5400, 80, false, 3.5, "crown", 50, false, null), entry);
    }

    [Theory]
    [InlineData("{ condition: oak, at: 15:30, discomfort: 2 }", "COM-001")]
    [InlineData("{ condition: oak, glasses: yes }", "COM-002")]
    [InlineData("{ condition: oak, discomfort: 11 }", "DOC-024")]
    [InlineData("{ condition: elm, discomfort: 1 }", "DOC-041")]
    [InlineData("{ condition: oak, run: R2, at: 5:00, discomfort: 1 }", "DOC-065")]
    public void What_is_wrong_with_a_word_is_told(string entry, string code) => Assert.Equal(code, Assert.Single(Read(entry).Problems, p => p.Severity != Severity.Note).Code);

    /// <summary>Clocks before the stated start are called so, and all clocks of a run are told as one problem: its start is wrong.</summary>
    [Fact]
    public void A_wrong_start_of_a_run_is_told_once_and_as_what_it_is()
    {
        var problem = Assert.Single(Read("{ condition: oak, run: R2, at: 5:00, discomfort: 1 }\n  - { condition: oak, run: R2, at: 5:30, discomfort: 2 }").Problems, p => p.Code == "DOC-065");
        Assert.Contains("the clock 5:00, before the start of the run 'R2' (14:00:00); the same goes for 1 more of its clocks", problem.Found, StringComparison.Ordinal);
    }

    /// <summary>The same readings with and without a word of the worst comfort: not a digit of the results moves.</summary>
    [Fact]
    public void No_decibel_and_no_verdict_depends_on_it()
    {
        var with = Read("{ condition: oak, end_of_day: yes, discomfort: 10, hot_spot: everywhere }").Document!;
        string Results(TrialDocument d) => System.Text.Json.JsonSerializer.Serialize(Analysis.Run(new(d, new Dictionary<string, Hushtrial.Signals.Recordings.Recording>(), [], [], "0")).Conditions.Select(c => new { c.Loss.A, c.Fits, c.Takes }));
        Assert.Equal(Results(with with { Comfort = [] }), Results(with));
    }
}
