using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Summary;
using ExposureStanding = Hushtrial.Hearing.Exposure.Standing;

namespace Hushtrial.Trials.Tests.Summary;

public class ExposureAtEarTests
{
    private static Estimate Level(double value, double sd) => new(value, value - (1.96 * sd), value + (1.96 * sd), sd, null, []);

    private static SpectrumEffect Spectrum(double value, double sd) => new(new Effect(null, Level(value, sd), null), null, []);

    private static TrialExposure Of(double ear, double sd, params (string, string)[] stated)
    {
        var device = new Device("alder", "Alder", DeviceKind.OverEar, true, null, null, [], null);
        var condition = new Condition("alder", "alder", "passive", []);
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("t", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.Sequential,
            Devices = [device], Conditions = [condition], Runs = [], Takes = [], Exposure = [.. stated.Select(s => KeyValuePair.Create(s.Item1, s.Item2))],
        };
        return ExposureAtEar.Of(document, [new(condition, device, "Alder", 2, 2, new(null, null, []), Spectrum(ear, sd), null, [], false)], Spectrum(100, 0.5), "tone of 94 dB")!;
    }

    [Fact]
    public void Hours_and_limits_are_those_of_the_rule()
    {
        // NIOSH 98-126: 88 dB(A) for 4 h is 100 %; the EU limit of 87 dB(A) over 8 h is reached at 84 dB(A) after 16 h.
        var alder = Of(88, 0.5, ("rules", "eu, niosh"), ("hours_per_day", "4")).Conditions[1];
        Assert.Equal(100, alder.Rules[1].DosePercent!.Value.Best, 0.5); // 3 dB stand for a factor of two, 3.0103 dB for the energy
        Assert.Equal(4, alder.Rules[1].AllowedTime!.Value.Best.TotalHours, 0.02);
        Assert.Equal(85, alder.Day!.Value.Best.Decibels, 0.02);
        Assert.Null(alder.OffShare);
    }

    /// <summary>The UK regulator's figures for time off: 25 dB worn, 2 minutes in 60 off, leaves 14 dB.</summary>
    [Fact]
    public void Time_off_counts_at_the_open_ear()
    {
        var alder = Of(75, 0.5, ("rules", "eu"), ("hours_per_day", "8"), ("off_minutes", "16")).Conditions[1];
        Assert.Equal(14, (100 - alder.Day!.Value.Best.Decibels), 0.5); // published in whole decibels
        Assert.InRange(alder.OffShare!.Value, 0.9, 0.95);
    }

    [Fact]
    public void Below_is_said_only_when_the_one_sided_upper_level_is_below()
    {
        ExposureStanding Limit(double ear, double sd) => Of(ear, sd, ("rules", "eu"), ("hours_per_day", "8")).Conditions[1].Rules[0].Thresholds.Single(t => t.Threshold.ProtectorCounted).Standing;
        Assert.Equal(ExposureStanding.Below, Limit(85, 1)); // 85 + 1.65 is below 87
        Assert.Equal(ExposureStanding.Unresolved, Limit(85.5, 1));
        Assert.Equal(ExposureStanding.Above, Limit(89, 1));
    }

    [Fact]
    public void Without_hours_there_is_no_dose_and_one_rule_for_orientation()
    {
        var exposure = Of(79, 1);
        Assert.False(exposure.RulesStated);
        var rule = Assert.Single(exposure.Conditions[1].Rules);
        Assert.Equal(("niosh", (Bounded<double>?)null, (Bounded<Level>?)null), (rule.Rules.Id, rule.DosePercent, exposure.Conditions[1].Day));
        Assert.Equal(32, rule.AllowedTime!.Value.Best.TotalHours, 1e-9); // 8 h · 2^((85 − 79)/3)
        Assert.True(rule.AllowedTime.Value.Upper < rule.AllowedTime.Value.Best);
        Assert.Contains("not stated", exposure.Sentence, StringComparison.Ordinal);
        Assert.Contains(exposure.Cautions, c => c.Contains("nothing was converted", StringComparison.Ordinal));
    }
}
