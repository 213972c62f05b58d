using Hushtrial.Statistics.Distributions;
using Hushtrial.Tests;

namespace Hushtrial.Statistics.Tests.Distributions;

/// <summary>Against R 4.2.2 (reference/statistics/r_values.csv, made by tests/twins/statistics.R) and printed tables.</summary>
public class DistributionTests
{
    private static readonly IReadOnlyList<IReadOnlyDictionary<string, string>> Rows = Reference.Read("statistics/r_values.csv");

    // R gives these to 1e-14 or better, ours lose three digits at ten million degrees of freedom; the noncentral ones by a series good to 1e-12, ptukey and qtukey to some 1e-6 (its documentation's eps).
    public static TheoryData<string, double> Functions { get; } = new(
        ("qt", 2e-11), ("pt upper", 1e-11), ("qf", 1e-12), ("pf upper", 1e-12), ("qchisq", 1e-11), ("pnorm upper", 1e-13), ("qnorm", 1e-14),
        ("pt noncentral", 1e-11), ("qt noncentral", 1e-9), ("qtukey", 2e-6));

    [Theory, MemberData(nameof(Functions))]
    public void Values_of_R_are_reproduced(string function, double relative)
    {
        var rows = Rows.Where(r => r["what"] == function).ToArray();
        Assert.NotEmpty(rows);
        foreach (var row in rows)
        {
            double a = row.Number("a"), b = row["b"].Length > 0 ? row.Number("b") : 0, c = row["c"].Length > 0 ? row.Number("c") : 0;
            var ours = function switch
            {
                "qt" => StudentT.Quantile(a, b),
                "pt upper" => StudentT.UpperTail(a, b),
                "qf" => FisherF.Quantile(a, b, c),
                "pf upper" => FisherF.UpperTail(a, b, c),
                "qchisq" => ChiSquared.Quantile(a, b),
                "pnorm upper" => Gaussian.UpperTail(a),
                "qnorm" => Gaussian.Quantile(a),
                "pt noncentral" => NoncentralT.Cdf(a, b, c),
                "qt noncentral" => NoncentralT.Quantile(a, b, c),
                _ => StudentizedRange.Quantile(a, (int)b, c),
            };
            var value = row.Number("value");
            Assert.True(Math.Abs(ours - value) <= relative * Math.Abs(value), $"{function}({a}, {b}, {c}) = {ours:R}, R says {value:R}");
        }
    }

    [Fact]
    public void The_table_has_its_rows() => Assert.Equal(69, Rows.Count);

    [Fact]
    public void Student_quantiles_agree_with_the_table()
    {
        var rows = Reference.Read("statistics/t_quantiles.csv");
        Assert.Equal(12, rows.Count);
        // Six decimals are printed: half a unit of the last.
        foreach (var row in rows) Assert.Equal(row.Number("t"), StudentT.Quantile(row.Number("probability"), row.Number("df")), 0.51e-5);
    }

    [Fact]
    public void Studentised_ranges_agree_with_the_table()
    {
        var rows = Reference.Read("statistics/studentized_range.csv");
        Assert.Equal(5, rows.Count);
        foreach (var row in rows)
        {
            // Six decimals, from R's qtukey, which itself stops at about 1e-6.
            Assert.Equal(row.Number("q_0.95"), StudentizedRange.Quantile(0.95, (int)row.Number("k"), row.Number("df")), 5e-6);
            Assert.Equal(row.Number("q_0.99"), StudentizedRange.Quantile(0.99, (int)row.Number("k"), row.Number("df")), 1e-5);
        }
    }

    [Theory, InlineData(1.0), InlineData(2.98), InlineData(12.0), InlineData(400.0)]
    public void The_range_of_two_means_is_Student_t_times_root_two(double df)
    {
        foreach (var q in new[] { 0.5, 3, 20 })
            Assert.Equal(StudentT.TwoSided(q / Math.Sqrt(2), df), StudentizedRange.UpperTail(q, 2, df), 1e-10);         // quadrature over a density with a corner at 1 degree of freedom
    }

    [Fact]
    public void A_probability_of_one_is_refused_with_its_value() =>
        Assert.Contains("1", Assert.Throws<ArgumentOutOfRangeException>(() => StudentT.Quantile(1, 5)).Message, StringComparison.Ordinal);
}
