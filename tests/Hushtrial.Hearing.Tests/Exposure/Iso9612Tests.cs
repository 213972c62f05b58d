using System.Globalization;
using CsCheck;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Exposure;

public class Iso9612Tests
{
    private static readonly IReadOnlyList<IReadOnlyDictionary<string, string>> _rows = Reference.Read("exposure/iso9612-examples.csv");

    private static Level[] Samples(string example, string item) => [.. Numbers(example, item).Select(Level.FromDecibels)];

    private static double[] Numbers(string example, string item) =>
        [.. Assert.Single(_rows, r => r["example"] == example && r["item"] == item)["value"].Split(';').Select(v => double.Parse(v, CultureInfo.InvariantCulture))];

    private static DailyLevel AnnexD(bool withDurations)
    {
        TimeSpan Half(double hours) => withDurations ? TimeSpan.FromHours(hours) : TimeSpan.Zero;
        return Iso9612.TaskBased([
            new("planning", Samples("D", "task1 samples"), TimeSpan.FromHours(Numbers("D", "task1 hours")[0]), TimeSpan.Zero),
            new("welding", Samples("D", "task2 samples"), TimeSpan.FromHours(Numbers("D", "task2 hours")[0]), Half(1)),
            new("cutting", Samples("D", "task3 samples"), TimeSpan.FromHours(Numbers("D", "task3 hours")[0]), Half(0.5)),
        ], MeasurementUncertainty.PersonalMeter);
    }

    /// <summary>ISO 9612:2009, Annex D. Every printed figure, within half of its last digit.</summary>
    [Fact]
    public void Annex_D_task_based()
    {
        var day = AnnexD(withDurations: true);
        Assert.Equal(Numbers("D", "task2 LpAeq")[0], day.Tasks[1].EquivalentLevel.Decibels, 0.05);
        Assert.Equal(Numbers("D", "task3 LpAeq")[0], day.Tasks[2].EquivalentLevel.Decibels, 0.05);
        // The annex goes on from the rounded 80.8 dB of the second task, so a rounding more than half of the last digit.
        Assert.All(Numbers("D", "contributions LEX8h,m").Zip(day.Tasks), p => Assert.Equal(p.First, p.Second.Contribution.Decibels, 0.065));
        Assert.Equal(Numbers("D", "LEX8h")[0], day.Level8Hours.Decibels, 0.05);
        Assert.All(Numbers("D", "u1a task2;task3").Zip(day.Tasks.Skip(1)), p => Assert.Equal(p.First, p.Second.SamplingUncertainty.Decibels, 0.05));
        Assert.All(Numbers("D", "c1a task2;task3").Zip(day.Tasks.Skip(1)), p => Assert.Equal(p.First, p.Second.LevelSensitivity, 0.0051));
        Assert.All(Numbers("D", "u1b task2;task3").Zip(day.Tasks.Skip(1)), p => Assert.Equal(p.First, p.Second.DurationUncertainty.TotalHours, 1e-9));
        // Printed from the rounded c1a (0.71): 2.05 gives 2.1, and 0.243 gives 0.24.
        Assert.All(Numbers("D", "c1b task2;task3").Zip(day.Tasks.Skip(1)), p => Assert.Equal(p.First, p.Second.DurationSensitivity, p.First > 1 ? 0.06 : 0.005));
        Assert.Equal(Numbers("D", "U with duration term")[0], day.Expanded.Decibels, 0.05);
        Assert.Equal(Numbers("D", "U without duration term")[0], AnnexD(withDurations: false).Expanded.Decibels, 0.05);
    }

