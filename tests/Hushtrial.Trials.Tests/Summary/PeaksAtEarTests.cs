using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Summary;

namespace Hushtrial.Trials.Tests.Summary;

public class PeaksAtEarTests
{
    /// <summary>A take of the open ear whose samples reach a share of full scale, with a C-weighted peak of 118 dB; full scale is a peak of 128 dB. Kept levels have no samples, but their findings.</summary>
    private static (bool AtLeast, string Sentence) Of(double? peak, params Problem[] findings)
    {
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("t", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.Sequential,
            Devices = [], Conditions = [], Runs = [], Takes = [], Channels = [new("ear", false, "left", 1, [])], Exposure = [new("rules", "eu")],
        };
        var signal = peak is { } p ? new ChannelSignal(new SampleShape(p, 1, 1, 1, 0, -1, 0, -1, 0.01, [], []), null!, null, 0, 128, 48000) : null;
        var take = new TakeLevels(new("T1", "R", null, TrialDocument.OpenEar, null, "run", 1, 11, null, null, [], null, null, null, null, ""), 6, 10,
            [new ChannelLevels("ear", 100, 112, new Dictionary<Band, double>()) { PeakC = 118, Signal = signal }], null, findings);
        var peaks = PeaksAtEar.Of(document, new(true, null, null!, new Dictionary<string, double> { ["ear"] = 128 }, [take], new Dictionary<string, ChannelLevels>(), [], []), [])!;
        return (peaks.Conditions[0].AtLeast, peaks.Sentence);
    }

    [Fact]
    public void A_full_recorder_is_told_by_the_samples_and_not_by_the_weighted_peak()
    {
        // Rotor noise: at 10 Hz the C-weighting takes 14.3 dB off (IEC 61672-1), so full scale can show as 118 dB(C) and less.
        var full = Of(0.999);
        Assert.True(full.AtLeast);
        Assert.Contains("The recorder is full at a peak of 128 dB, unweighted; some takes filled it, and their peaks may have been higher.", full.Sentence, StringComparison.Ordinal);
        var room = Of(0.5);
        Assert.False(room.AtLeast);
        Assert.Contains("unweighted; no take filled it.", room.Sentence, StringComparison.Ordinal);
        Assert.True(Of(null, new Problem(ClippingCheck.Code, Severity.Warning, "T1", "", "", "")).AtLeast);
        Assert.False(Of(null).AtLeast);
    }
}
