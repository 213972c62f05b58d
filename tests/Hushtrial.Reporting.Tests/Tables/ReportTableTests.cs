using Hushtrial.Reporting.Tables;
using Hushtrial.Tests.Samples;

namespace Hushtrial.Tests.Tables;

public sealed class ReportTableTests
{
    [Fact]
    public void Columns_without_any_value_are_left_out()
    {
        var table = new ReportTable("t", "c", [new("a"), new("b"), new("c")], [new(["1", Cell.Nothing, "x"]), new(["2", Cell.Nothing, Cell.Nothing])], []).WithoutEmptyColumns();
        Assert.Equal(["a", "c"], table.Columns.Select(c => c.Head));
        Assert.Equal(["2", "–"], table.Rows[1].Cells.Select(c => c.Main));
    }

    [Fact]
    public void A_full_table_stays_as_it_is()
    {
        var loss = ResultTables.Loss(Helicopter.Results());
        Assert.Same(loss, loss.WithoutEmptyColumns());
    }

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public void Every_row_has_a_cell_for_every_column_or_heads_a_group(string name)
    {
        var results = All.Of(name);
        ReportTable?[] tables = [ResultTables.Loss(results), ResultTables.EarLevels(results), .. ResultTables.Bands(results), ResultTables.Fits(results), ResultTables.Takes(results), ResultTables.Pairs(results),
            .. EvidenceTables.Budgets(results), EvidenceTables.Components(results), EvidenceTables.Calibration(results), EvidenceTables.Published(results), EvidenceTables.Inputs(results),
            EvidenceTables.Settings(results), ClauseChecklist.Table(results)];
        foreach (var table in tables.OfType<ReportTable>())
            Assert.All(table.Rows, r => Assert.True(r.Cells.Count == table.Columns.Count || r.Cells.Count == 1, table.Id));
    }

    [Theory]
    [InlineData("helicopter", "4 1")]
    [InlineData("twelve", "4 4 4")]
    [InlineData("bare", "1")]
    public void Conditions_are_shared_out_evenly(string name, string counts) =>
        Assert.Equal(counts, string.Join(' ', ConditionColumns.Share(All.Of(name).Conditions).Select(t => t.Count)));

    [Fact]
    public void Bands_not_trusted_and_bounds_say_so()
    {
        var rows = ResultTables.Bands(Helicopter.Results()).First().Rows;
        Assert.Equal("not trusted", rows.Single(r => r.Cells[0].Main == "16 kHz").Cells[4].Small);
        Assert.StartsWith("≥ ", rows.Single(r => r.Cells[0].Main == "8 kHz").Cells[4].Main, StringComparison.Ordinal);
    }

    [Fact]
    public void Takes_left_out_stay_visible_with_their_reason()
    {
        var row = ResultTables.Takes(Helicopter.Results()).Rows.Single(r => r.Cells[0].Main == "2.6b");
        Assert.Contains(row.Cells, c => c is { Main: "left out", Small: "radio call" });
    }
}