    /// <summary>ISO 9612:2009, Annex E. It prints 88.1 for LEX,8h because it rounds 88.44 to 88.4 first; unrounded 88.16.</summary>
    [Fact]
    public void Annex_E_job_based()
    {
        var samples = Samples("E", "samples");
        var day = Iso9612.JobBased(samples, TimeSpan.FromHours(Numbers("E", "Te")[0]), MeasurementUncertainty.PersonalMeter);
        Assert.Equal(Numbers("E", "LpAeqTe")[0], Level.EnergyMean(samples).Decibels, 0.05);
        Assert.Equal(88.16, day.Level8Hours.Decibels, 0.005);
        Assert.Equal(Numbers("E", "LEX8h")[0], day.Level8Hours.Decibels, 0.07);
        Assert.Equal(Numbers("E", "U")[0], day.Expanded.Decibels, 0.05);
        Assert.Equal(Numbers("E", "c1u1 (Table C.4, N=6)")[0], Iso9612.SamplingContribution(6, LevelDifference.FromDecibels(Numbers("E", "u1 (sample standard deviation)")[0])).Decibels, 1e-9);
        Assert.Equal(day.Level8Hours.Decibels + day.Expanded.Decibels, day.Upper.Decibels, 1e-9);
    }

    [Fact]
    public void The_examples_table_is_used_whole()
    {
        Assert.Equal(29, _rows.Count);
        Assert.Equal(6, _rows.Count(r => r["example"] == "rules"));
    }

    /// <summary>ISO 9612:2009, Table C.4: 15 rows of 12 cells, as read.</summary>
    [Fact]
    public void Every_cell_of_table_C4()
    {
        var rows = Reference.Read("exposure/iso9612-table-c4.csv");
        Assert.Equal(15, rows.Count);
        foreach (var row in rows)
            for (var u = 0.5; u <= 6; u += 0.5)
                Assert.Equal(row.Number(FormattableString.Invariant($"u1_{u:0.0}")), Iso9612.SamplingContribution((int)row.Number("n"), LevelDifference.FromDecibels(u)).Decibels, 1e-9);
    }

    /// <summary>Land's exact upper limit of a lognormal mean lies behind Table C.4; three values of his H(0.95) (n = 3; from memory of his 1971
    /// table) come back within 4 %, what the table's rounding and the interpolation leave: an interpolation of the table that went wrong would not.</summary>
    [Theory]
    [InlineData(0.1, 2.750)]
    [InlineData(0.6, 7.807)]
    [InlineData(1.25, 16.33)]
    public void Table_C4_agrees_with_Lands_exact_limit(double sdOfLogarithm, double h)
    {
        var scatter = sdOfLogarithm * 10 / Math.Log(10);
        Assert.Equal(1, Iso9612.SamplingContribution(3, LevelDifference.FromDecibels(scatter)).Decibels / (scatter * h / Math.Sqrt(2) / 1.65), 0.04);
    }

    [Fact]
    public void More_samples_never_add_uncertainty() => Gen.Select(Gen.Int[3, 39], Gen.Double[0, 6]).Sample((n, u) =>
        Iso9612.SamplingContribution(n + 1, LevelDifference.FromDecibels(u)).Decibels <= Iso9612.SamplingContribution(n, LevelDifference.FromDecibels(u)).Decibels + 1e-12);

    [Fact]
    public void The_rules_of_the_standard_become_problems()
    {
        Level[] wide = [Level.FromDecibels(80), Level.FromDecibels(84), Level.FromDecibels(81)];
        Assert.Contains(Iso9612.TaskBased([new("a", wide, TimeSpan.FromHours(8), TimeSpan.Zero)], MeasurementUncertainty.Class1Meter).Problems, p => p.Code == "EXP-011");
        Assert.Contains(Iso9612.TaskBased([new("a", wide[..1], TimeSpan.FromHours(8), TimeSpan.Zero)], MeasurementUncertainty.Class1Meter).Problems, p => p.Code == "EXP-010");
        Level[] scattered = [.. new[] { 80.0, 91, 83, 90, 81 }.Select(Level.FromDecibels)];
        Assert.Contains(Iso9612.JobBased(scattered, TimeSpan.FromHours(8), MeasurementUncertainty.Class1Meter).Problems, p => p.Code == "EXP-012");
        Assert.Contains(Iso9612.FullDay(wide, TimeSpan.FromHours(8), MeasurementUncertainty.Class1Meter).Problems, p => p.Code == "EXP-011");
        Assert.Throws<ArgumentException>(() => Iso9612.JobBased(wide, TimeSpan.FromHours(8), MeasurementUncertainty.Class1Meter));
        Assert.Throws<ArgumentException>(() => Iso9612.FullDay(wide[..2], TimeSpan.FromHours(8), MeasurementUncertainty.Class1Meter));
    }
}
