using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Summary;

namespace Hushtrial.Trials.Tests.Summary;

public class OtherCabinsTests
{
    private static readonly Band[] _octaves = [.. Enumerable.Range(-4, 8).Select(Band.Octave)];

    /// <summary>The octaves of a built cabin (97.1 dB(A); its C-weighted energy lies low); the losses at 63 Hz and, where asked, at 125 Hz are not trusted.</summary>
    private static CarriedCondition Carried(params int[] untrusted)
    {
        double[] levels = [104, 108, 100, 94, 88, 83, 76, 70], losses = [9, 11, 18, 26, 31, 34, 38, 36];
        var device = new Device("alder", "Alder", DeviceKind.OverEar, true, null, null, [], null);
        var condition = new Condition("alder", "alder", "passive", []);
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("t", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.Sequential,
            Devices = [device], Conditions = [condition], Runs = [], Takes = [], Cabins = [new CabinEntry("built", "Built cabin", null, [.. _octaves.Zip(levels, KeyValuePair.Create)], null, null, null, null, null, null, null)],
        };
        Effect Of(double loss) => new(new(loss, loss - 1, loss + 1, 0.5, null, []), new(loss, loss - 1, loss + 1, 0.5, null, []), null);
        var result = new ConditionResult(condition, device, "Alder", 2, 2, new(null, null, [.. _octaves.Select((b, i) => new BandEffect(b, Of(losses[i]), !untrusted.Contains((int)b.NominalHertz), null, false))]), null, null, [], false);
        var noise = Spectrum.Of(_octaves, levels);
        return new OtherCabins(document, [result], new Dictionary<Band, double>(), absolute: true).All(new Dictionary<string, CabinSpectrum> { ["built"] = new(noise, true, null, "invented") })[0].Conditions[0];
    }

    [Fact]
    public void Each_weighting_is_withheld_by_its_own_unknown_energy()
    {
        var whole = Carried();
        Assert.NotNull(whole.LossC);
        // At 63 Hz lie 1.2 % of the A-weighted and 22 % of the C-weighted energy (IEC 61672-1 weightings; not knowing that band could cost the C-weighted loss more than 3 dB).
        var low = Carried(63);
        Assert.NotNull(low.LossA);
        Assert.NotNull(low.EarLevelA);
        Assert.Null(low.LossC);
        Assert.Null(low.EarLevelC);
        Assert.Contains(low.Remarks, r => r.StartsWith("Alder: the C-weighted loss cannot be said; 21.9 %", StringComparison.Ordinal));
    }
}
