using Hushtrial.Quantities;
using Hushtrial.Trials.Effects;

namespace Hushtrial.Trials.Tests.Effects;

public class ReadingsCsvTests
{
    private static ReadingsCsv Read(string text) => ReadingsCsv.Read(new StringReader(text), "t.csv");

    [Fact]
    public void Semicolons_decimal_commas_remarks_and_missing_values_are_understood()
    {
        var table = Read("\uFEFF# vineyard, Tuesday\nFlight;Clock_s;Condition;LA;LC;remarks\nF1;0;Open;92,5;101;engine warm\nF1;60;Alder;71,0 dB;-;\n\n;;;;;\n");
        Assert.Equal(["LA", "LC"], table.Quantities);
        Assert.Equal(2, table.Readings.Count);
        Assert.Equal("open", table.Readings[0].Condition);
        Assert.Equal(92.5, table.Readings[0].Values["LA"]);
        Assert.Equal(71.0, table.Readings[1].Values["LA"]);
        Assert.False(table.Readings[1].Values.ContainsKey("LC"));
        Assert.DoesNotContain(table.Problems, p => p.Severity == Severity.Error);
        Assert.Equal([4], table.Lines.Skip(1));
    }

    [Fact]
    public void Episodes_follow_from_uninterrupted_runs_when_none_are_named()
    {
        var table = Read("condition,LA\nopen,92\nopen,93\nAlder,70\nopen,92\n");
        Assert.Equal(["run 1", "run 1", "run 2", "run 3"], table.Readings.Select(r => r.Episode));
    }

    [Theory]
    [InlineData("", "EST-001", "t.csv")]
    [InlineData("condition,LA,LA\nopen,1,2\n", "EST-002", "t.csv, line 1, column 3")]
    [InlineData("worn,LA\nopen,90\n", "EST-003", "t.csv, line 1")]
    [InlineData("condition,words\nopen,loud\n", "EST-004", "t.csv, line 1")]
    [InlineData("condition,LA\nopen,90,5\n", "EST-005", "t.csv, line 2")]
    [InlineData("condition,LA\n,90\n", "EST-006", "t.csv, line 2, column 1")]
    [InlineData("condition,clock_s,LA\nopen,12:30,90\n", "EST-007", "t.csv, line 2, column 2")]
    [InlineData("condition,LA\nopen,90\nAlder,7o\n", "EST-008", "t.csv, line 3, column 2")]
    [InlineData("condition,LA\nopen,90\nAlder,705\n", "EST-009", "t.csv, line 3, column 2")]
    [InlineData("condition,LA,x\nopen,90,a\nAlder,70,b\n", "EST-010", "t.csv, line 1, column 3")]
    [InlineData("condition,LA\nopen,90\n", "EST-011", "t.csv")]
    [InlineData("condition,LA\nAlder,90\n", "EST-012", "t.csv")]
    [InlineData("condition,LA\nopen,90\nAlder,70\n", "EST-013", "t.csv")]
    [InlineData("condition,LA\nopen,90\nAlder,70\n", "EST-014", "t.csv")]
    [InlineData("flight,donning,condition,LA\n1,,open,90\n1,D,Alder,70\n2,D,Alder,70\n", "EST-015", "t.csv")]
    [InlineData("episode,condition,LA\n1,open,90\n1,Alder,70\n", "EST-016", "t.csv, line 2")]
    [InlineData("condition,LA\nopen,90\nAlder,NA\nAlder,70\n", "EST-017", "t.csv")]
    public void Every_fault_has_its_code_and_place(string text, string code, string where)
    {
        var problem = Read(text).Problems.FirstOrDefault(p => p.Code == code);
        Assert.NotNull(problem);
        Assert.Equal(where, problem.Where);
    }

    [Fact]
    public void The_fixed_example_reads_without_a_problem()
    {
        using var file = File.OpenText(Path.Combine(Hushtrial.Tests.Reference.Root, "reference", "statistics", "example1.csv"));
        var table = ReadingsCsv.Read(file, "example1.csv");
        Assert.Empty(table.Problems);
        Assert.Equal(36, table.Readings.Count);
        Assert.Equal(ExampleTable.Quantities, table.Quantities);
    }
}
