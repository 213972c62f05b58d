using System.Globalization;
using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;
using Hushtrial.Tests;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Listening;

public sealed class SpeechUnderDevicesTests
{
    /// <summary>ANSI S3.5-1997, Annex C, examples C.1 and C.2, as noted band levels under a device, through the whole analysis. The level under the device is the single reading; 1e-4 is what
    /// the integration over the scatters leaves of it (0.01 dB at most, method 2.2).</summary>
    [Theory]
    [InlineData("C.1", BandFraction.Octave, SpeechProcedure.Octave)]
    [InlineData("C.2", BandFraction.ThirdOctave, SpeechProcedure.ThirdOctave)]
    public void The_published_examples_come_out_of_a_trial(string name, BandFraction fraction, SpeechProcedure procedure)
    {
        var row = Reference.Read("speech/sii-examples.csv").Single(r => r["case"] == name);
        var bands = fraction == BandFraction.Octave ? NotedTrial.Octaves : NotedTrial.Thirds;
        var results = NotedTrial.Analyse(bands, new Dictionary<string, double[]> { ["open"] = NotedTrial.Flat(90, bands.Length), ["oak"] = BandLevels(row["noise"], bands) }, NotedTrial.Speech(bands, BandLevels(row["speech"], bands)));
        var oak = results.Listening!.Speech!.Conditions.Single(c => c.Condition == "oak");
        Assert.Equal(procedure, results.Listening.Speech.Procedure);
        Assert.Equal(row.Number("sii"), oak.Index!.Value, 1e-4);
        Assert.InRange(oak.Index.Value, oak.Index.Low, oak.Index.High);
        Assert.True(oak.Index.High > oak.Index.Low);
    }

    /// <summary>ANSI S3.5-1997, working-group file 'normal speech in quiet': 0.996, spoken in the air at the open ear; an even loss of 10 dB in quiet changes little.</summary>
    [Fact]
    public void Normal_speech_through_the_air_in_quiet_is_understood()
    {
        var plan = new ListeningPlan(new(SoundWay.Air, null, VocalEffort.Normal, [], null, null, 0.1, ListeningRule.FixedVolume, null, null), [], [], null);
        var quiet = BandLevels(string.Join(';', Enumerable.Repeat("-80", 18)), NotedTrial.Thirds);
        var rows = NotedTrial.Analyse(NotedTrial.Thirds, new Dictionary<string, double[]> { ["open"] = quiet, ["oak"] = [.. quiet.Select(l => l - 10)] }, plan).Listening!.Speech!.Conditions;
        Assert.Equal(0.99583, rows[0].Index!.Value, 1e-4);
        Assert.Equal(rows[0].SpeechLevelA!.Value - 10, rows[1].SpeechLevelA!.Value, 0.01);
        Assert.Empty(rows[1].ByRule);
    }

    /// <summary>Field data, 'Headset exposure and environmental noise', Canadian Acoustics: 0.42 dB per dB. A device 10 dB quieter: nothing, 4.2 dB or 10 dB less speech.</summary>
    [Theory]
    [InlineData(ListeningRule.FixedVolume, 0)]
    [InlineData(ListeningRule.FollowsNoise, -4.2)]
    [InlineData(ListeningRule.FixedRatio, -10)]
    public void A_quieter_device_changes_the_speech_by_its_rule(ListeningRule rule, double change)
    {
        var results = NotedTrial.Analyse(NotedTrial.Octaves, new Dictionary<string, double[]> { ["open"] = NotedTrial.Flat(90, 6), ["oak"] = NotedTrial.Flat(70, 6), ["elm"] = NotedTrial.Flat(60, 6) }, NotedTrial.Radio(75, rule, "oak"));
        var elm = results.Listening!.Speech!.Conditions.Single(c => c.Condition == "elm");
        Assert.Equal(75 + change, elm.SpeechLevelA!.Value, 0.02);
        Assert.Equal(elm.Index!.Value, elm.ByRule.Single(r => r.Key == rule).Value, 1e-12);
        Assert.Equal(3, elm.ByRule.Count);
        // More speech over the same noise is understood better until it distorts.
        Assert.True(elm.ByRule.Single(r => r.Key == ListeningRule.FixedRatio).Value < elm.ByRule.Single(r => r.Key == ListeningRule.FollowsNoise).Value);
    }

    [Fact]
    public void The_interval_grows_with_the_uncertainty_of_noise_and_of_speech()
    {
        Interval Width(double meter, double speech) => NotedTrial.Analyse(NotedTrial.Octaves, new Dictionary<string, double[]> { ["open"] = NotedTrial.Flat(90, 6), ["oak"] = NotedTrial.Flat(70, 6) },
            NotedTrial.Radio(75) with { Speech = NotedTrial.Radio(75).Speech! with { Uncertainty = speech } }, more: d => d with { MeterUncertainty = meter }).Listening!.Speech!.Conditions.Single(c => c.Condition == "oak").Index!;
        double Of(Interval i) => i.High - i.Low;
        var least = Of(Width(0.1, 0.1));
        Assert.True(Of(Width(2, 0.1)) > least + 0.02);
        Assert.True(Of(Width(0.1, 2)) > least + 0.02);
    }

    [Fact]
    public void Without_calibration_nothing_is_said_of_speech_and_why_is()
    {
        var results = NotedTrial.Analyse(NotedTrial.Octaves, new Dictionary<string, double[]> { ["open"] = NotedTrial.Flat(90, 6), ["oak"] = NotedTrial.Flat(70, 6) }, NotedTrial.Radio(75) with
        {
            OneEarOffPercent = 10,
            Warnings = [new("horn", "Horn", null, SoundWay.Air, null, null, [KeyValuePair.Create(Band.Octave(1), 100.0)], 1)],
        }, calibrated: false);
        Assert.Equal(TrialMode.Relative, results.Mode);
        Assert.Empty(results.Listening!.Speech!.Conditions);
        Assert.Contains("not calibrated", results.Listening.Speech.Sentence, StringComparison.Ordinal);
        Assert.Null(results.Listening.OneEarOff);
        var horn = Assert.Single(results.Listening.Warnings);
        Assert.Empty(horn.Conditions);
        Assert.Null(horn.LevelA);
        Assert.Contains("not calibrated", horn.Sentence, StringComparison.Ordinal);
        Assert.Contains("Confirm by ear before flight.", horn.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void A_missing_band_is_named_and_no_index_is_made_up()
    {
        Band[] bands = [.. NotedTrial.Octaves.Take(5)];
        var oak = NotedTrial.Analyse(bands, new Dictionary<string, double[]> { ["open"] = NotedTrial.Flat(90, 5), ["oak"] = NotedTrial.Flat(70, 5) }, NotedTrial.Radio(75)).Listening!.Speech!.Conditions.Single(c => c.Condition == "oak");
        Assert.Null(oak.Index);
        Assert.Contains("8 kHz", oak.WhyNot, StringComparison.Ordinal);
    }

    private static double[] BandLevels(string spectrumLevels, Band[] bands) => [.. spectrumLevels.Split(';').Zip(bands, (l, b) => double.Parse(l, CultureInfo.InvariantCulture)
        + (10 * Math.Log10(b.NominalHertz * (b.Fraction == BandFraction.Octave ? Math.Sqrt(0.5) : Math.Pow(2, 1 / 6.0) - Math.Pow(2, -1 / 6.0)))))];
}
