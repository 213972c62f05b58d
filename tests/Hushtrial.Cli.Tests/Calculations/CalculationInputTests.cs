using Hushtrial.Cli.Calculations;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Calculations;

public class CalculationInputTests
{
    private static CalculationInput Parse(string text) => CalculationInput.Parse(text, "here", "XYZ");

    private static double[] Levels(string text) => [.. Parse(text).Bands("bands", BandFraction.Octave, "level").Values];

    [Theory]
    [InlineData("hz,level\n500,70.5\n1000,60\n")]
    [InlineData("hz;level\r\n500;70,5\r\n1000;60\r\n")]
    [InlineData("hz\tlevel\n500\t70.5\n1000\t60\n")]
    [InlineData("# a remark\nHZ,Level\n1000,60\n\n500,70.5\n")]
    [InlineData("\uFEFFhz,level,name\n500,70.5,\"a, b\"\n1000,60,\n")]
    [InlineData("""{"bands":[{"hz":500,"level":70.5},{"hz":1000,"level":60}]}""")]
    [InlineData("""{"hz":[500,1000],"level":[70.5,60]}""")]
    [InlineData("""[{"midband_hz":500,"level":70.5},{"midband_hz":1000,"level":60}]""")]
    public void One_table_in_many_clothes(string text) => Assert.Equal([70.5, 60], Levels(text));

    [Theory]
    [InlineData("", "XYZ-001")]
    [InlineData("hz,level\n", "XYZ-001")]
    [InlineData("{\"a\":", "XYZ-002")]
    [InlineData("hz,level\n500,high\n", "XYZ-003")]
    [InlineData("hz,level\n510,70\n", "XYZ-005")]
    [InlineData("hz,level\n500,70\n500,71\n", "XYZ-006")]
    [InlineData("""{"hz":[500,1000],"level":[70]}""", "XYZ-007")]
    [InlineData("hz,level\n500,70,1\n", "XYZ-008")]
    [InlineData("""{"hz":[500],"level":[70],"rules":"\ud800"}""", "XYZ-002")]
    [InlineData("""{"hz":[500],"level":[70],"\udc00":1}""", "XYZ-002")]
    public void What_is_wrong_is_said_with_its_place(string text, string code)
    {
        var input = Parse(text);
        input.Bands("bands", BandFraction.Octave, "level");
        var problem = Assert.Single(input.Problems);
        Assert.Equal(code, problem.Code);
        Assert.StartsWith("here", problem.Where, StringComparison.Ordinal);
        Assert.True(input.Failed);
    }

    [Fact]
    public void Bands_are_octaves_only_when_no_gap_is_narrower()
    {
        Assert.Equal(BandFraction.Octave, Parse("hz,level\n125,1\n250,1\n500,1\n").Fraction("bands"));
        Assert.Equal(BandFraction.ThirdOctave, Parse("hz,level\n125,1\n160,1\n200,1\n").Fraction("bands"));
        Assert.Equal(BandFraction.ThirdOctave, Parse("hz,level\n100,1\n").Fraction("bands"));
    }

    /// <summary>RFC 8259, section 4: of a name that stands there twice most readers take the last; section 6: a number may lie beyond what a double holds.</summary>
    [Fact]
    public void Names_twice_and_numbers_beyond_all_bounds_are_no_bug()
    {
        var input = Parse("""{"loss":{"125":1,"125":2},"hours":1e999,"levels":[1,1e999]}""");
        Assert.Equal(2, Assert.Single(input.Map("loss")!).Value);
        Assert.Null(input.Numbers("levels"));
        Assert.Null(input.Number("hours"));
        Assert.Equal("XYZ-003", Assert.Single(input.Problems).Code);
    }

    [Fact]
    public void An_empty_cell_is_no_value() => Assert.Equal([60], Levels("hz,level\n500,\n1000,60\n"));
}
