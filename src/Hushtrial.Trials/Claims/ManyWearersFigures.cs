using Hushtrial.Hearing.Claims;
using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;
using static System.FormattableString;

namespace Hushtrial.Trials.Claims;

/// <summary>Holds octave data and labelled single numbers against the A-weighted loss. They are values of many wearers: one wearer neither proves nor refutes them.</summary>
internal sealed class ManyWearersFigures(TrialEffects effects, IReadOnlyList<ConditionResult> conditions, OpenNoise noise)
{
    /// <summary>The published octaves and ratings of one device on its passive conditions, or on all where none is passive.</summary>
    public IEnumerable<ClaimResult> Of(Device device)
    {
        if (device.Published is not { } published) yield break;
        var own = conditions.Where(c => !c.Predicted && c.Device.Id == device.Id).ToList();
        var passive = own.Where(c => c.Condition.Mode == "passive").ToList();
        foreach (var condition in passive.Count > 0 ? passive : own)
        {
            var quantity = new TestedQuantity(effects, condition, null);
            if (quantity.A is not { } measured) continue;
            IReadOnlyList<string> remarks = passive.Count > 0 ? [] : ["Such figures are usually made with the electronics off; this device was measured only with them on."];
            if (PublishedOctaves.Of(published) is { } attenuation && noise.Bands is { } spectrum && Band.Octaves.Any(o => spectrum[o] is not null || o.Thirds.All(t => spectrum[t] is not null)))
                yield return Octaves(condition, quantity, measured, WearerPrediction.Of(spectrum, attenuation)) with { Remarks = remarks };
            if (noise.A is not { } a || noise.C is not { } c) continue;
            foreach (var (name, reduction) in Labels(published.Ratings, a, c))
                yield return Label(condition, quantity, measured, name, reduction, c - a) with { Remarks = [.. remarks, .. Unfit(name, c - a)] };
            foreach (var name in Incomplete(published.Ratings)) yield return NotComparable(condition, quantity, name) with { Remarks = remarks };
        }
    }

    private static ClaimResult Octaves(ConditionResult condition, TestedQuantity quantity, MeasuredLoss measured, WearerPrediction prediction)
    {
        var comparison = ClaimCheck.AgainstPublished(measured, prediction);
        var predicted = new Estimate(prediction.Reduction.Mean, prediction.Reduction.Quantile(0.025), prediction.Reduction.Quantile(0.975), prediction.Reduction.StandardUncertainty, null, []);
        return new(condition.Condition.Id, condition.Name, condition.Device, PublishedFigureKind.Octaves, "published octave means and deviations", null, null, false, quantity.EffectA, predicted,
            ClaimVerdict.Unresolved, 1 - comparison.ProbabilityBelow, comparison.Sentence)
        {
            Standing = comparison.Standing,
            Comparability = Comparability.Of(PublishedKind.ThresholdOctaves),
        };
    }

    private static ClaimResult Label(ConditionResult condition, TestedQuantity quantity, MeasuredLoss measured, string name, LevelDifference reduction, LevelDifference cMinusA)
    {
        // No 95 % value is handed over: whether the fit was checked is free text, and without that a label is never contradicted.
        var outcome = ClaimCheck.AgainstLabel(measured, reduction, null, fitChecked: false);
        return new(condition.Condition.Id, condition.Name, condition.Device, PublishedFigureKind.Rating, name, reduction.Decibels, null, false, quantity.EffectA,
            new(reduction.Decibels, reduction.Decibels, reduction.Decibels, 0, null, []), outcome.Verdict, outcome.Probability,
            Invariant($"{name} predicts a reduction of {reduction.Decibels:0.0} dB here, where C − A is {cMinusA.Decibels:0.0} dB. ") + outcome.Sentence)
        {
            Comparability = Comparability.Of(PublishedKind.SingleNumber),
        };
    }

    // Ratings for A-weighted levels were made for industrial noises, whose C − A seldom exceeds a few dB (from memory; the graphical method of ANSI/ASA S12.68 is for the others).
    private static IEnumerable<string> Unfit(string name, LevelDifference cMinusA)
    {
        if (name.EndsWith("taken off dB(A)", StringComparison.Ordinal) && cMinusA.Decibels > 3)
            yield return Invariant($"A rating that is taken off dB(A) knows nothing of the spectrum; with C − A of {cMinusA.Decibels:0.0} dB it promises more than such a device can keep here.");
    }

    /// <summary>H, M or L without the other two: no rule turns them into a reduction.</summary>
    private static IEnumerable<string> Incomplete(IReadOnlyList<KeyValuePair<string, double>> ratings)
    {
        var hml = ratings.Where(r => r.Key.ToUpperInvariant() is "H" or "M" or "L").ToList();
        return hml.Count is > 0 and < 3 ? hml.Select(r => Invariant($"{r.Key.ToUpperInvariant()} {r.Value:0.#} dB")) : [];
    }

    private static ClaimResult NotComparable(ConditionResult condition, TestedQuantity quantity, string name) =>
        new(condition.Condition.Id, condition.Name, condition.Device, PublishedFigureKind.Rating, name, null, null, false, quantity.EffectA, null, ClaimVerdict.Unresolved, null,
            $"Not tested: {name} alone is not comparable with a measured loss; the rule needs H, M and L together.")
        {
            Comparability = Comparability.Of(PublishedKind.SingleNumber),
        };

    private static IEnumerable<(string Name, LevelDifference Reduction)> Labels(IReadOnlyList<KeyValuePair<string, double>> ratings, Level a, Level c)
    {
        LevelDifference? Rating(string key) => ratings.Where(r => string.Equals(r.Key, key, StringComparison.OrdinalIgnoreCase)).Select(r => (LevelDifference?)LevelDifference.FromDecibels(r.Value)).FirstOrDefault();
        if (Rating("snr") is { } snr) yield return (Invariant($"SNR {snr.Decibels:0.#} dB"), a - EarLevelPrediction.BySnr(c, snr));
        if (Rating("h") is { } h && Rating("m") is { } m && Rating("l") is { } l)
            yield return (Invariant($"H, M, L {h.Decibels:0.#}, {m.Decibels:0.#}, {l.Decibels:0.#} dB"), EarLevelPrediction.ReductionByHml(c, a, new(h, m, l, m)));
        // Scope of ANSI/ASA S12.68-2007: the NRS_A is taken off the A-weighted level. NRR(SF), likewise, and SLC80, off the C-weighted one: from memory.
        if (Rating("nrs_a") is { } nrsA) yield return (Invariant($"NRS_A {nrsA.Decibels:0.#} dB, taken off dB(A)"), nrsA);
        if (Rating("nrr_sf") is { } subject) yield return (Invariant($"NRR(SF) {subject.Decibels:0.#} dB, taken off dB(A)"), subject);
        if (Rating("slc80") is { } slc) yield return (Invariant($"SLC80 {slc.Decibels:0.#} dB, taken off dB(C)"), a - (c - slc));
        if (Rating("nrr") is { } nrr) yield return (Invariant($"NRR {nrr.Decibels:0.#} dB"), a - EarLevelPrediction.ByNrr(c, nrr));
    }
}
