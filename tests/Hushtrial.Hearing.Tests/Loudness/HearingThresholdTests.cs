using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Loudness;

public class HearingThresholdTests
{
    /// <summary>ISO 389-7:2005 with Amd 1:2016, Table 1, both columns. Values are tenths and tabulated: no tolerance.</summary>
    [Fact]
    public void Every_entry_of_the_table()
    {
        var rows = Reference.Read("loudness/iso389-7-threshold.csv");
        Assert.Equal(34, rows.Count);
        foreach (var row in rows)
        {
            var f = Frequency.FromHertz(row.Number("hz"));
            Assert.Equal(row.Number("free_field_db"), HearingThreshold.At(f, SoundField.Free).Decibels, 1e-9);
            Assert.Equal(row.Number("diffuse_field_db"), HearingThreshold.At(f, SoundField.Diffuse).Decibels, 1e-9);
            Assert.Equal(row["source_diffuse"].StartsWith("memory", StringComparison.Ordinal), HearingThreshold.IsFromMemory(f));
        }
    }

    /// <summary>Independent of this table: the free-field column is the threshold of ISO 226:2023 where both exist.</summary>
    [Fact]
    public void Free_field_equals_the_threshold_of_ISO_226() =>
        Assert.All(Reference.Read("loudness/iso226-parameters.csv"), row =>
            Assert.Equal(row.Number("tf_2023"), HearingThreshold.At(Frequency.FromHertz(row.Number("hz")), SoundField.Free).Decibels, 1e-9));
}
