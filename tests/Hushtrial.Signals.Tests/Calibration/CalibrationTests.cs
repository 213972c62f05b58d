using CsCheck;
using Hushtrial.Quantities;

namespace Hushtrial.Signals.Tests.Calibration;

using Calibration = Hushtrial.Signals.Calibration.Calibration;

public class CalibrationTests
{
    private static Calibration Stated(double fullScale, double uncertainty = 0.2) =>
        Calibration.Stated(Level.FromDecibels(fullScale), LevelDifference.FromDecibels(uncertainty), "trial.yaml, line 4");

    [Fact]
    public void Without_calibration_there_is_no_sound_pressure_level()
    {
        Assert.Null(Calibration.None.FullScale);
        Assert.False(Calibration.None.IsUsable);
        Assert.Empty(Calibration.None.Problems);
        Assert.Throws<InvalidOperationException>(() => Calibration.None.At(Level.FromDecibels(-20)));
    }

    [Fact]
    public void A_level_re_full_scale_is_added_to_the_stated_level_of_full_scale()
    {
        Assert.Equal(100, Stated(120).At(Level.FromDecibels(-20)).Decibels);
        Assert.True(Stated(120).IsUsable);
        Assert.Null(Stated(120).Drift);
    }

    [Fact]
    public void A_meter_beside_gives_full_scale_as_reading_minus_recorded_level()
    {
        var calibration = Calibration.BesideMeter(Level.FromDecibels(91.3), FrequencyWeighting.A, Level.FromDecibels(-28.4), LevelDifference.FromDecibels(0.7), "trial.yaml, line 9");
        Assert.Equal(119.7, calibration.FullScale!.Value.Decibels, 9);
        Assert.Equal(0.7, calibration.StandardUncertainty.Decibels);
        Assert.Equal("beside a reference meter: 91.3 dB(A) read while the recording had −28.40 dB re full scale", calibration.Words);
        var silent = Calibration.BesideMeter(Level.FromDecibels(91.3), FrequencyWeighting.A, Level.FromMeanSquareRatio(0), LevelDifference.FromDecibels(0.7), "trial.yaml, line 9");
        Assert.Equal("CAL-016", Assert.Single(silent.Problems).Code);
        Assert.Null(silent.FullScale);
    }

    [Fact]
    public void Incredible_levels_and_missing_uncertainties_are_told()
    {
        Assert.Equal(Severity.Warning, Assert.Single(Stated(40).Problems, p => p.Code == "CAL-015").Severity);
        Assert.Equal("CAL-014", Assert.Single(Stated(120, 0).Problems).Code);
        Assert.False(Stated(120, -0.1).IsUsable);
    }

    [Fact]
    public void Before_and_after_give_their_mean_their_drift_and_a_wider_uncertainty()
    {
        var both = Calibration.BeforeAndAfter(Stated(120.0), Stated(119.7, 0.15), "channel left");
        Assert.Equal(119.85, both.FullScale!.Value.Decibels, 9);
        Assert.Equal(-0.3, both.Drift!.Value.Decibels, 9);
        // sqrt(0.2² + 0.3²/12).
        Assert.Equal(0.217945, both.StandardUncertainty.Decibels, 6);
        Assert.True(both.IsUsable);
    }

    [Theory]
    [InlineData(0.5, true)]
    [InlineData(-0.5, true)]
    [InlineData(0.51, false)]
    [InlineData(-0.51, false)]
    public void More_than_half_a_decibel_of_drift_discards_the_levels(double drift, bool usable)
    {
        // The limit of 0.5 dB between before and after is that of ISO 9612:2009, 12.2 (reference/levels/db-facts.csv); 96 and 0.5 are exact in binary.
        var both = Calibration.BeforeAndAfter(Stated(96), Stated(96 + drift), "channel left");
        Assert.Equal(usable, both.IsUsable);
        if (!usable) Assert.Equal(("CAL-013", 0.51), (both.Problems[0].Code, Math.Round(both.Problems[0].EffectDecibels!.Value, 9)));
    }

    [Fact]
    public void One_that_failed_leaves_the_other_with_its_problems()
    {
        var failed = Calibration.BesideMeter(Level.FromDecibels(91.3), FrequencyWeighting.C, null, LevelDifference.FromDecibels(0.7), "here");
        foreach (var one in new[] { Calibration.BeforeAndAfter(failed, Stated(120), "c"), Calibration.BeforeAndAfter(Stated(120), failed, "c") })
        {
            Assert.Equal(120, one.FullScale!.Value.Decibels);
            Assert.Null(one.Drift);
            Assert.False(one.IsUsable);
        }
        Assert.Null(Calibration.BeforeAndAfter(failed, failed, "c").FullScale);
    }

    [Fact]
    public void The_order_of_before_and_after_only_turns_the_drift() => Gen.Select(Gen.Double[100, 140], Gen.Double[-0.5, 0.5], Gen.Double[0.05, 1], Gen.Double[0.05, 1]).Sample((level, d, u, v) =>
    {
        var one = Calibration.BeforeAndAfter(Stated(level, u), Stated(level + d, v), "c");
        var two = Calibration.BeforeAndAfter(Stated(level + d, v), Stated(level, u), "c");
        Assert.Equal(one.FullScale!.Value.Decibels, two.FullScale!.Value.Decibels, 9);
        Assert.Equal(one.Drift!.Value.Decibels, -two.Drift!.Value.Decibels, 9);
        Assert.Equal(one.StandardUncertainty.Decibels, two.StandardUncertainty.Decibels, 12);
        Assert.True(one.StandardUncertainty.Decibels >= Math.Max(u, v));
    });
}
