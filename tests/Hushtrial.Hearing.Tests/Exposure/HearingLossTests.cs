using System.Globalization;
using CsCheck;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Exposure;

public class HearingLossTests
{
    /// <summary>ISO 1999:2013, Annex D: 18 cells of three values, printed in whole dB; and the coefficients of Tables 1 and 3, seen through N50 and N10 and N90.</summary>
    [Fact]
    public void Every_row_of_the_table()
    {
        var rows = Reference.Read("exposure/iso1999.csv");
        Assert.Equal(30, rows.Count);
        foreach (var row in rows)
        {
            var f = Frequency.FromHertz(row.Number("hz"));
            var values = row["value"].Split(';').Select(v => double.Parse(v, CultureInfo.InvariantCulture)).ToArray();
            if (row["set"] == "coefficients")
            {
                const double years = 30;
                var level = Level.FromDecibels(98);
                var median = HearingLoss.ThresholdShift(f, level, years, 0.5).Decibels;
                var lg = Math.Log10(years);
                if (row["quantity"] == "u;v;L0")
                    Assert.Equal((values[0] + values[1] * lg) * Math.Pow(98 - values[2], 2), median, 1e-9);
                else
                {
                    var l0 = double.Parse(Assert.Single(rows, r => r["hz"] == row["hz"] && r["quantity"] == "u;v;L0")["value"].Split(';')[2], CultureInfo.InvariantCulture);
                    var square = Math.Pow(98 - l0, 2);
                    Assert.Equal(median + 1.2816 * (values[0] + values[1] * lg) * square, HearingLoss.ThresholdShift(f, level, years, 0.1).Decibels, 0.001); // k to four decimals
                    Assert.Equal(Math.Max(0, median - 1.2816 * (values[2] + values[3] * lg) * square), HearingLoss.ThresholdShift(f, level, years, 0.9).Decibels, 0.001);
                }
            }
            else
            {
                var words = row["set"].Split(' ');
                var (level, years) = (Level.FromDecibels(double.Parse(words[3], CultureInfo.InvariantCulture)), double.Parse(words[5], CultureInfo.InvariantCulture));
                Assert.All(new[] { 0.9, 0.5, 0.1 }.Zip(values), p => Assert.Equal(p.Second, HearingLoss.ThresholdShift(f, level, years, p.First).Decibels, 0.5001)); // whole dB
            }
        }
    }

    [Fact]
    public void More_noise_and_more_years_never_mean_less_shift() =>
        Gen.Select(Gen.Int[0, 5], Gen.Double[76, 99], Gen.Double[1, 39]).Sample((i, level, years) =>
        {
            var f = HearingLoss.Frequencies[i];
            double At(double l, double t) => HearingLoss.ThresholdShift(f, Level.FromDecibels(l), t, 0.5).Decibels;
            return At(level + 1, years) >= At(level, years) && At(level, years + 1) >= At(level, years);
        });

    [Fact]
    public void Age_and_noise_combine_to_less_than_their_sum() =>
        Assert.Equal(20 + 30 - 5, HearingLoss.Combined(LevelDifference.FromDecibels(20), LevelDifference.FromDecibels(30)).Decibels, 1e-9);

    [Fact]
    public void Outside_the_standards_range_nothing_is_said()
    {
        var f = HearingLoss.Frequencies[0];
        Assert.Throws<ArgumentOutOfRangeException>(() => HearingLoss.ThresholdShift(Frequency.FromHertz(750), Level.FromDecibels(90), 10, 0.5));
        Assert.Throws<ArgumentOutOfRangeException>(() => HearingLoss.ThresholdShift(f, Level.FromDecibels(101), 10, 0.5));
        Assert.Throws<ArgumentOutOfRangeException>(() => HearingLoss.ThresholdShift(f, Level.FromDecibels(90), 41, 0.5));
        Assert.Throws<ArgumentOutOfRangeException>(() => HearingLoss.ThresholdShift(f, Level.FromDecibels(90), 10, 0.01));
    }
}
