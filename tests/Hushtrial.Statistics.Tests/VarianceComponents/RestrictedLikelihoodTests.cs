using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Tests;

namespace Hushtrial.Statistics.Tests.VarianceComponents;

/// <summary>Textbook data against lme4 and pbkrtest (reference/statistics/mixed_models.csv) and NIST certified values.</summary>
public class RestrictedLikelihoodTests
{
    private static readonly ScalePrior Unused = new HalfT(1);

    private static (MixedDesign Design, Response Response) OneWay(IEnumerable<IGrouping<string, double>> groups, bool fixedGroups)
    {
        var all = groups.Select(g => g.ToArray()).ToArray();
        var columns = new double[all.Length, fixedGroups ? all.Length : 1];
        for (var i = 0; i < all.Length; i++) columns[i, fixedGroups ? i : 0] = 1;
        var targets = new double[1, columns.GetLength(1)];
        targets[0, 0] = 1;
        var means = all.Select(g => g.Average()).ToArray();
        var within = all.Select((g, i) => g.Sum(y => (y - means[i]) * (y - means[i]))).Sum();
        return (new(columns, targets, [], new("residual", Unused, [.. all.Select(g => g.Length)], 3)), new(means, within));
    }

    private static double[,] Identity(int n)
    {
        var identity = new double[n, n];
        for (var i = 0; i < n; i++) identity[i, i] = 1;
        return identity;
    }

    [Fact]
    public void Dyestuff_has_the_closed_form_of_a_balanced_design()
    {
        var groups = Reference.Read("statistics/data_dyestuff.csv").GroupBy(r => r["batch"], r => r.Number("yield"));
        var (design, response) = OneWay(groups, fixedGroups: false);
        var fit = RestrictedLikelihood.Fit(design, response, [new("batch", Identity(6))])!;
        Assert.Equal(1764.05, fit.Variances[0], 1e-8);              // (11271.5 − 2451.25) / 5: exact, so only rounding is left
        Assert.Equal(2451.25, fit.Variances[1], 1e-8);
        Assert.Equal(319.654277, fit.Criterion, 1e-6);              // six decimals are given
        var mean = new KenwardRoger(fit).Contrast([1])!;
        Assert.Equal(1527.5, mean.Estimate, 1e-9);
        Assert.Equal(Math.Sqrt(11271.5 / 30), mean.StandardError, 1e-9);
        Assert.Equal(5, mean.DegreesOfFreedom, 1e-8);
    }

    [Fact]
    public void Sleepstudy_with_random_subjects()
    {
        var rows = Reference.Read("statistics/data_sleepstudy.csv");
        Assert.Equal(180, rows.Count);
        var columns = new double[180, 2];
        var kernel = new double[180, 180];
        for (var i = 0; i < 180; i++)
        {
            (columns[i, 0], columns[i, 1]) = (1, rows[i].Number("days"));
            for (var j = 0; j < 180; j++) kernel[i, j] = rows[i]["subject"] == rows[j]["subject"] ? 1 : 0;
        }
        var design = new MixedDesign(columns, Identity(2), [], new("residual", Unused, [.. Enumerable.Repeat(1, 180)], 3));
        var fit = RestrictedLikelihood.Fit(design, new([.. rows.Select(r => r.Number("reaction"))], 0), [new("subject", kernel)])!;
        // Nine to ten digits are given; lme4's optimiser stops at about 1e-7 of a variance.
        Assert.Equal(1378.178514, fit.Variances[0], 1e-3);
        Assert.Equal(960.456579, fit.Variances[1], 1e-4);
        Assert.Equal(1786.465085394921, fit.Criterion, 1e-8);       // r_values.csv
        var adjusted = new KenwardRoger(fit);
        AdjustedContrast intercept = adjusted.Contrast([1, 0])!, slope = adjusted.Contrast([0, 1])!;
        Assert.Equal(251.405105, intercept.Estimate, 1e-6);
        Assert.Equal(9.746716, intercept.StandardError, 1e-5);
        Assert.Equal(22.8102, intercept.DegreesOfFreedom, 1e-3);
        Assert.Equal(10.467286, slope.Estimate, 1e-6);
        Assert.Equal(0.804221, slope.StandardError, 1e-6);
        Assert.Equal(161, slope.DegreesOfFreedom, 1e-4);
    }

    /// <summary>Digits of agreement with the certified residual standard deviation: log relative error, as NIST suggests.</summary>
    [Theory, InlineData("SiRstv", "nist_sirstv.csv", "instrument", 9), InlineData("SmLs01", "nist_smls01.csv", "treatment", 12)]
    public void One_way_analysis_of_NIST_data(string name, string file, string factor, int digits)
    {
        var certified = Reference.Read("statistics/nist_certified.csv").Single(r => r["dataset"] == name);
        var (design, response) = OneWay(Reference.Read("statistics/" + file).GroupBy(r => r[factor], r => r.Number("y")), fixedGroups: true);
        Assert.Equal((int)certified.Number("df_within"), design.WithinDegreesOfFreedom);
        var fit = RestrictedLikelihood.Fit(design, response, [])!;
        Assert.True(-Math.Log10(Math.Abs(fit.StandardDeviations[0] / certified.Number("residual_sd") - 1)) >= digits);
    }

    [Fact]
    public void A_variance_that_wants_to_be_negative_is_zero_and_the_rest_still_fits()
    {
        // Three batches with equal means but scatter inside.
        var groups = new[] { ("a", 9.0), ("a", 11.0), ("b", 8.0), ("b", 12.0), ("c", 9.5), ("c", 10.5) }.GroupBy(p => p.Item1, p => p.Item2);
        var (design, response) = OneWay(groups, fixedGroups: false);
        var fit = RestrictedLikelihood.Fit(design, response, [new("batch", Identity(3))])!;
        Assert.Equal(0, fit.Variances[0]);
        Assert.Equal((2 + 8 + 0.5) / 5, fit.Variances[1], 1e-9);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1e-9)]
    [InlineData(1e-5)]
    public void Replicates_that_all_but_agree_still_give_the_scatter_between(double apart)
    {
        var groups = new[] { ("a", 9.0), ("a", 9.0 + apart), ("b", 11.0), ("b", 11.0 - apart), ("c", 8.0), ("c", 8.0 + apart) }.GroupBy(p => p.Item1, p => p.Item2);
        var (design, response) = OneWay(groups, fixedGroups: false);
        var fit = RestrictedLikelihood.Fit(design, response, [new("batch", Identity(3))])!;
        // By hand: the means 9, 11 and 8 have the variance 7/3.
        Assert.Equal(7 / 3.0, fit.Variances[0], 1e-3);
        Assert.InRange(fit.Variances[1], 0, 1e-3);
    }

    [Fact]
    public void Nothing_left_over_gives_no_fit()
    {
        var (design, response) = OneWay(new[] { ("a", 9.0), ("b", 8.0) }.GroupBy(p => p.Item1, p => p.Item2), fixedGroups: true);
        Assert.Null(RestrictedLikelihood.Fit(design, response, []));
    }
}
