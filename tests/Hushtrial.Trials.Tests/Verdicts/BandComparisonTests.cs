using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Verdicts;

namespace Hushtrial.Trials.Tests.Verdicts;

public class BandComparisonTests
{
    /// <summary>24 independent bands hold at once with 95 % (Šidák 1967), a little inside Bonferroni's 3.08; for one band it is the pointwise 1.96 of every normal table.</summary>
    [Fact]
    public void The_deviate_of_simultaneous_limits()
    {
        var z = BandComparisons.SimultaneousDeviate(24);
        Assert.Equal(0.95, Math.Pow(Gaussian.Cdf(z) - Gaussian.Cdf(-z), 24), 1e-9);
        Assert.InRange(z, 3.06, Gaussian.Quantile(1 - (0.05 / 48)));
        Assert.Equal(1.959964, BandComparisons.SimultaneousDeviate(1), 1e-6);
    }

    [Fact]
    public void A_sentence_honours_the_simultaneous_limits_and_leaves_out_untrusted_bands()
    {
        BandDifference Band(int index, double simultaneousLow, double simultaneousHigh, bool valid = true) =>
            new(Quantities.Band.ThirdOctave(index), null, new(3, 0.5, 5.5, simultaneousLow, simultaneousHigh), valid);
        // Every band excludes 0 on its own.
        Assert.Equal("Band by band, Birch and Alder can be told apart nowhere.", Sentence(Band(-9, -1, 7), Band(-8, -0.1, 6)));
        Assert.Equal("Birch keeps out more than Alder from 125 Hz to 200 Hz and at 400 Hz, and less at no band that can be told.",
            Sentence(Band(-9, 1, 7), Band(-8, 1, 6), Band(-7, 0.1, 6), Band(-6, -0.1, 6), Band(-4, 1, 6)));
        Assert.Equal("Birch keeps out more than Alder at 125 Hz, and less at 1 kHz.", Sentence(Band(-9, 1, 7), Band(-8, 1, 6, valid: false), Band(0, -6, -1)));
        Assert.Equal("Alder keeps out more than Birch at 1 kHz, and less at no band that can be told.", Sentence(Band(0, -6, -1)));
        Assert.Null(Sentence(Band(0, -6, -1, valid: false)));
        static string? Sentence(params BandDifference[] bands) => BandRanges.Sentence("Birch", "Alder", bands, EstimateScope.General);
    }

    [Fact]
    public void Modes_of_one_donning_are_compared_more_sharply_than_two_devices()
    {
        var generator = new SeededGenerator(8);
        var readings = new List<Reading>();
        var clock = 0.0;
        for (var flight = 0; flight < 3; flight++)
        {
            void Read(string? donning, double level, string condition)
            {
                for (var r = 0; r < 2; r++) readings.Add(new($"f{flight}", null, clock += 20, $"{flight}/{donning}/{condition}/{clock > 150}", donning, condition,
                    new Dictionary<string, double>(StringComparer.Ordinal) { ["LA"] = level + (0.4 * generator.NextNormal()) }));
            }
            clock = 0;
            double birch = 1.6 * generator.NextNormal(), cedar = 1.6 * generator.NextNormal();
            Read(null, 95, "open");
            Read($"b{flight}", 75 - birch, "birch-off");
            Read($"b{flight}", 68 - birch, "birch-on");
            Read($"c{flight}", 70 - cedar, "cedar-on");
            Read(null, 95, "open");
        }
        var fit = Estimator.Fit(readings, [new("birch-off"), new("birch-on"), new("cedar-on")], "LA", new EstimatorSettings());
        double paired = fit.Difference("birch-on", "birch-off").General!.StandardUncertainty, unpaired = fit.Difference("birch-on", "cedar-on").General!.StandardUncertainty;
        // Take and episode scatter of 0.4 dB against a donning scatter of 1.6 dB: less than two thirds, whatever the draw.
        Assert.True(paired < 0.67 * unpaired, $"{paired} against {unpaired}");
    }

    [Theory]
    [InlineData("passive", "passive", "", "spectacles", OnlyDifference.WornWith)]
    [InlineData("passive", "active", "spectacles", "spectacles", OnlyDifference.Mode)]
    public void One_thing_is_what_alone_differs(string firstMode, string secondMode, string firstWear, string secondWear, OnlyDifference expected)
    {
        Assert.Equal(expected, OneThing.Of(Condition("d", firstMode, firstWear), Condition("d", secondMode, secondWear)));
        Assert.Null(OneThing.Of(Condition("d", firstMode, firstWear), Condition("other", secondMode, secondWear)));
        Assert.Null(OneThing.Of(Condition("d", "passive", ""), Condition("d", "active", "spectacles")));
        static Condition Condition(string device, string mode, string wear) => new(device + mode + wear, device, mode, wear.Length == 0 ? [] : [wear]);
    }
}
