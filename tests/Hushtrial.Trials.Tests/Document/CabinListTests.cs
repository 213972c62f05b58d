using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

public sealed class CabinListTests
{
    private static (IReadOnlyList<CabinEntry> Cabins, IReadOnlyList<Problem> Problems) Yaml(string text) => CabinListReader.ReadYaml(new MemoryStream(Encoding.UTF8.GetBytes(text)), "my-cabins.yaml");

    [Fact]
    public void A_list_is_read_with_its_weighting_taken_off()
    {
        var (cabins, problems) = Yaml("""
            hushtrial_cabins: 1
            cabins:
              - { id: row, name: Vineyard row, source: own meter, bands: { 63: 90, 125: 88 }, uncertainty_db: 1.5 }
              - { id: weighted, fraction: third, weighting: A, bands: { 100: 70, 1000: 60 } }
            """);
        Assert.Empty(problems);
        Assert.Equal(["row", "weighted"], cabins.Select(c => c.Id));
        Assert.Equal([(Band.Octave(-4), 90.0), (Band.Octave(-3), 88)], cabins[0].Levels.Select(l => (l.Key, l.Value)));
        // IEC 61672-1:2013, Table 3: A is −19.1 dB at 100 Hz and 0 at 1 kHz, printed to a tenth.
        Assert.Equal(89.1, cabins[1].Levels[0].Value, 0.051);
        Assert.Equal(60, cabins[1].Levels[1].Value, 1e-9);
    }

    [Theory]
    [InlineData("cabins: [{ id: a, bands: { 63: 90 } }]", "DOC-012")]
    [InlineData("hushtrial_cabins: 1\ncabins: []", "DOC-016")]
    [InlineData("hushtrial_cabins: 1\ncabins: [{ id: a }]", "DOC-095")]
    [InlineData("hushtrial_cabins: 1\ncabins: [{ id: a, recording: f1 }]", "DOC-010")]
    [InlineData("hushtrial_cabins: 1\ncabins: [{ id: a, bands: { 63: 90 } }, { id: A, bands: { 63: 80 } }]", "DOC-040")]
    [InlineData("hushtrial_cabins: 1\ncabins: [{ id: a, bands: { 64: 90 } }]", "DOC-034")]
    public void Faults_are_named_and_nothing_is_taken(string text, string code)
    {
        var (cabins, problems) = Yaml(text);
        Assert.Empty(cabins);
        Assert.Contains(problems, p => p.Code == code);
    }

    [Fact]
    public void A_table_holds_one_cabin_or_several()
    {
        var (one, none) = CabinTable.Read("# own meter\nhz,level\n63,90\n125,88.5\n", "row.csv", "row");
        Assert.Empty(none);
        Assert.Equal(("row", BandFraction.Octave), (one.Single().Id, one.Single().Typed!.Fraction));
        var (several, problems) = CabinTable.Read("cabin;hz;level\na;100;80,5\na;125;81\nb;63;90\n", "two.csv", "two");
        Assert.Empty(problems);
        Assert.Equal([("a", BandFraction.ThirdOctave), ("b", BandFraction.Octave)], several.Select(c => (c.Id, c.Typed!.Fraction)));
        Assert.Equal(80.5, several[0].Levels[0].Value);
    }

    [Theory]
    [InlineData("", "CAB-001")]
    [InlineData("hz,loss\n63,9\n", "CAB-001")]
    [InlineData("hz,level\n63,loud\n", "CAB-002")]
    [InlineData("hz,level\n63,300\n", "CAB-002")]
    [InlineData("hz,level\n63,80,5\n125\n", "CAB-002")]
    [InlineData("hz,level\n64,80\n", "CAB-003")]
    [InlineData("hz,level\n63,80\n63,81\n", "CAB-003")]
    public void Faults_of_a_table_are_named_with_their_line(string text, string code)
    {
        var (cabins, problems) = CabinTable.Read(text, "row.csv", "row");
        Assert.Empty(cabins);
        Assert.Contains(problems, p => p.Code == code && p.Where.Contains("row.csv, line", StringComparison.Ordinal));
    }
}
