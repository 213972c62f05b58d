using Hushtrial.Hearing.EarTransfer;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;
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

    [Fact]
    public void What_is_judged_outside_the_device_is_said_to_be_outside()
    {
        // 100 dB(A) outside, 72 dB(A) at the ear, 8 h: both US levels are judged without the protector (29 CFR 1910.95).
        var osha = Of(72, 0.5, ("rules", "osha-pel, osha-hc"), ("hours_per_day", "8"));
        Assert.Equal("With 8 h a day in this noise: outside the device, where no protector counts, the permissible exposure of 90 dB(A) and the action level of 85 dB(A) are reached or exceeded.", osha.Sentence);
        Assert.Equal("Alder: LEX,8h 72.0 dB(A) at the ear (95 %: 71.0 to 73.0); outside the device at or above the permissible exposure of 90 dB(A) (OSHA permissible exposure); "
            + "outside the device at or above the action level of 85 dB(A) (OSHA hearing conservation).", osha.Conditions[1].Sentence);
        Assert.StartsWith("Open ear: LEX,8h 100.0 dB(A) (95 %", osha.Conditions[0].Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Action_values_that_are_exceeded_stand_in_the_leading_sentence()
    {
        // Directive 2003/10/EC, article 3: the limit value counts at the ear, the action values regardless of the protector.
        Assert.Equal("With 8 h a day in this noise: at the ear, against 87 dB(A), Alder stays below, also at the one-sided 95 % upper level; "
            + "outside the device, where no protector counts, the lower action value of 80 dB(A) and the upper action value of 85 dB(A) are reached or exceeded.", Of(72, 0.5, ("rules", "eu"), ("hours_per_day", "8")).Sentence);
    }

    [Fact]
    public void What_differs_from_rule_to_rule_and_what_cannot_be_told_are_two_things()
    {
        string Said(double ear, double sd) => Of(ear, sd, ("rules", "eu, niosh"), ("hours_per_day", "8")).Sentence;
        Assert.Contains("at the ear, against 87 dB(A) and 85 dB(A), for Alder it differs from rule to rule; outside", Said(86, 0.2), StringComparison.Ordinal);
        Assert.Contains("for Alder it cannot be told; outside", Said(86, 3), StringComparison.Ordinal);
        Assert.Contains("Alder lies above; outside", Said(92, 0.5), StringComparison.Ordinal);
    }

    [Fact]
    public void A_place_in_words_is_not_called_missing()
    {
        TrialDocument With(EarMicrophone? place, params KeyValuePair<string, string>[] details) => new()
        {
            Schema = 1, Identity = new("t", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.Sequential, Devices = [], Conditions = [], Runs = [], Takes = [],
            Channels = [new("ear", false, "left", 1, details)], MicrophoneAt = place,
        };
        KeyValuePair<string, string> taped = new("position", "entrance of the ear canal, taped");
        string Words(TrialDocument d) => FieldTransfer.Of(d, [], absolute: true).Words;
        Assert.Contains("does not say where at the ear it sat", Words(With(null)), StringComparison.Ordinal);
        Assert.Contains("gives its place in words only, and ‘microphone_at’ is what the conversion needs", Words(With(null, taped)), StringComparison.Ordinal);
        Assert.DoesNotContain("microphone_at", Words(With(EarMicrophone.Eardrum, taped)), StringComparison.Ordinal);
        string Caution(TrialDocument d) => ExposureAtEar.Of(d, [], Spectrum(90, 0.5), "tone of 94 dB")!.Cautions.Single(c => c.Contains("nothing was converted", StringComparison.Ordinal));
        Assert.Contains("because the document does not say where the microphone sat.", Caution(With(null)), StringComparison.Ordinal);
        Assert.Contains("in words only and not as ‘microphone_at’.", Caution(With(null, taped)), StringComparison.Ordinal);
        Assert.Contains("because no transfer for the microphone’s place was at hand.", Caution(With(EarMicrophone.UnderCup, taped)), StringComparison.Ordinal);
    }
}
