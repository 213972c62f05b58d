using CsCheck;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Exposure;

public class DayExposureTests
{
    private static readonly CalibrationStatement _calibrated = CalibrationStatement.Of("94 dB calibrator before and after");
    private static readonly TimeSpan _eight = TimeSpan.FromHours(8);

    private static EarLevel Ear(double level, double u = 0) => EarLevel.Of(Level.FromDecibels(level), LevelDifference.FromDecibels(u), _calibrated);

    private static DaySegment Segment(double hours, EarLevel? atEar, EarLevel? outside = null) =>
        new() { Name = "cruise", Duration = TimeSpan.FromHours(hours), AtEar = atEar, Outside = outside };

    [Fact]
    public void A_level_without_a_calibration_cannot_be_built() => Assert.Throws<ArgumentException>(() => CalibrationStatement.Of(" "));

    [Fact]
    public void Two_minutes_an_hour_off_leave_14_dB_of_25()
    {
        var day = DayExposure.Of([Segment(4, Ear(75), Ear(100)) with { ShareOff = 2.0 / 60 }]);
        // UK regulator's guidance prints 14 dB; the identity gives 14.4.
        Assert.Equal(100 - 14.4, day.EquivalentLevel.Best.Decibels, 0.05);
    }

    [Fact]
    public void Talk_of_10_dB_over_the_noise_for_30_percent_of_the_time_adds_6_dB()
    {
        var day = DayExposure.Of([Segment(2, Ear(80)) with { Communication = Ear(90), CommunicationShare = 0.3 }]);
        Assert.Equal(86.0, day.EquivalentLevel.Best.Decibels, 0.05); // 10 lg(1 + 0.3 · 10) = 6.02
        Assert.Equal(0.75, day.CommunicationShare, 1e-9);
        Assert.Equal(0.75, day.Parts()[0].CommunicationShare, 1e-9);
    }

    /// <summary>Müller and Schneider 2017 (airliners) and other public documents: context, with what can be recomputed from it.</summary>
    [Fact]
    public void Published_airliner_levels_follow_from_ambient_noise_and_speech()
    {
        var rows = Reference.Read("exposure/aviation.csv");
        Assert.Equal(8, rows.Count);
        var ambient = Range(rows, "flight-deck ambient, airliners");
        var under = Range(rows, "level under the headset (communication on), airliners");
        var above = Range(rows, "headset exposure above ambient (frequency-corrected)");
        Assert.Contains(rows, r => r["item"].StartsWith("speech-to-noise", StringComparison.Ordinal) && r["value"] == "about 10");
        // Speech 10 dB over the ambient noise for half to all of the time.
        foreach (var share in new[] { 0.5, 1.0 })
        {
            var rise = DayExposure.Of([Segment(8, Ear(77)) with { Communication = Ear(87), CommunicationShare = share }]).EquivalentLevel.Best.Decibels - 77;
            Assert.InRange(rise, above.Low, above.High);
        }

        // The reported ranges belong together: ambient plus rise covers what was found under the headset.
        Assert.InRange(under.Low, ambient.Low + above.Low, ambient.High + above.High);
        Assert.InRange(under.High, ambient.Low + above.Low, ambient.High + above.High);
    }

    private static (double Low, double High) Range(IReadOnlyList<IReadOnlyDictionary<string, string>> rows, string item)
    {
        var parts = Assert.Single(rows, r => r["item"] == item)["value"].Split(" to ");
        return (double.Parse(parts[0], System.Globalization.CultureInfo.InvariantCulture), double.Parse(parts[1], System.Globalization.CultureInfo.InvariantCulture));
    }

    [Fact]
    public void Without_protection_the_limit_counts_at_the_ear_and_the_action_values_outside()
    {
        var result = DayExposure.Of([Segment(8, Ear(78, 1), Ear(96, 1))]).Under(RuleSets.EuropeanUnion);
        Assert.Equal([Standing.Above, Standing.Above, Standing.Below], result.Thresholds.Select(t => t.Standing));
        var unknown = DayExposure.Of([Segment(8, Ear(78, 1))]).Under(RuleSets.EuropeanUnion);
        Assert.Equal([Standing.NotKnown, Standing.NotKnown, Standing.Below], unknown.Thresholds.Select(t => t.Standing));
    }

    [Fact]
    public void Below_needs_the_upper_limit_below()
    {
        Assert.Equal(Standing.Below, Stand(86.9, 0));
        Assert.Equal(Standing.Unresolved, Stand(86.9, 1));
        Assert.Equal(Standing.Unresolved, Stand(87.9, 1));
        Assert.Equal(Standing.Above, Stand(88.7, 1)); // 88.7 − 1.65 = 87.05

        static Standing Stand(double level, double u) => DayExposure.Of([Segment(8, Ear(level, u))]).Under(RuleSets.EuropeanUnion).Thresholds[2].Standing;
    }

