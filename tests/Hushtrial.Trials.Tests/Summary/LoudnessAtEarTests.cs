using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Summary;

namespace Hushtrial.Trials.Tests.Summary;

public class LoudnessAtEarTests
{
    private static Effect Value(double value) => new(null, new(value, value - 2, value + 2, 1, null, []), null);

    private static SpectrumEffect Bands(double value, IEnumerable<Band> bands, Band? untrusted = null) => new(null, null, [.. bands.Select(b => new BandEffect(b, Value(value), b != untrusted, null))]);

    private static ConditionLoudness Of(double loss, IEnumerable<Band> bands, Band? untrusted = null, bool open = true)
    {
        var device = new Device("alder", "Alder", DeviceKind.OverEar, true, null, null, [], null);
        var condition = new Condition("alder", "alder", "passive", []);
        var document = new TrialDocument { Schema = 1, Identity = new("t", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.Sequential,
            Devices = [device], Conditions = [condition], Runs = [], Takes = [] };
        return Assert.Single(LoudnessAtEar.Of(document, [new(condition, device, "Alder", 2, 2, Bands(loss, bands), Bands(80 - loss, bands, untrusted), null, [], false)], open ? Bands(80, StationaryLoudness.Bands) : null));
    }

    [Fact]
    public void Ten_dB_less_in_every_band_is_about_half_as_loud()
    {
        // Common practice, and ISO 532-1: 2 sone per sone for 10 phon; a broadband noise at 70 to 80 dB per band follows it within a tenth.
        var comparison = Of(10, StationaryLoudness.Bands).Comparison!;
        Assert.Equal(0.5, comparison.LoudnessRatio.Value, 0.05);
        Assert.Equal(0.1, comparison.EnergyRatio.Value, 1e-9);
        Assert.True(comparison.LoudnessRatio.Low < comparison.LoudnessRatio.Value && comparison.LoudnessRatio.Value < comparison.LoudnessRatio.High);
    }

    [Fact]
    public void A_missing_or_untrusted_band_is_named()
    {
        Assert.Contains("the band at 10 kHz", Of(10, StationaryLoudness.Bands, Band.ThirdOctave(10)).WhyNot, StringComparison.Ordinal);
        Assert.Contains("the bands at 25 Hz, 31.5 Hz", Of(10, StationaryLoudness.Bands.Skip(2)).WhyNot, StringComparison.Ordinal);
        Assert.Contains("no one-third-octave bands", Of(10, Band.Octaves).WhyNot, StringComparison.Ordinal);
        Assert.Contains("open ear", Of(10, StationaryLoudness.Bands, open: false).WhyNot, StringComparison.Ordinal);
    }

    [Fact]
    public void The_open_spectrum_of_readings_relative_to_the_outside_is_that_of_the_ear()
    {
        // Ear minus outside reads 2 dB; with 90 dB outside the open ear has 92 dB.
        var quantity = QuantityName.Of(Band.ThirdOctave(0));
        var settings = new EstimatorSettings(OutsideChannel: true);
        var fits = Estimator.FitAll([new("F", null, 0, "F/1", null, "open", new Dictionary<string, double> { [quantity] = 2 }), new("F", null, 60, "F/2", "d", "alder", new Dictionary<string, double> { [quantity] = -18 })], [], [quantity], settings);
        var open = ReferenceSpectrum.Open(new(settings, fits, [Band.ThirdOctave(0)]), new Dictionary<string, double> { [quantity] = 90 });
        Assert.Equal(92, open[Band.ThirdOctave(0)], 1e-6);
    }
}
