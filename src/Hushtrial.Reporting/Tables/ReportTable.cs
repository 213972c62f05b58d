using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>One cell: what it says, and in small type below what belongs to it (an interval, a reason).</summary>
/// <param name="Main">The text.</param>
/// <param name="Small">Small text below; null for none.</param>
/// <param name="Muted">True for a value that is not trusted or not used.</param>
public sealed record Cell(string Main, string? Small = null, bool Muted = false)
{
    /// <summary>What stands where nothing can be said.</summary>
    public static Cell Nothing { get; } = new("–", Muted: true);

    /// <summary>A plain text.</summary>
    public static implicit operator Cell(string text) => new(text);

    /// <summary>A cell from text, for languages without conversions.</summary>
    public static Cell ToCell(string text) => new(text);

    /// <summary>A number with one decimal; a dash for none.</summary>
    public static Cell Of(double? value) => value is { } v ? new(Words.Number(v)) : Nothing;

    /// <summary>An estimate above its interval; a dash for none.</summary>
    public static Cell Of(Estimate? estimate) => estimate is null ? Nothing : new(Words.Number(estimate.Value), Words.Range(estimate.Low, estimate.High));
}

/// <summary>A column.</summary>
/// <param name="Head">Its head.</param>
/// <param name="Unit">Unit, in words below the head; null for none.</param>
/// <param name="Numeric">True for right-aligned tabular figures.</param>
/// <param name="Wide">True for sentences, which need room on a narrow screen.</param>
public sealed record Column(string Head, string? Unit = null, bool Numeric = false, bool Wide = false);

/// <summary>A row; the first cell is its head. A row with a single cell is the head of a group of rows.</summary>
public sealed record Row(IReadOnlyList<Cell> Cells);

/// <summary>How conditions are shared out over tables whose columns they are.</summary>
internal static class ConditionColumns
{
    private const int Most = 5;

    /// <summary>At most five to a table, about as many in each, so that every table fits a printed page and none holds a lone one;
    /// what was not measured stands in tables of its own.</summary>
    public static IReadOnlyList<IReadOnlyList<ConditionResult>> Share(IEnumerable<ConditionResult> conditions) =>
    [
        .. conditions.GroupBy(c => c.Predicted).OrderBy(g => g.Key).SelectMany(g =>
        {
            var tables = (g.Count() + Most - 1) / Most;
            return g.Chunk((g.Count() + tables - 1) / tables);
        }),
    ];
}

/// <summary>A table ready to be set: every page and every report sets it the same way.</summary>
/// <param name="Id">Identity in the page, unique.</param>
/// <param name="Caption">What it holds.</param>
/// <param name="Columns">The columns.</param>
/// <param name="Rows">The rows.</param>
/// <param name="Notes">Remarks below it.</param>
public sealed record ReportTable(string Id, string Caption, IReadOnlyList<Column> Columns, IReadOnlyList<Row> Rows, IReadOnlyList<string> Notes)
{
    /// <summary>The table without columns in which every row has nothing: a trial without C-weighted levels need not show them.</summary>
    public ReportTable WithoutEmptyColumns()
    {
        var kept = Enumerable.Range(0, Columns.Count).Where(i => i == 0 || Rows.Any(r => r.Cells.Count <= i || r.Cells[i].Main != Cell.Nothing.Main)).ToList();
        return kept.Count == Columns.Count || Rows.Count == 0 ? this
            : this with { Columns = [.. kept.Select(i => Columns[i])], Rows = [.. Rows.Select(r => new Row([.. kept.Select(i => r.Cells[i])]))] };
    }
}
