using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Summary;

/// <summary>Weeks, peaks and recorded cabins on a small trial of white noise whose loss, 20 dB in every band, is known. Invented data: sums by hand are what is tested.</summary>
public sealed class WeekTests
{
    private static TrialResults Results(bool calibrated, params WeekDay[] week) => Results(calibrated, [], week);

    private static TrialResults Results(bool calibrated, IReadOnlyList<CabinEntry> cabins, params WeekDay[] week)
    {
        var trial = AnalysisTests.Trial(new AnalysisTests.Made("open", 0), new("oak", 20), new("oak", 20), new("open", 0));
        return AnalysisTests.Analyse(trial with
        {
            Document = trial.Document with
            {
                Exposure = [new("rules", "eu, niosh")], Week = week, Cabins = cabins,
                Calibrations = calibrated ? [new("ear", CalibrationKind.Sensitivity, null, null, null, 130, null, FrequencyWeighting.Z, 0.1, null, null, null, "")] : [],
            },
        });
    }

    private static WeekSegment Worn(double hours, double off = 0, bool oneEar = false, double? comms = null, double share = 0, string? cabin = null) => new(null, hours, "oak", cabin, off, oneEar, null, null, comms, share);

    private static double Open(TrialResults results) => results.OpenEarLevel!.A!.General!.Value;

    private static double Ear(TrialResults results) => results.Conditions[0].EarLevel!.A!.General!.Value;

    [Fact]
    public void Five_equal_days_are_the_week_and_half_a_day_costs_3_dB()
    {
        var results = Results(true, new WeekDay("day", 5, [Worn(4)]));
        Assert.Equal(Ear(results) - (10 * Math.Log10(2)), results.Week!.Days[0].Level.Best.Decibels, 1e-6);
        Assert.Equal(results.Week.Days[0].Level.Best.Decibels, results.Week.Level!.Value.Best.Decibels, 1e-6);
        // One day of five: 10 lg 5 less (ISO 1999:2013, as the weekly level is defined).
        Assert.Equal(Ear(results) - 3.0103 - (10 * Math.Log10(5)), Results(true, new WeekDay("day", 1, [Worn(4)])).Week!.Level!.Value.Best.Decibels, 1e-3);
    }

    [Fact]
    public void Off_time_radio_and_a_free_ear_count_and_the_worse_ear_decides()
    {
        var off = Results(true, new WeekDay("day", 5, [Worn(4, off: 24)]));
        double Energy(double level) => Math.Pow(10, level / 10);
        Assert.Equal(10 * Math.Log10(((0.9 * Energy(Ear(off))) + (0.1 * Energy(Open(off)))) / 2), off.Week!.Days[0].Level.Best.Decibels, 1e-6);
        var free = Results(true, new WeekDay("day", 5, [Worn(4, oneEar: true)]));
        Assert.Equal(Open(free) - 3.0103, free.Week!.Days[0].Level.Best.Decibels, 1e-3);
        var radio = Results(true, new WeekDay("day", 5, [Worn(8, comms: 95, share: 25)]));
        Assert.Equal(10 * Math.Log10(Energy(Ear(radio)) + (0.25 * Energy(95))), radio.Week!.Days[0].Level.Best.Decibels, 1e-6);
    }

