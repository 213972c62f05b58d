using CsCheck;
using Hushtrial.Hearing.Claims;
using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Tests.Claims;

public class ClaimCheckTests
{
    private static readonly LevelDifference _two = LevelDifference.FromDecibels(2);

    private static LevelDifference Db(double value) => LevelDifference.FromDecibels(value);

    private static MeasuredLoss Loss(double mean, double deviation) => MeasuredLoss.Normal(Db(mean), Db(deviation));

    [Fact]
    public void At_least_is_decided_by_one_threshold()
    {
        Assert.Equal(ClaimVerdict.Supported, ClaimCheck.AtLeast(Loss(22, 1), Db(22), _two).Verdict); // 2 dB over, 1.645 needed
        Assert.Equal(ClaimVerdict.Unresolved, ClaimCheck.AtLeast(Loss(21, 1), Db(22), _two).Verdict);
        Assert.Equal(ClaimVerdict.Contradicted, ClaimCheck.AtLeast(Loss(18, 1), Db(22), _two).Verdict);
        Assert.Equal(Gaussian.Cdf(1), ClaimCheck.AtLeast(Loss(21, 1), Db(22), _two).Probability, 1e-12);
        Assert.Equal(ClaimVerdict.Unresolved, ClaimCheck.AtLeast(Loss(22, 1), Db(22), LevelDifference.Zero).Verdict);
    }

    [Fact]
    public void At_the_threshold_at_most_five_percent_are_decided_either_way()
    {
        // Estimates at equally likely places about a truth that is exactly the threshold.
        var verdicts = Enumerable.Range(0, 2000).Select(i => ClaimCheck.AtLeast(Loss(20 + 1.5 * Gaussian.Quantile((i + 0.5) / 2000), 1.5), Db(22), _two).Verdict).ToArray();
        Assert.Equal(0.05, verdicts.Count(v => v == ClaimVerdict.Supported) / 2000.0, 0.001); // one node is 0.0005
        Assert.Equal(0.05, verdicts.Count(v => v == ClaimVerdict.Contradicted) / 2000.0, 0.001);
    }

    [Fact]
    public void Up_to_is_never_supported()
    {
        (Band, MeasuredLoss)[] bands = [(Band.ThirdOctave(-10), Loss(10, 1)), (Band.ThirdOctave(-9), Loss(24, 1)), (Band.ThirdOctave(-8), Loss(15, 1))];
        var reached = ClaimCheck.UpTo(bands, Db(20), _two);
        Assert.Equal((ClaimVerdict.Unresolved, (Band?)Band.ThirdOctave(-9)), (reached.Verdict, reached.ReachedAt));
        Assert.Contains("Reached at 125 Hz", reached.Sentence, StringComparison.Ordinal);
        Assert.Equal(ClaimVerdict.Contradicted, ClaimCheck.UpTo(bands, Db(30), _two).Verdict);
        var open = ClaimCheck.UpTo(bands, Db(27), _two);
        Assert.Equal((ClaimVerdict.Unresolved, (Band?)null), (open.Verdict, open.ReachedAt));
    }

    [Fact]
    public void Up_to_uses_limits_that_hold_for_all_bands_together()
    {
        // Three bands: z = 2.388 instead of 1.960. 24 + 2.2 dB is below 26.3 for one band, not for three.
        (Band, MeasuredLoss)[] bands = [.. Enumerable.Range(0, 3).Select(i => (Band.ThirdOctave(i), Loss(24, 1)))];
        Assert.Equal(ClaimVerdict.Unresolved, ClaimCheck.UpTo(bands, Db(26.2), LevelDifference.Zero).Verdict);
        Assert.Equal(ClaimVerdict.Contradicted, ClaimCheck.UpTo(bands[..1], Db(26.2), LevelDifference.Zero).Verdict);
        Assert.Equal(ClaimVerdict.Contradicted, ClaimCheck.UpTo(bands, Db(26.4), LevelDifference.Zero).Verdict);
    }

    [Fact]
    public void A_mean_is_supported_inside_and_contradicted_outside_the_allowance()
    {
        Assert.Equal(ClaimVerdict.Supported, ClaimCheck.Mean(Loss(20.3, 1), Db(20), _two).Verdict); // 20.3 ± 1.645
        Assert.Equal(ClaimVerdict.Unresolved, ClaimCheck.Mean(Loss(20.5, 1), Db(20), _two).Verdict);
        Assert.Equal(ClaimVerdict.Contradicted, ClaimCheck.Mean(Loss(24, 1), Db(20), _two).Verdict); // 24 − 1.96
        Assert.Equal(ClaimVerdict.Unresolved, ClaimCheck.Mean(Loss(23.9, 1), Db(20), _two).Verdict);
    }

