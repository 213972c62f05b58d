using System.Text;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Exports;
using Hushtrial.Reporting.Figures;
using Hushtrial.Reporting.Tables;
using Hushtrial.Tests.Samples;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Exports;

/// <summary>The three quantities, and levels as read and referred to the field, never share a column.</summary>
public sealed class QuantityColumnTests
{
    private static readonly Dictionary<MeasuredQuantity, (string Column, string Words)> _names = new()
    {
        [MeasuredQuantity.InsertionLoss] = ("insertion_loss", "insertion loss"), [MeasuredQuantity.LevelDifference] = ("level_difference", "level difference"), [MeasuredQuantity.ActivePart] = ("active_part", "active part"),
    };

    public static TheoryData<MeasuredQuantity> Quantities() => [.. _names.Keys];

    private static TrialResults Of(MeasuredQuantity quantity)
    {
        var results = Helicopter.Results();
        return results with { Document = results.Document with { Quantity = quantity } };
    }

    private static IEnumerable<(string File, string Column)> NumberColumns(MeasuredQuantity quantity) => ResultExports.Files(Of(quantity)).Where(f => f.MediaType == "text/csv" && f.Name is not ("levels.csv" or "takes.csv" or "history.csv"))
        .SelectMany(f => Encoding.UTF8.GetString(f.Content.Span).Split("\r\n")[0].Split(',').Where(c => c.EndsWith("_db", StringComparison.Ordinal) && c != "margin_db" && !c.StartsWith("simultaneous", StringComparison.Ordinal)).Select(c => (f.Name, c)));

    [Theory, MemberData(nameof(Quantities))]
    public void Every_csv_column_that_holds_the_quantity_bears_its_name(MeasuredQuantity quantity)
    {
        var columns = NumberColumns(quantity).Where(c => c is not ("pairs.csv", "low95_db" or "high95_db")).ToList();
        Assert.True(columns.Count >= 13);
        Assert.All(columns, c => Assert.StartsWith(_names[quantity].Column, c.Column));
        foreach (var other in _names.Keys.Where(q => q != quantity))
            Assert.Empty(columns.Intersect(NumberColumns(other).Where(c => c is not ("pairs.csv", "low95_db" or "high95_db"))));
    }

    [Fact]
    public void Levels_as_read_and_field_related_have_columns_of_their_own()
    {
        var level = new Estimate(80, 78, 82, 1, null, []);
        var results = Helicopter.Results();
        results = results with { Conditions = [results.Conditions[0] with { EarLevel = new(new(level, level, null), null, []), FieldLevel = new(new(level with { Value = 77 }, null, null), null, []) }] };
        var lines = ResultCsv.Levels(results).Split("\r\n", StringSplitOptions.RemoveEmptyEntries);
        var header = lines[0].Split(',').ToList();
        int read = header.IndexOf("level_as_read_db_re_20_upa"), field = header.IndexOf("level_field_related_db_re_20_upa");
        var row = lines.Single(l => l.StartsWith(results.Conditions[0].Condition.Id + ",A,,as_worn", StringComparison.Ordinal)).Split(',');
        Assert.Equal(("80", "77"), (row[read], row[field]));
        Assert.Equal(header.Count, header.Distinct().Count());
    }

    [Theory, MemberData(nameof(Quantities))]
    public void Every_json_object_that_holds_the_quantity_says_which(MeasuredQuantity quantity)
    {
        var results = Of(quantity);
        results = results with { ActiveParts = [new("birch-on", "Birch (active)", "birch-off", 2, results.Conditions[0].Loss, "…")] };
        using var stream = new MemoryStream();
        ResultJson.Write(results, stream);
        var root = JsonDocument.Parse(stream.ToArray()).RootElement;
        var name = _names[quantity].Column;
        Assert.Equal(name, root.GetProperty("quantity").GetString());
        foreach (var condition in root.GetProperty("conditions").EnumerateArray())
        {
            Assert.Equal(name, condition.GetProperty("loss").GetProperty("quantity").GetString());
            if (condition.GetProperty("ear_level") is { ValueKind: JsonValueKind.Object } ear) Assert.Equal("as_read", ear.GetProperty("level").GetString());
            Assert.All(condition.GetProperty("fits_detail").EnumerateArray(), f => Assert.Equal(name, f.GetProperty("quantity").GetString()));
        }
        Assert.All(root.GetProperty("pairs").EnumerateArray(), p => Assert.Equal(name, p.GetProperty("quantity").GetString()));
        var parts = root.GetProperty("active_parts").EnumerateArray().ToList();
        // In a trial of the active part it is the quantity itself and stands nowhere twice.
        if (quantity == MeasuredQuantity.ActivePart) Assert.Empty(parts);
        else Assert.Equal("active_part", Assert.Single(parts).GetProperty("active_part").GetProperty("quantity").GetString());
    }

    [Theory, MemberData(nameof(Quantities))]
    public void Every_table_and_figure_of_the_quantity_is_headed_by_its_name(MeasuredQuantity quantity)
    {
        var results = Of(quantity);
        ReportTable[] tables = [ResultTables.Loss(results), .. ResultTables.Bands(results), .. EvidenceTables.Budgets(results), ResultTables.Fits(results), ResultTables.Pairs(results)];
        Assert.All(tables, t => Assert.Contains(_names[quantity].Words, t.Caption, StringComparison.OrdinalIgnoreCase));
        foreach (var other in _names.Keys.Where(q => q != quantity))
            Assert.All(tables, t => Assert.All(t.Columns.Select(c => c.Head).Append(t.Caption), h => Assert.DoesNotContain(_names[other].Words, h, StringComparison.OrdinalIgnoreCase)));
        var figures = TrialFigures.Of(results, FigureWidth.Page);
        Assert.All([.. figures.Loss, .. figures.Overall], f => Assert.Contains(_names[quantity].Words, f.Standalone, StringComparison.OrdinalIgnoreCase));
    }

    [Fact]
    public void The_active_part_has_a_table_and_a_figure_of_its_own_beside_an_insertion_loss()
    {
        var results = Helicopter.Results();
        Assert.Null(ResultTables.ActiveParts(results));
        var on = results.Conditions.First(c => c.Condition.Mode == "active");
        results = results with { ActiveParts = [new(on.Condition.Id, on.Name, "off", 2, on.Loss, "Switched on it adds 8.0 dB(A); it makes it worse at 1 kHz, by up to 2.0 dB.")] };
        Assert.Contains("off minus on in the same donning", ResultTables.ActiveParts(results)!.Caption);
        Assert.NotNull(ResultTables.ActivePartBands(results));
        Assert.Contains("Active part", Assert.Single(TrialFigures.Of(results, FigureWidth.Page).ActiveParts).Standalone);
        Assert.Null(ResultTables.ActiveParts(results with { Document = results.Document with { Quantity = MeasuredQuantity.ActivePart } }));
    }
}
