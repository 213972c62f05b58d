using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Samples;

/// <summary>Invented results of a vineyard tractor: a phone recorder without calibration, so that only differences may be stated.</summary>
internal static class Tractor
{
    private static readonly Band[] _bands = [.. Enumerable.Range(-14, 24).Select(Band.ThirdOctave)];
    private static readonly (string Run, string Condition, string? Fit, double Level)[] _takes =
    [
        ("row-1", "open", null, -21), ("row-1", "hazel", "h1", -43), ("row-1", "maple", "m1", -39), ("row-1", "open", null, -21.4), ("row-1", "maple-glasses", "m2", -34.5), ("row-1", "hazel", "h2", -46),
        ("row-1", "open", null, -20.8),
    ];

    /// <summary>One run, two devices, one of them also worn with spectacles.</summary>
    public static TrialResults Results()
    {
        var document = Document();
        return new()
        {
            Document = document,
            Mode = TrialMode.Relative,
            RelativeReason = "The recorder was not calibrated: its readings have no known relation to sound pressure.",
            OpenSpectrum = _bands.ToDictionary(b => b, b => -30 - (0.06 * Math.Pow(b.Index + 9, 2))),
            Conditions = [Condition(document, "hazel", "Hazel, passive", 23.1, 2), Condition(document, "maple", "Maple, passive", 18.2, 1), Condition(document, "maple-glasses", "Maple, passive, with spectacles", 13.6, 1)],
            Pairs =
            [
                new("hazel", "maple", Pair(4.9, 1.0, VerdictKind.Different, "Hazel takes away 4.9 dB (95 %: 2.4 to 7.4 dB) more than Maple in these donnings."),
                    Pair(4.9, 3.4, VerdictKind.Unresolved, "Hazel and Maple cannot be told apart: differences from −4.3 to 14.1 dB remain possible."), 4),
                new("maple", "maple-glasses", Pair(4.6, 0.9, VerdictKind.Different, "Spectacles cost Maple 4.6 dB (95 %: 2.2 to 7.0 dB) in these donnings."), null, null),
            ],
            Takes = [.. document.Takes.Select((t, i) => new TakeResult(t, true, 60 + (i * 90), 30, _takes[i].Level, _takes[i].Level + 7, new Dictionary<Band, double>(), []))],
            Histories = [new("row-1", "rec", 2, 0, [.. Enumerable.Range(0, 330).Select(i => (double?)(_takes[Math.Clamp((i * 2 - 15) / 90, 0, 6)].Level + Helicopter.Wobble(i, 3)))])],
            Calibrations = [new("phone", false, null, null, null, "none")],
            Inputs = [new("trial.yaml", 2211, new string('b', 64)), new("row.wav", 63_360_044, new string('c', 64))],
            Method = new("Linear mixed model in dB, variance components integrated out over weakly informative priors", ["Donning scatter: lognormal, median 1.6 dB"], [new("Draws", "200000, seed 1")], [new("donning", 1.7)]),
            Problems = [new("CAL-001", Severity.Warning, "trial.yaml, line 12", "no calibration of channel 'phone'", "a calibration", "Differences stand; levels are not stated.", null)],
            Headline = "On this tractor Hazel and Maple cannot be told apart in general: differences from −4.3 to 14.1 dB (95 %) remain possible.",
            Version = "0.1.0",
        };
    }

    private static TrialDocument Document() => new()
    {
        Schema = 1,
        Identity = new("Ear muffs in the vineyard", null, "A. Grower", "South slope", null, null, null, null),
        Quantity = MeasuredQuantity.InsertionLoss,
        Design = TrialDesign.Sequential,
        Scope = EstimateScope.AsWorn,
        Channels = [new("phone", false, null, 1, [])],
        Devices = [new("hazel", "Hazel", DeviceKind.OverEar, true, null, null, [], null), new("maple", "Maple", DeviceKind.OverEar, true, null, null, [], null)],
        Conditions = [new("hazel", "hazel", "passive", []), new("maple", "maple", "passive", []), new("maple-glasses", "maple", "passive", ["spectacles"])],
        Runs = [new("row-1", "the lower rows", [])],
        Takes = [.. _takes.Select((t, i) => new TakeEntry($"t{i + 1}", t.Run, null, t.Condition, t.Fit, "rec", 45 + (i * 90), 75 + (i * 90), null, null, [], null, null, null, null, "line 30"))],
    };

    private static ConditionResult Condition(TrialDocument document, string id, string name, double loss, int fits)
    {
        var condition = document.Conditions.Single(c => c.Id == id);
        return new(condition, document.Devices.Single(d => d.Id == condition.Device), name, fits, fits, new(new(Helicopter.Estimate(loss, 1.1), Helicopter.Estimate(loss, 3.3),
                fits < 2 ? "based on an assumed donning scatter of 1.6 dB (0.5 to 5)" : null), Helicopter.Effect(loss - 5, 1.2, 3.3),
            [.. _bands.Select(b => new BandEffect(b, Helicopter.Effect(Helicopter.Loss(b, 0, 0) * loss / 22, 1.2, 3.5), b.Index < 9, b.Index < 9 ? null : "own noise of the recorder"))]),
            null, null, [.. Enumerable.Range(1, fits).Select(f => new FitLoss($"{id[0]}{f}", "row-1", null, 1, loss + (f * 1.5) - 2, null, _bands.ToDictionary(b => b, b => (Helicopter.Loss(b, 0, 0) * loss / 22) + f - 1.5)))], false);
    }

    private static PairVerdict Pair(double d, double sd, VerdictKind kind, string sentence) => new(Helicopter.Estimate(d, sd), d - (2.5 * sd), d + (2.5 * sd), d - (2.1 * sd), d + (2.1 * sd), kind, 0.93, 0.1, true, sentence);
}
