using CsCheck;
using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Tests.Ratings;

public class WearerPredictionTests
{
    private static readonly Band[] _eight = [PublishedAttenuation.LowBand, .. PublishedAttenuation.RatingBands];

    private static PublishedAttenuation Device(double[] means, double deviation, int? people, AttenuationBasis basis, bool with63 = true) =>
        PublishedAttenuation.Of((with63 ? _eight : PublishedAttenuation.RatingBands).Zip(means.Skip(with63 ? 0 : 1))
            .ToDictionary(p => p.First, p => new BandAttenuation(LevelDifference.FromDecibels(p.Second), LevelDifference.FromDecibels(deviation))), people, basis);

    private static readonly double[] _flat = [.. Enumerable.Repeat(20.0, 8)];

    [Fact]
    public void A_flat_loss_has_the_prediction_interval_of_one_more_person()
    {
        var noise = Spectrum.Of(PublishedAttenuation.RatingBands, [100, 95, 90, 85, 80, 75, 70.0]);
        var prediction = WearerPrediction.Of(noise, Device(_flat, 3, 12, AttenuationBasis.EarMicrophone));
        foreach (var p in new[] { 0.025, 0.05, 0.5, 0.9, 0.975 })
            // 801 equally likely nodes: a node is an eighth of a percent, 0.02 dB at the 2.5 % point.
            Assert.Equal(20 + 3 * StudentT.Quantile(p, 11) * Math.Sqrt(1 + 1 / 12.0), prediction.Quantile(p).Decibels, 0.02);
        Assert.False(prediction.PeopleAssumed);
    }

    [Fact]
    public void Without_spread_the_reduction_is_that_of_the_octave_method()
    {
        double[] means = [8, 11, 18, 26, 31, 34, 38, 36];
        var noise = Spectrum.Of(_eight, [104, 108, 100, 94, 88, 83, 76, 70.0]);
        var device = Device(means, 0, null, AttenuationBasis.EarMicrophone);
        var prediction = WearerPrediction.Of(noise, device);
        var expected = (noise.Total(FrequencyWeighting.A) - EarLevelPrediction.ByOctaves(noise, device, ProtectionPerformance.OfPercent(50))).Decibels;
        // The octave method weighs with the printed tenths, the prediction with the exact weighting: at most 0.05 dB.
        Assert.Equal(expected, prediction.Quantile(0.5).Decibels, 0.05);
        Assert.Equal(prediction.Reduction.Mean, prediction.Quantile(0.5).Decibels, 1e-9);
        Assert.True(prediction.PeopleAssumed);
    }

    [Fact]
    public void Threshold_data_are_read_2_dB_lower_below_125_Hz()
    {
        var noise = Spectrum.Of([PublishedAttenuation.LowBand], [100.0]);
        var prediction = WearerPrediction.Of(noise, Device(_flat, 0, 16, AttenuationBasis.ThresholdShift));
        Assert.Equal(18, prediction.Reduction.Mean, 0.001);
        Assert.InRange(prediction.Reduction.StandardUncertainty, 1.1, 1.2); // 15 nodes of a normal of 1.2 dB have a little less than its deviation
    }

    [Fact]
    public void A_band_below_the_published_range_loses_up_to_6_dB()
    {
        var noise = Spectrum.Of([PublishedAttenuation.LowBand], [100.0]);
        var prediction = WearerPrediction.Of(noise, Device(_flat, 0, 16, AttenuationBasis.EarMicrophone, with63: false));
        Assert.Equal(17, prediction.Reduction.Mean, 0.001);
        Assert.InRange(prediction.Quantile(0.01).Decibels, 14, 14.3);
        Assert.Equal([PublishedAttenuation.LowBand], prediction.Extended);
    }

    [Fact]
    public void More_spread_never_narrows_the_interval() => Gen.Select(Gen.Double[5, 35].Array[8], Gen.Double[60, 110].Array[8], Gen.Double[0.5, 5]).Sample((means, levels, s) =>
    {
        var noise = Spectrum.Of(_eight, levels);
        double Width(double deviation)
        {
            var p = WearerPrediction.Of(noise, Device(means, deviation, 20, AttenuationBasis.EarMicrophone));
            return (p.Quantile(0.975) - p.Quantile(0.025)).Decibels;
        }

        return Width(s + 1) >= Width(s);
    }, iter: 30);
}
