using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Effects;

namespace Hushtrial.Trials.Tests.Effects;

public class EmpiricalPriorTests
{
    [Fact]
    public void Twenty_earlier_trials_replace_the_median_and_the_spread()
    {
        // The 20 normal scores at (i + ½)/20 have mean 0 and sd 0.985.
        double[] earlier = [.. Enumerable.Range(0, 20).Select(i => 1.1 * Math.Exp(0.4 * Gaussian.Quantile((i + 0.5) / 20)))];
        var settings = EmpiricalPrior.From(new EstimatorSettings(), earlier)!;
        Assert.Equal(1.1, settings.DonningScatterMedian, 1e-9);
        Assert.Equal(0.394, settings.DonningScatterLogSd, 0.01);
        Assert.Null(EmpiricalPrior.From(new EstimatorSettings(), earlier[1..]));
        Assert.Equal(0.3, EmpiricalPrior.From(new EstimatorSettings(), [.. Enumerable.Repeat(1.0, 25)])!.DonningScatterLogSd);
        Assert.Throws<ArgumentOutOfRangeException>(() => EmpiricalPrior.From(new EstimatorSettings(), [1, 0]));
    }

    [Fact]
    public void A_prior_of_devices_that_sit_well_sharpens_a_trial_of_single_donnings()
    {
        var sure = EmpiricalPrior.From(new EstimatorSettings(), [.. Enumerable.Repeat(0.6, 30)])!;
        var usual = Estimator.Fit(ExampleTable.Readings, ExampleTable.Traits, "LA", new EstimatorSettings()).Loss("P").General!;
        Assert.True(Estimator.Fit(ExampleTable.Readings, ExampleTable.Traits, "LA", sure).Loss("P").General!.StandardUncertainty < 0.9 * usual.StandardUncertainty);
    }
}
