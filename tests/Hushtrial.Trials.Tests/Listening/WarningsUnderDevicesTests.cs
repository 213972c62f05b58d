using Hushtrial.Hearing.Audibility;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Listening;

/// <summary>Noise of 70 dB in every octave under the device, 90 dB outside, and a horn in the octave at 2 kHz.</summary>
public sealed class WarningsUnderDevicesTests
{
    private static WarningAnswer Horn(double outside, double uncertainty, SoundWay way = SoundWay.Air, double[]? oak = null) => NotedTrial.Analyse(NotedTrial.Octaves,
        new Dictionary<string, double[]> { ["open"] = NotedTrial.Flat(90, 6), ["oak"] = oak ?? NotedTrial.Flat(70, 6) },
        new(null, [new("horn", "Horn", null, way, null, null, [KeyValuePair.Create(Band.Octave(1), outside)], uncertainty)], [], null)).Listening!.Warnings.Single();

    private static ConditionWarning Of(WarningAnswer answer, string condition) => answer.Conditions.Single(c => c.Condition == condition);

    /// <summary>A horn 15 dB over the noise is heard and one 5 dB under it is not, with the open ear and under a device alike: both lose the same. The rule's 10 dB for octaves are
    /// those of ISO 7731, from memory.</summary>
    [Theory]
    [InlineData(15, AudibilityVerdict.Audible)]
    [InlineData(5, AudibilityVerdict.Doubtful)]
    [InlineData(-5, AudibilityVerdict.Inaudible)]
    public void A_horn_15_dB_over_the_noise_is_heard_and_one_5_dB_under_is_not(double over, AudibilityVerdict verdict)
    {
        var horn = Horn(90 + over, 0.1);
        Assert.All(horn.Conditions, c => Assert.Equal(verdict, c.Verdict));
        Assert.All(horn.Conditions, c => Assert.Equal(over, c.Excess!.Value, 0.05));
        Assert.Contains("Confirm by ear before flight.", horn.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Heard_is_said_only_when_the_lower_limit_meets_the_rule()
    {
        // 12 dB over the noise, 10 asked for: a standard uncertainty of 2 dB takes 3.9 dB off.
        Assert.Equal(AudibilityVerdict.Audible, Of(Horn(105, 0.1), "oak").Verdict);
        var doubtful = Of(Horn(102, 2), "oak");
        Assert.Equal(AudibilityVerdict.Doubtful, doubtful.Verdict);
        Assert.True(doubtful.Excess!.Value > 10 && doubtful.Excess.Low < 10);
    }

    /// <summary>ISO 389-7: the threshold of hearing near 2 kHz is −1.5 dB in the diffuse field. A device that leaves noise of −40 dB leaves a horn of 3 dB to the threshold alone.</summary>
    [Fact]
    public void Under_a_very_deep_loss_the_threshold_of_hearing_masks()
    {
        var oak = Of(Horn(133, 0.1, oak: NotedTrial.Flat(-40, 6)), "oak");
        Assert.Equal(3 + 1.5, oak.Excess!.Value, 0.1);
    }

    [Fact]
    public void A_warning_of_the_headset_itself_loses_nothing()
    {
        var horn = Horn(85, 0.1, SoundWay.Headset);
        Assert.Equal(15, Of(horn, "oak").Excess!.Value, 0.05);
        Assert.Null(Of(horn, "open").Verdict);
        Assert.Contains("headset alone", Of(horn, "open").WhyNot, StringComparison.Ordinal);
    }

    [Fact]
    public void Low_frequency_noise_that_a_device_lets_through_hides_a_warning_that_the_open_ear_hears()
    {
        // 250 Hz loses nothing, everything else 30 dB: the masked threshold at 2 kHz is 90 − 3 · 7.5 = 67.5 dB, and the horn that is left stands 30 dB lower than outside.
        double[] leaky = [90, 60, 60, 60, 60, 60];
        Assert.Equal(12.5, Of(Horn(110, 0.1, oak: leaky), "oak").Excess!.Value, 0.1);
        var quiet = Horn(105, 0.1, oak: leaky);
        Assert.Equal((AudibilityVerdict.Audible, AudibilityVerdict.Doubtful), (Of(quiet, "open").Verdict, Of(quiet, "oak").Verdict));
        var results = NotedTrial.Analyse(NotedTrial.Octaves, new Dictionary<string, double[]> { ["open"] = NotedTrial.Flat(90, 6), ["oak"] = leaky },
            new(null, [new("horn", "Horn", null, SoundWay.Air, null, null, [KeyValuePair.Create(Band.Octave(1), 105.0)], 0.1)], [], null));
        Assert.Contains("Horn may be missed under oak, and is clearly heard with the open ear. Confirm by ear before flight.", results.Listening!.Cautions);
        Assert.Contains(AudibilityRule.Caution, results.Listening.Cautions);
    }

    /// <summary>The ground is quiet: hearing it there proves nothing for the cabin, not hearing it there everything.</summary>
    [Theory]
    [InlineData(GroundHearing.Clearly, 105, AudibilityVerdict.Audible, "clearly under oak")]
    [InlineData(GroundHearing.Clearly, 85, AudibilityVerdict.Inaudible, "clearly under oak")]
    [InlineData(GroundHearing.Faintly, 105, AudibilityVerdict.Doubtful, "faintly under oak")]
    [InlineData(GroundHearing.Not, 105, AudibilityVerdict.Doubtful, "not under oak")]
    public void What_was_heard_by_ear_on_the_ground_makes_no_verdict_better_and_some_worse(GroundHearing heard, double level, AudibilityVerdict verdict, string words)
    {
        var results = NotedTrial.Analyse(NotedTrial.Octaves, new Dictionary<string, double[]> { ["open"] = NotedTrial.Flat(90, 6), ["oak"] = NotedTrial.Flat(70, 6) },
            new(null, [new("horn", "Horn", null, SoundWay.Air, null, null, [KeyValuePair.Create(Band.Octave(1), level)], 0.1) { Under = [new("oak", null, null, heard, "the observer, three times")] }], [], null));
        var horn = results.Listening!.Warnings.Single();
        Assert.Equal((verdict, heard, "the observer, three times", false), (Of(horn, "oak").Verdict, Of(horn, "oak").HeardOnGround!.Value, Of(horn, "oak").HeardBy, Of(horn, "oak").RecordedUnder));
        Assert.Null(Of(horn, "open").HeardOnGround);
        Assert.EndsWith($"Confirm by ear before flight. By ear on the ground it was heard {words}.", horn.Sentence, StringComparison.Ordinal);
        Assert.Equal(heard != GroundHearing.Clearly, results.Listening.Cautions.Any(c => c.Contains("by ear on the ground under oak, where it is quiet: find another way, or do not use it.", StringComparison.Ordinal)));
    }

    [Fact]
    public void Very_quiet_at_the_ear_is_a_caution_and_no_verdict()
    {
        TrialListening With(double level) => NotedTrial.Analyse(NotedTrial.Octaves, new Dictionary<string, double[]> { ["open"] = NotedTrial.Flat(90, 6), ["oak"] = NotedTrial.Flat(level, 6) }, new(null, [], [], 5)).Listening!;
        Assert.Contains(With(50).Cautions, c => c.Contains("very quiet at the ear", StringComparison.Ordinal) && c.Contains("no limit", StringComparison.Ordinal));
        Assert.DoesNotContain(With(70).Cautions, c => c.Contains("very quiet", StringComparison.Ordinal));
    }
}
