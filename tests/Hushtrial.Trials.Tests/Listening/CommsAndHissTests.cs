using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Listening;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Tests.Listening;

public sealed class CommsAndHissTests
{
    private static readonly Dictionary<string, double[]> _noise = new() { ["open"] = NotedTrial.Flat(90, 6), ["oak"] = NotedTrial.Flat(70, 6) };

    /// <summary>Speech 10 dB over the noise for 30 % of the time: 10 lg(0.7 + 0.3 · 11) = +6.0 dB (derived), three quarters of the energy.</summary>
    [Fact]
    public void Thirty_percent_of_speech_at_10_dB_over_the_noise_add_6_dB_and_leave_the_noise_alone()
    {
        var speech = 70 + (10 * Math.Log10(11));
        double[] take = [.. Enumerable.Range(0, 40).Select(i => i % 10 < 3 ? speech : 70.0)];
        var (heard, noise, talk) = CommsAsHeard.Gate(take);
        Assert.Equal(70, noise, 1e-9);
        Assert.Equal(0.3, talk, 1e-9);
        Assert.Equal(6.02, heard - noise, 0.005);
    }

    [Fact]
    public void A_steady_noise_holds_no_talk()
    {
        // Half-second levels of a cabin wander by about 0.8 dB.
        var (heard, noise, talk) = CommsAsHeard.Gate([.. Enumerable.Range(0, 40).Select(i => 70 + (0.8 * Math.Sin(i)))]);
        Assert.Equal(0, talk);
        Assert.Equal(heard, noise);
    }

    [Fact]
    public void A_take_with_radio_on_gives_the_level_as_heard_and_never_the_loss()
    {
        var louder = NotedTrial.Take(9, "oak", NotedTrial.Octaves, NotedTrial.Flat(76, 6)) with { CommsOn = true };
        var with = NotedTrial.Analyse(NotedTrial.Octaves, _noise, null, more: d => d with { Takes = [.. d.Takes, louder] });
        var without = NotedTrial.Analyse(NotedTrial.Octaves, _noise, null);
        Assert.Equal(without.Conditions[0].Loss.A!.General!.Value, with.Conditions[0].Loss.A!.General!.Value, 1e-9);
        Assert.False(with.Takes[^1].Used);
        var oak = Assert.Single(with.Listening!.Comms!.Conditions);
        Assert.Equal(6, oak.Added, 0.02);
        Assert.Equal(0.749, oak.EnergyShare, 0.002); // 1 − 10^−0.6
        Assert.Equal(oak.NoiseOnly!.Value + 6, oak.AsHeard!.Value, 0.02);
        Assert.Null(without.Listening);
    }

    /// <summary>The same 6.0 dB reckoned from a stated level and share of talk; the time allowed under a 3 dB exchange falls to a quarter: 2^(6.02/3).</summary>
    [Fact]
    public void A_stated_level_and_share_of_talk_are_reckoned_and_marked_so()
    {
        var levelA = Spectrum.Of(NotedTrial.Octaves, _noise["oak"]).Total(FrequencyWeighting.A).Decibels;
        var oak = Assert.Single(NotedTrial.Analyse(NotedTrial.Octaves, _noise, NotedTrial.Radio(levelA + 10), more: d => d with { Comms = [new("talk_share_percent", "30")] }).Listening!.Comms!.Conditions);
        Assert.True(oak.Reckoned);
        Assert.Equal(6.02, oak.Added, 0.02);
        Assert.Equal(4, oak.AllowedNoiseOnly!.Value / oak.AllowedAsHeard!.Value, 0.05);
        Assert.True(oak.AsHeard!.High - oak.AsHeard.Value > oak.NoiseOnly!.High - oak.NoiseOnly.Value);
    }

    /// <summary>The UK regulator's figure: 25 dB, 2 of 60 minutes off, leaves 14 dB, published in whole decibels.</summary>
    [Fact]
    public void One_ear_uncovered_for_two_minutes_in_sixty_keeps_14_of_25_dB()
    {
        var results = NotedTrial.Analyse(NotedTrial.Octaves, new Dictionary<string, double[]> { ["open"] = NotedTrial.Flat(90, 6), ["oak"] = NotedTrial.Flat(65, 6) }, new(null, [], [], 100 * 2 / 60.0));
        var open = results.OpenEarLevel!.A!.AsWorn!.Value;
        Assert.Equal(14, open - Assert.Single(results.Listening!.OneEarOff!.Conditions).Level.Value, 0.5);
        Assert.Contains("worse ear decides", results.Listening.OneEarOff.Sentence, StringComparison.Ordinal);
    }

    private static readonly Band _oneKilohertz = Band.ThirdOctave(0);

    private static HissAnswer Hiss(double on, double off, double own, bool absolute = true) => QuietHiss.Of(new("oak", new Dictionary<Band, double> { [_oneKilohertz] = on }, new Dictionary<Band, double> { [_oneKilohertz] = off }), "Oak",
        new Dictionary<string, ChannelLevels> { ["ear"] = new("ear", null, null, new Dictionary<Band, double> { [_oneKilohertz] = own }) }, absolute);

    /// <summary>ISO 389-7: the threshold at 1 kHz is 0.8 dB in the diffuse field.</summary>
    [Theory]
    [InlineData(20, 0, -20, HissVerdict.Heard, null)]
    [InlineData(0, -10, -20, HissVerdict.NotHeard, null)]
    [InlineData(12, 11, 10, HissVerdict.Hidden, "the microphone’s own noise")]
    [InlineData(22, 20, 5, HissVerdict.Hidden, "the noise of the room")]
    public void Hiss_is_judged_by_the_threshold_and_what_hides_it_is_named(double on, double off, double own, HissVerdict verdict, string? hiddenBy)
    {
        var hiss = Hiss(on, off, own);
        Assert.Equal((verdict, hiddenBy), (hiss.Verdict, hiss.Bands[0].HiddenBy));
        Assert.Equal(0.8, hiss.Bands[0].Threshold!.Value, 1e-9);
        if (hiddenBy is not null) Assert.Contains(hiddenBy, hiss.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void The_room_is_taken_off_by_energy()
    {
        // 3.01 dB over an equal background is the background itself again.
        Assert.Equal(20, Hiss(20 + (10 * Math.Log10(2)), 20, 0).Bands[0].Hiss!.Value, 1e-9);
    }

    [Fact]
    public void Without_calibration_only_the_rise_is_known()
    {
        var hiss = Hiss(-60, -80, -90, absolute: false);
        Assert.Equal((HissVerdict.RelativeOnly, (double?)null, (double?)null, (double?)null), (hiss.Verdict, hiss.LevelA, hiss.Bands[0].On, hiss.Bands[0].Threshold));
        Assert.Equal(20, hiss.Bands[0].Rise, 1e-9);
        Assert.Contains("without a calibration", hiss.Sentence, StringComparison.Ordinal);
    }
}
