using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>What the A-weighted answers hang on, change by change.</summary>
public static class RobustnessTables
{
    /// <summary>A row for every donning left out every excluded take put back, every flagged take and every group of greyed bands left out; those that turn a verdict say so.</summary>
    public static ReportTable Answers(TrialResults results)
    {
        var rows = new List<Row>();
        Add("One donning left out", results.Robustness.WithoutDonning);
        Add("One excluded take put back", results.Robustness.WithExcluded);
        Add("One flagged take left out", results.Robustness.WithoutFlagged);
        Add("All flagged takes left out", results.Robustness.WithoutAllFlagged is { } all ? [all with { Changed = "all flagged" }] : []);
        Add("Speech and bursts set aside", results.Robustness.NoiseOnly is { } noise ? [noise with { Changed = "noise only" }] : []);
        Add("Bands that are not trusted left out", results.Robustness.WithoutGreyed);
        return new("table-changes", $"One change at a time, A-weighted, {Words.Scope(results.Document.Scope)}", [new("Change"), new("Verdicts, and the loss in question", Wide: true)], rows,
            results.Robustness.WithoutDonning.Count > 0 ? ["A donning that is the only one of its condition is not left out. Limits are simultaneous, 95\u00A0%, first minus second."] : []);

        void Add(string group, IReadOnlyList<ChangedAnswer> answers)
        {
            if (answers.Count == 0) return;
            rows.Add(new([group]));
            rows.AddRange(answers.Select(a => new Row([a.Why is null ? a.Changed : new Cell(a.Changed, a.Why), new Cell(Verdicts(results, a), Losses(results, a), Muted: a.Verdicts.Count == 0)])));
        }
    }

    private static string Verdicts(TrialResults results, ChangedAnswer answer) => answer.Verdicts.Count == 0 ? "no verdict changes"
        : string.Join("; ", answer.Verdicts.Select(v => $"{Name(results, v.First)} – {Name(results, v.Second)}: "
            + (v.To is { } to ? Words.Verdict(to, results.Document.Margin) : "cannot be said") + (v.Low is { } low && v.High is { } high ? $" ({Words.Signed(low)} to {Words.Signed(high)} dB)" : "")));

    private static string? Losses(TrialResults results, ChangedAnswer answer) => answer.Losses.Count == 0 ? null
        : string.Join("; ", answer.Losses.Select(l => $"{Name(results, l.Condition)}: {Words.Decibels(l.Changed)} instead of {Words.Decibels(l.Value)}"));

    private static string Name(TrialResults results, string condition) => Words.Isolated(Words.ConditionName(results, condition));
}
