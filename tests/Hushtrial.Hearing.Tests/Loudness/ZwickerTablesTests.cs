using System.Globalization;
using Hushtrial.Hearing.Loudness;

namespace Hushtrial.Tests.Loudness;

public class ZwickerTablesTests
{
    /// <summary>ISO 532-1:2017, Tables A.3 to A.9, in public transcriptions: every cell, as printed.</summary>
    [Fact]
    public void Every_cell_of_the_standards_tables()
    {
        var rows = Reference.Read("loudness/iso532-1-tables.csv");
        Assert.Equal(33, rows.Count);
        foreach (var row in rows)
        {
            var index = (int)row.Number("row");
            var ours = row["table"] switch
            {
                "ranges of levels" => ZwickerTables.LowBandRanges,
                "low-frequency corrections" => ZwickerTables.LowBandCorrections[index],
                "threshold" => ZwickerTables.Threshold,
                "ear transmission" => ZwickerTables.EarTransmission,
                "diffuse field" => ZwickerTables.DiffuseField,
                "bandwidth" => ZwickerTables.Bandwidth,
                "upper limits" => ZwickerTables.UpperLimits,
                "ranges of specific loudness" => ZwickerTables.SlopeRanges,
                "slopes" => ZwickerTables.Slopes[index],
                var other => throw new InvalidOperationException(other),
            };
            Assert.Equal(row["values"].Split(';').Select(v => double.Parse(v, CultureInfo.InvariantCulture)), ours);
        }

        Assert.Equal((8, 18), (ZwickerTables.LowBandCorrections.Length, ZwickerTables.Slopes.Length));
    }
}