    [Fact]
    public void Allowed_hours_are_a_range_and_the_upper_level_gives_the_shortest_safe_time()
    {
        var allowed = DayExposure.Of([Segment(2, Ear(88, 1.5))]).Under(RuleSets.Niosh).AllowedTime!.Value;
        Assert.Equal(4, allowed.Best.TotalHours, 1e-6);
        Assert.Equal(4 * Math.Pow(2, 1.96 * 1.5 / 3), allowed.Low.TotalHours, 1e-6);
        Assert.Equal(4 / Math.Pow(2, 1.96 * 1.5 / 3), allowed.High.TotalHours, 1e-6);
        Assert.Equal(4 / Math.Pow(2, 1.65 * 1.5 / 3), allowed.Upper.TotalHours, 1e-6);
    }

    [Fact]
    public void An_uncovered_ear_hears_the_cabin()
    {
        var day = DayExposure.Of([Segment(8, Ear(70), Ear(92)) with { OneEarUncovered = true }]);
        Assert.Equal(92, day.EquivalentLevel.Best.Decibels, 1e-9);
        Assert.Equal(70, day.Parts()[0].CoveredEar.Decibels, 1e-9);
    }

    [Fact]
    public void Ships_normalise_to_24_hours()
    {
        var level = DayExposure.Of([Segment(12, Ear(80))]).NormalisedLevel(TimeSpan.FromHours(24)).Best.Decibels;
        Assert.Equal(80 - 10 * Math.Log10(2), level, 1e-9);
        // Dose 50 % at the 80 dB(A), 24 h criterion.
        Assert.Equal(50, DayExposure.Of([Segment(12, Ear(80))]).Under(RuleSets.Ships).DosePercent.Best, 1e-6);
    }

    [Fact]
    public void Under_the_5_dB_rule_time_off_counts_at_its_own_level()
    {
        var day = DayExposure.Of([Segment(8, Ear(70), Ear(100)) with { ShareOff = 0.25 }]).Under(RuleSets.OshaPermissible);
        Assert.Equal(100, day.DosePercent.Best, 1e-9); // 2 h at 100 dB(A) allowed, 2 h taken; 70 dB(A) is not counted
    }

    [Fact]
    public void Parts_add_up_to_the_day() => Gen.Select(Gen.Double[60, 110], Gen.Double[0.1, 3]).Array[1, 6].Sample(parts =>
    {
        var day = DayExposure.Of(parts.Select(p => Segment(p.Item2, Ear(p.Item1))));
        return Math.Abs(day.Parts().Sum(p => p.ShareOfDay) - 1) < 1e-9
            && Math.Abs(day.Under(RuleSets.EuropeanUnion).DosePercent.Best - 100 * Math.Pow(10, (day.NormalisedLevel(_eight).Best.Decibels - 87) / 10)) < 1e-6 * day.Under(RuleSets.EuropeanUnion).DosePercent.Best;
    });

    [Fact]
    public void A_faulty_segment_is_refused_with_its_fault()
    {
        Assert.Contains("off-time", Refusal(Segment(1, Ear(80)) with { ShareOff = 0.1 }), StringComparison.Ordinal);
        Assert.Contains("neither", Refusal(Segment(1, null)), StringComparison.Ordinal);
        Assert.Contains("24 h", Refusal(Segment(25, Ear(80))), StringComparison.Ordinal);
        Assert.Contains("communication", Refusal(Segment(1, Ear(80)) with { CommunicationShare = 0.2 }), StringComparison.Ordinal);

        static string Refusal(DaySegment segment) => Assert.Throws<ArgumentException>(() => DayExposure.Of([segment])).Message;
    }

    [Fact]
    public void A_week_is_normalised_to_five_days()
    {
        Assert.Equal(87, WeekExposure.Level40Hours([Level.FromDecibels(87), Level.FromDecibels(87), Level.FromDecibels(87), Level.FromDecibels(87), Level.FromDecibels(87)]).Decibels, 1e-9);
        Assert.Equal(87 - 10 * Math.Log10(5), WeekExposure.Level40Hours([Level.FromDecibels(87)]).Decibels, 1e-9);
        Assert.Throws<ArgumentException>(() => WeekExposure.Level40Hours(Array.Empty<Level>()));
    }

    [Fact]
    public void Behind_a_device_the_uncertainties_combine()
    {
        var level = Ear(100, 3).Behind(LevelDifference.FromDecibels(20), LevelDifference.FromDecibels(4));
        Assert.Equal(80, level.Best.Decibels, 1e-9);
        Assert.Equal(5, level.StandardUncertainty.Decibels, 1e-9);
    }

    [Fact]
    public void Peaks_under_a_device_are_not_guessed()
    {
        var results = PeakCheck.Against(RuleSets.EuropeanUnion, Level.FromDecibels(142), null);
        Assert.Equal([Standing.Above, Standing.Above, Standing.NotKnown], results.Select(r => r.Standing));
        Assert.Equal(Standing.Below, PeakCheck.Against(RuleSets.EuropeanUnion, Level.FromDecibels(142), Level.FromDecibels(125))[2].Standing);
        Assert.Equal([Standing.Below, Standing.Below, Standing.Below], PeakCheck.Against(RuleSets.EuropeanUnion, Level.FromDecibels(130), null).Select(r => r.Standing));
    }
}