    private static WearerPrediction Predicted(double mean, double deviation)
    {
        var noise = Spectrum.Of(PublishedAttenuation.RatingBands, [100, 95, 90, 85, 80, 75, 70.0]);
        return WearerPrediction.Of(noise, PublishedAttenuation.Of(PublishedAttenuation.RatingBands.ToDictionary(b => b, _ => new BandAttenuation(Db(mean), Db(deviation))), 1000, AttenuationBasis.EarMicrophone));
    }

    [Fact]
    public void Published_octaves_are_compared_by_the_difference_of_two_distributions()
    {
        // A thousand people and a flat loss: predicted N(25, 3), measured N(22, 4), so the difference is N(−3, 5).
        var comparison = ClaimCheck.AgainstPublished(Loss(22, 4), Predicted(25, 3));
        Assert.Equal(-3, comparison.Difference.Decibels, 0.01);
        Assert.Equal(-3 - 1.96 * 5, comparison.Low.Decibels, 0.05); // t of 999 degrees of freedom, √(1 + 1/1000), 999 nodes
        Assert.Equal(-3 + 1.96 * 5, comparison.High.Decibels, 0.05);
        Assert.Equal(Gaussian.Cdf(0.6), comparison.ProbabilityBelow, 0.002);
        Assert.Equal(PublishedStanding.Consistent, comparison.Standing);
        Assert.Equal(PublishedStanding.Below, ClaimCheck.AgainstPublished(Loss(12, 4), Predicted(25, 3)).Standing);
        Assert.Equal(PublishedStanding.Above, ClaimCheck.AgainstPublished(Loss(38, 4), Predicted(25, 3)).Standing);
    }

    [Fact]
    public void A_label_is_contradicted_only_below_its_95_percent_value_with_a_checked_fit()
    {
        var measured = Loss(12, 1);
        Assert.Equal(ClaimVerdict.Unresolved, ClaimCheck.AgainstLabel(measured, Db(20), null, fitChecked: true).Verdict);
        Assert.Equal(ClaimVerdict.Unresolved, ClaimCheck.AgainstLabel(measured, Db(20), Db(15), fitChecked: false).Verdict);
        Assert.Equal(ClaimVerdict.Contradicted, ClaimCheck.AgainstLabel(measured, Db(20), Db(15), fitChecked: true).Verdict);
        Assert.Equal(ClaimVerdict.Unresolved, ClaimCheck.AgainstLabel(measured, Db(20), Db(13), fitChecked: true).Verdict);
        Assert.Contains("8.0 dB below", ClaimCheck.AgainstLabel(measured, Db(20), null, fitChecked: true).Sentence, StringComparison.Ordinal);
    }

    /// <summary>One plug in a piston-aircraft-like cabin with C − A of 11.8 dB: reductions of 18.7 (SNR), 10.6 (NRR, C) and 15.5 dB(A) (NRR − 7) were computed outside
    /// this project; they belong to an SNR of 30.5 and an NRR of 22.4 or 22.5, so all three formulas are at work.</summary>
    [Fact]
    public void Single_numbers_disagree_in_a_low_frequency_cabin()
    {
        var (a, c) = (Level.FromDecibels(100), Level.FromDecibels(111.8));
        Assert.Equal(18.7, (a - EarLevelPrediction.BySnr(c, Db(30.5))).Decibels, 1e-9);
        Assert.Equal(10.6, (a - EarLevelPrediction.ByNrr(c, Db(22.4))).Decibels, 1e-9);
        Assert.Equal(15.4, (a - EarLevelPrediction.ByNrrFromA(a, Db(22.4))).Decibels, 1e-9); // published as 15.5: the NRR's own rounding
    }

    [Fact]
    public void More_measured_loss_never_turns_a_claim_down() => Gen.Select(Gen.Double[5, 40], Gen.Double[0.2, 5], Gen.Double[5, 40], Gen.Double[0, 10]).Sample((mean, sd, claim, more) =>
        ClaimCheck.AtLeast(Loss(mean + more, sd), Db(claim), _two).Probability >= ClaimCheck.AtLeast(Loss(mean, sd), Db(claim), _two).Probability - 1e-12);

    [Fact]
    public void Every_kind_of_published_figure_has_its_reasons() =>
        Assert.All(Enum.GetValues<PublishedKind>(), k => Assert.All(Comparability.Of(k), d => Assert.True(d.UsualLow < d.UsualHigh && d.Source.Length > 0)));
}
