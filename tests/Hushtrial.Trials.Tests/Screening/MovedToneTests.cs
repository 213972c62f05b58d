using System.Globalization;
using System.Text.RegularExpressions;
using Hushtrial.Hearing.Claims;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>A tone that moves over the edge of a band between takes: the two bands beside the edge say nothing of a loss, and claims there are not tested. Invented data.</summary>
public sealed partial class MovedToneTests
{
    private const int Rate = 24_000;
    private const double Apart = 6;

    // 2 % carry 175.5 Hz over the edge at 177.8 Hz (IEC 61260-1, base ten), and none of the others over any.
    private static readonly double[] _tones = [41, 82, 123, 175.5, 246, 287, 328];

    [GeneratedRegex(@"(?<rest>[0-9.]+) dB instead of (?<with>[0-9.]+) dB", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Numbers();

    [Fact]
    public void The_bands_beside_the_edge_are_not_trusted_and_say_what_they_would_be_without_the_take()
    {
        var results = Analyse([("open", 1), ("oak", 1), ("oak", 1.02), ("open", 1), ("elm", 1), ("open", 1)]);
        Assert.Contains(results.Takes[2].Findings, f => f.Code == "TAK-025");
        var (oak, elm) = (results.Conditions[0], results.Conditions[1]);
        foreach (var hertz in new[] { 160.0, 200 })
        {
            var band = Band(oak, hertz);
            Assert.False(band.Valid);
            Assert.StartsWith("a tone stands across the edge of this band in take T2; without it", band.Reason);
            var numbers = Numbers().Match(band.Reason!);
            // The loss is 20 dB; the tone that left the one band, and joined the other, is no part of it.
            Assert.Equal(20, double.Parse(numbers.Groups["rest"].Value, CultureInfo.InvariantCulture), 0.5);
            Assert.Equal(band.Effect.General!.Value, double.Parse(numbers.Groups["with"].Value, CultureInfo.InvariantCulture), 0.051);
            Assert.True(Math.Abs(band.Effect.General.Value - 20) > 0.6, $"{hertz} Hz: {band.Effect.General.Value}");
            Assert.True(Band(elm, hertz).Valid);
        }
        Assert.All(new[] { 125.0, 250, 1000 }, hertz => Assert.True(Band(oak, hertz).Valid));
        var claims = results.Claims.Where(c => c.Condition == "oak").ToList();
        Assert.Equal(ClaimVerdict.Unresolved, claims[0].Verdict);
        Assert.StartsWith("Not tested: in the band at 160 Hz: a tone stands across the edge", claims[0].Sentence);
        Assert.DoesNotContain("Not tested", claims[1].Sentence);
        // The comparison of the two devices in that band stands on it as well.
        Assert.All(results.Pairs.Single().Bands.Where(b => b.Band.NominalHertz is 160 or 200), b => Assert.False(b.Valid));
    }

    [Fact]
    public void A_tone_that_moved_with_the_ear_open_touches_every_device_and_one_left_out_none()
    {
        var open = Analyse([("open", 1.02), ("oak", 1), ("oak", 1), ("open", 1), ("elm", 1), ("open", 1)]);
        Assert.All(open.Conditions, c => Assert.Contains("in take T0", Band(c, 160).Reason));
        var left = Analyse([("open", 1), ("oak", 1), ("oak", 1.02), ("open", 1), ("elm", 1), ("open", 1)], excluded: 2);
        Assert.All(left.Conditions, c => Assert.True(Band(c, 160).Valid));
    }

    private static BandEffect Band(ConditionResult condition, double hertz) => condition.Loss.Bands.Single(b => b.Band.Fraction == BandFraction.ThirdOctave && b.Band.NominalHertz == hertz);

    private static TrialResults Analyse((string Condition, double Speed)[] takes, int? excluded = null)
    {
        var generator = new SeededGenerator(5);
        var samples = new double[(int)(takes.Length * Apart * Rate)];
        for (var i = 0; i < samples.Length; i++)
        {
            var (condition, speed) = takes[(int)(i / (Apart * Rate))];
            var sound = 0.1 * generator.NextNormal();
            foreach (var hertz in _tones) sound += 0.03 * Math.Sin(2 * Math.PI * hertz * speed * i / Rate);
            samples[i] = 0.5 * sound * (condition == "open" ? 1 : condition == "oak" ? 0.1 : 0.2);
        }
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 1, WaveSampleFormat.Integer24)) writer.Write(samples);
        var claims = new PublishedFigures([], null, [], [new("at-least", 15, 160, "total", null, null), new("at-least", 15, 1000, "total", null, null)], null);
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("Test", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.Sequential,
            Channels = [new("ear", false, null, 1, [])], Recordings = [new("f", "f.wav", 0, "R")], Runs = [new("R", null, [])],
            Devices = [new("oak", "Oak", DeviceKind.OverEar, true, null, null, [], claims), new("elm", "Elm", DeviceKind.OverEar, true, null, null, [], null)],
            Conditions = [new("oak", "oak", "passive", []), new("elm", "elm", "passive", [])],
            Takes = [.. takes.Select((t, i) => new TakeEntry($"T{i}", "R", null, t.Condition, t.Condition == "open" ? null : t.Condition + "-1", "f", (i * Apart) + 0.5, (i * Apart) + 5.5, null, null, [], null, null,
                i == excluded ? "the power changed" : null, null, ""))],
        };
        return Analysis.Run(new(document, new Dictionary<string, Recording> { ["f"] = Recording.Open(new BufferedBytes(stream.ToArray()), "f.wav") }, [], [], "0"), null, TestContext.Current.CancellationToken);
    }
}
