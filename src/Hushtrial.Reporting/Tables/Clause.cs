using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>One thing that a sound report states: what standards on measuring at the ear, in cabins and at work ask for, taken together.</summary>
/// <param name="Group">Group it belongs to.</param>
/// <param name="Name">What is to be stated.</param>
/// <param name="Find">What the results state about it; null when they do not.</param>
public sealed record Clause(string Group, string Name, Func<TrialResults, string?> Find);

/// <summary>The checklist: every clause with what is stated, or 'not stated'.</summary>
public static class ClauseChecklist
{
    /// <summary>The table. Fields of the document that no clause asks for follow at the end of their group.</summary>
    public static ReportTable Table(TrialResults results)
    {
        var rows = new List<Row>();
        foreach (var group in ClauseList.All.GroupBy(c => c.Group))
        {
            rows.Add(new([group.Key]));
            rows.AddRange(group.Select(c => new Row([c.Name, c.Find(results) is { } text && !string.IsNullOrWhiteSpace(text) ? text : new Cell(Words.NotStated, Muted: true)])));
            rows.AddRange(FreeFields.Unasked(results, group.Key).Select(f => new Row([f.Key, f.Value])));
        }
        return new("table-clauses", "Each clause with what is stated", [new("Clause"), new("Stated", Wide: true)], rows, []);
    }
}
