using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>What the A-weighted answers hang on, change by change.</summary>
public static class RobustnessTables
{
    /// <summary>A row for every donning left out and every excluded take put back; those that turn a verdict say so.</summary>
    public static ReportTable Answers(TrialResults results)
    {
        var rows = new List<Row>();
        Add("Left out: one donning", results.Robustness.WithoutDonning);
        Add("Put back: one excluded take", results.Robustness.WithExcluded);
        return new("table-changes", $"One change at a time, A-weighted, {Words.Scope(results.Document.Scope)}", [new("Change"), new("Loss", "dB, instead of"), new("Verdicts", Wide: true)], rows,
            results.Robustness.WithoutDonning.Count > 0 ? ["A donning that is the only one of its condition is not left out."] : []);

        void Add(string group, IReadOnlyList<ChangedAnswer> answers)
        {
            if (answers.Count == 0) return;
            rows.Add(new([group]));
            rows.AddRange(answers.Select(a => new Row([a.Changed, Losses(results, a), a.Verdicts.Count == 0 ? "none changes" : new Cell(Words.Sentence(a.Sentence))])));
        }
    }

    private static Cell Losses(TrialResults results, ChangedAnswer answer) => answer.Losses.Count == 0 ? Cell.Nothing
        : new(string.Join("; ", answer.Losses.Select(l => $"{Words.Number(l.Changed)} ({Words.Number(l.Value)})")), string.Join("; ", answer.Losses.Select(l => Words.Isolated(Words.ConditionName(results, l.Condition)))));
}