    [Fact]
    public void The_week_stands_against_rules_that_know_one_and_the_day_against_the_others()
    {
        var results = Results(true, new WeekDay("loud", 1, [new("ramp", 8, null, null, 0, false, 89, 0.5, null, 0)]), new WeekDay("quiet", 4, [new("desk", 8, null, null, 0, false, 60, 0.5, null, 0)]));
        // 89 dB on one day of five: 82 dB over the week; four days of 60 dB add 0.02 dB.
        Assert.Equal(89 - (10 * Math.Log10(5)), results.Week!.Level!.Value.Best.Decibels, 0.03);
        WeekStanding Of(double level) => results.Week.Standings.Single(s => s.Rules.Id == "eu" && s.Threshold.Level.Decibels == level);
        Assert.Equal((Standing.Below, Standing.Below, Standing.Above), (Of(87).Standing, Of(85).Standing, Of(80).Standing));
        Assert.DoesNotContain(results.Week.Standings, s => s.Rules.Id == "niosh");
        Assert.Equal(Standing.Above, results.Week.Days[0].Rules.Single(r => r.Rules.Id == "niosh").Thresholds[0].Standing);
        Assert.Contains("knows no week", results.Week.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_calibration_there_are_neither_week_nor_peaks_nor_levels_in_other_cabins()
    {
        var cabin = new CabinEntry("other", "Other", null, [.. Band.ThirdOctaves.Select(b => KeyValuePair.Create(b, 70.0))], null, null, null, null, null, null, null);
        var results = Results(false, [cabin], new WeekDay("day", 5, [Worn(4)]));
        Assert.Equal(TrialMode.Relative, results.Mode);
        Assert.Null(results.Week);
        Assert.Null(results.Peaks);
        Assert.Null(results.Cabins[0].LevelA);
        Assert.Null(results.Cabins[0].Conditions[0].EarLevelA);
        Assert.Equal(20, results.Cabins[0].Conditions[0].LossA!.General!.Value, 0.2);
    }

    [Fact]
    public void Peaks_fall_by_the_loss_and_stand_against_the_peak_levels()
    {
        var peaks = Results(true).Peaks!;
        Assert.Equal(130, peaks.Capacity, 1e-9);
        Assert.Equal(["open", "oak"], peaks.Conditions.Select(c => c.Condition));
        // The highest of some 10^5 samples of Gaussian noise scatters by about half a decibel.
        Assert.Equal(20, peaks.Conditions[0].Highest - peaks.Conditions[1].Highest, 1.5);
        Assert.All(peaks.Conditions, c => Assert.Equal(c.Takes.Max(), c.Highest));
        var eu = peaks.Conditions[1].Rules.Single(r => r.Rules.Id == "eu").Levels;
        Assert.All(eu, l => Assert.Equal(Standing.Below, l.Standing));
        Assert.Contains("The recorder is full at a peak of 130 dB, unweighted; no take filled it.", peaks.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void A_recorded_cabin_is_measured_and_a_span_outside_its_recording_says_so()
    {
        CabinEntry Recorded(double from, double to) => new("again", "Again", null, [], null, null, null, "run", null, from, to);
        var results = Results(true, [Recorded(1, 5)]);
        var cabin = results.Cabins.Single();
        Assert.Equal(Open(results), cabin.LevelA!.Value, 0.3);
        Assert.Equal(20, cabin.Conditions[0].LossA!.General!.Value, 0.2);
        Assert.Equal(cabin.LevelA.Value - cabin.Conditions[0].LossA!.General!.Value, cabin.Conditions[0].EarLevelA!.General!.Value, 1e-9);
        // The week takes its level from there.
        var week = Results(true, [Recorded(1, 5)], new WeekDay("day", 5, [Worn(8, cabin: "again")])).Week!;
        Assert.Equal(cabin.Conditions[0].EarLevelA!.General!.Value, week.Days[0].Level.Best.Decibels, 1e-6);
        var lost = Results(true, [Recorded(10, 400)], new WeekDay("day", 5, [Worn(8, cabin: "again")]));
        Assert.Empty(lost.Cabins[0].Conditions);
        Assert.Contains("outside", lost.Cabins[0].Sentence, StringComparison.Ordinal);
        Assert.Null(lost.Week!.Level);
        Assert.NotNull(lost.Week.WhyNot);
    }

    [Fact]
    public void Energy_shares_add_up_and_white_noise_is_carried_high_up()
    {
        var shares = Results(false).Shares;
        Assert.Equal(["open", "oak"], shares.Select(s => s.Condition));
        Assert.All(shares, s => Assert.Equal(1, s.ByBand.Values.Sum(), 1e-9));
        // White noise doubles its energy from octave to octave and A is flat to 3 dB from 1 to 8 kHz.
        Assert.All(shares, s => Assert.Equal(Band.Octave(3), s.Leading));
    }
}
