using Hushtrial.Hearing.Cabins;
using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;
using Hushtrial.Trials.Claims;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;
using static System.FormattableString;

namespace Hushtrial.Trials.Summary;

/// <summary>Carries the band losses of every condition to the noises of other cabins.</summary>
internal sealed class OtherCabins(TrialDocument document, IReadOnlyList<ConditionResult> conditions, IReadOnlyDictionary<Band, double> open, bool absolute)
{
    // Electronics act below about 1 kHz; their limit is met by the level there. 3 dB is twice the energy.
    private const double WorthSaying = 3;
    private const double ElectronicsUpTo = 500;
    private const double TwoSided = 1.96;

    /// <summary>One result per cabin, in the document's order.</summary>
    public IReadOnlyList<CabinResult> All(IReadOnlyDictionary<string, CabinSpectrum> spectra) => [.. document.Cabins.Select(c => One(c, spectra[c.Id]))];

    private CabinResult One(CabinEntry cabin, CabinSpectrum known)
    {
        if (document.Quantity != MeasuredQuantity.InsertionLoss)
            return new(cabin, known.Basis, null, null, null, [], $"Nothing can be said of ‘{cabin.Name}’: only an insertion loss says what is left in another noise, and this trial measured another quantity.", []);
        if (known.Spectrum is not { } noise)
            return new(cabin, known.Basis, null, null, null, [], $"Nothing can be said of ‘{cabin.Name}’: {known.Basis}.", []);
        var levels = absolute && known.Absolute;
        var carried = conditions.Select(c => c.Predicted ? Predicted(c, noise, known, levels) : Measured(c, noise, known, levels)).ToList();
        double? Total(FrequencyWeighting w) => levels ? noise.Total(w).Decibels : null;
        return new(cabin, known.Basis, noise, Total(FrequencyWeighting.A), Total(FrequencyWeighting.C), carried, Sentence(cabin, carried, Total(FrequencyWeighting.A)), [.. Cautions(noise, known, carried)]);
    }

    private CarriedCondition Measured(ConditionResult condition, Spectrum noise, CabinSpectrum known, bool levels)
    {
        if (Losses(condition, document.Scope) is not { } leading) return Nothing(condition, "its loss is not known in any band");
        if (Lack(noise, leading) is { } lack) return Nothing(condition, lack);
        var a = Both(condition, noise, FrequencyWeighting.A);
        var c = Both(condition, noise, FrequencyWeighting.C);
        var (first, second) = document.Scope == EstimateScope.General ? (a.General!, c.General!) : (a.AsWorn!, c.AsWorn!);
        if (first.TooLittleKnown)
            return Nothing(condition, Invariant($"{100 * first.UnknownShare:0} % of this noise’s A-weighted energy lies in bands without a trusted loss, which could cost up to {first.UnknownCost.Decibels:0} dB"));
        if (first.High is null) return Nothing(condition, "own noise was reached in all bands that matter there");
        // The low bands weigh more in C: one weighting may be said where the other may not.
        return new(condition.Condition.Id, condition.Name, false, Loss(a), second.TooLittleKnown ? null : Loss(c), levels ? AtEar(a, known.Uncertainty) : null, levels && !second.TooLittleKnown ? AtEar(c, known.Uncertainty) : null, first.AtLeast, first.UnknownShare, null,
            [.. condition.FitsDetail.Select(f => Donning(f, noise, leading)).OfType<double>()], EnergyShares.ByOctave(first.LeftByBand), [.. Remarks(condition, noise, first, second, levels)]);
    }

    private static CarriedCondition Nothing(ConditionResult condition, string why) =>
        new(condition.Condition.Id, condition.Name, condition.Predicted, null, null, null, null, false, 0, why, [], new Dictionary<Band, double>(), []);

    /// <summary>Why a noise is too narrow to speak of weighted levels; null when it is not.</summary>
    private static string? Lack(Spectrum noise, IReadOnlyList<BandLoss> losses)
    {
        if (noise.Bands.Min().NominalHertz > 125 || noise.Bands.Max().NominalHertz < 2000) return "its bands do not reach from 125 Hz to 2 kHz, so they have no weighted level";
        return losses[0].Band.Fraction == BandFraction.Octave && noise.Fraction == BandFraction.ThirdOctave && !Band.Octaves.Any(o => o.Thirds.All(t => noise[t] is not null))
            ? "the losses are known in octaves, and no octave of that noise is whole" : null;
    }

    private static List<BandLoss>? Losses(ConditionResult condition, EstimateScope scope)
    {
        // Readings may mix octaves and one-third octaves: the finer ones count where there are any.
        var fraction = condition.Loss.Bands.Any(b => b.Band.Fraction == BandFraction.ThirdOctave) ? BandFraction.ThirdOctave : BandFraction.Octave;
        var losses = condition.Loss.Bands.Where(b => b.Band.Fraction == fraction).Select(b => b.Effect.In(scope) is { } e && (b.Valid || b.LowerBoundOnly)
            ? new BandLoss(b.Band, Db(e.Value), Db(e.Low), Db(e.High), b.LowerBoundOnly ? BandKnowledge.AtLeast : BandKnowledge.Known)
            : BandLoss.Exact(b.Band, LevelDifference.Zero) with { Knowledge = BandKnowledge.Unknown }).ToList();
        return losses.Any(l => l.Knowledge != BandKnowledge.Unknown) ? losses : null;
    }

    private static (CarriedLoss? AsWorn, CarriedLoss? General) Both(ConditionResult condition, Spectrum noise, FrequencyWeighting weighting)
    {
        CarriedLoss? In(EstimateScope scope) => Losses(condition, scope) is { } losses ? Carrying.To(noise, losses, weighting) : null;
        return (In(EstimateScope.AsWorn), In(EstimateScope.General));
    }

    private static Effect Loss((CarriedLoss? AsWorn, CarriedLoss? General) both) => new(Estimate(both.AsWorn, l => l.Loss.Decibels, l => l.Low.Decibels, l => l.High?.Decibels, null), Estimate(both.General, l => l.Loss.Decibels, l => l.Low.Decibels, l => l.High?.Decibels, null), null);

    private static Effect AtEar((CarriedLoss? AsWorn, CarriedLoss? General) both, double? uncertainty)
    {
        Estimate? One(CarriedLoss? loss) => Estimate(loss, l => l.AtEar.Decibels, l => l.High is { } h ? (l.Outside - h).Decibels : double.NaN, l => (l.Outside - l.Low).Decibels, uncertainty);
        return new(One(both.AsWorn), One(both.General), null);
    }

    private static Estimate? Estimate(CarriedLoss? loss, Func<CarriedLoss, double> value, Func<CarriedLoss, double> low, Func<CarriedLoss, double?> high, double? cabin)
    {
        if (loss?.High is null) return null;
        var (v, l, h) = (value(loss), low(loss), high(loss)!.Value);
        var own = (h - l) / (2 * TwoSided);
        var u = cabin ?? 0;
        List<BudgetLine> budget = [new("losses of the bands, moving together", own)];
        if (u > 0) budget.Add(new("levels of the other cabin", u));
        return new(v, v - Root(v - l, TwoSided * u), v + Root(h - v, TwoSided * u), Root(own, u), null, budget);
    }

    // The donning's own losses; a band that it lacks has the condition's.
    private static double? Donning(FitLoss fit, Spectrum noise, List<BandLoss> losses) => losses.All(l => !fit.Bands.ContainsKey(l.Band)) ? null
        : Carrying.To(noise, [.. losses.Select(l => l.Knowledge != BandKnowledge.Unknown && fit.Bands.TryGetValue(l.Band, out var own) ? l with { Value = Db(own), Low = Db(own), High = Db(own) } : l)], FrequencyWeighting.A).Loss.Decibels;

    private CarriedCondition Predicted(ConditionResult condition, Spectrum noise, CabinSpectrum known, bool levels)
    {
        if (PublishedOctaves.Of(condition.Device.Published) is not { } published) return Nothing(condition, "nothing usable is published");
        if (!Band.Octaves.Any(o => noise[o] is not null || o.Thirds.All(t => noise[t] is not null))) return Nothing(condition, "no octave of that noise is whole");
        var reduction = WearerPrediction.Of(noise, published).Reduction;
        var (v, l, h) = (reduction.Mean, reduction.Quantile(0.025), reduction.Quantile(0.975));
        Estimate Of(double value, double low, double high, double cabin) => new(value, value - Root(value - low, TwoSided * cabin), value + Root(high - value, TwoSided * cabin), Root(reduction.StandardUncertainty, cabin), null,
            [new("spread over wearers as published, fully correlated over bands", reduction.StandardUncertainty)]);
        var reason = "predicted from published threshold data; not measured";
        var outside = noise.Total(FrequencyWeighting.A).Decibels;
        return new(condition.Condition.Id, condition.Name, true, new(null, Of(v, l, h, 0), reason), null, levels ? new(null, Of(outside - v, outside - h, outside - l, known.Uncertainty ?? 0), reason) : null, null, false, 0, null, [],
            new Dictionary<Band, double>(), [reason]);
    }

    private IEnumerable<string> Remarks(ConditionResult condition, Spectrum noise, CarriedLoss loss, CarriedLoss c, bool levels)
    {
        if (loss.AtLeast) yield return Invariant($"{condition.Name}: at least this loss; {100 * loss.BoundedShare:0} % of what is left lies in bands in which the microphone’s own noise was reached.");
        if (loss.UnknownShare > 0.001) yield return Invariant($"{condition.Name}: {100 * loss.UnknownShare:0.#} % of the noise’s A-weighted energy lies in bands without a trusted loss; they count with the smaller loss of their neighbours (below the lowest known band with its loss less 3 dB), and the lower limit takes nothing off there.");
        if (c.TooLittleKnown) yield return Invariant($"{condition.Name}: the C-weighted loss cannot be said; {100 * c.UnknownShare:0.#} % of the noise’s C-weighted energy lies in bands without a trusted loss.");
        if (levels && condition.Condition.Mode != "passive" && Louder(noise) is { } by && by > WorthSaying)
            yield return Invariant($"{condition.Name}: below {ElectronicsUpTo:0} Hz this noise is {by:0} dB louder than the one measured in. Electronics stop above a limit, so its loss may be smaller than carried here.");
    }

    // How much louder the cabin is in the bands up to 500 Hz that both have.
    private double? Louder(Spectrum noise)
    {
        var measured = open.Where(o => o.Key.Fraction == BandFraction.ThirdOctave).ToDictionary(o => o.Key, o => o.Value);
        var bands = noise.Bands.Where(b => b.NominalHertz <= ElectronicsUpTo && b.Thirds.All(measured.ContainsKey)).ToList();
        if (bands.Count == 0) return null;
        var (there, here) = (bands.Sum(b => noise[b]!.Value.MeanSquareRatio), bands.SelectMany(b => b.Thirds).Sum(t => Math.Pow(10, measured[t] / 10)));
        return 10 * Math.Log10(there / here);
    }

    private string Sentence(CabinEntry cabin, List<CarriedCondition> carried, double? level)
    {
        var known = carried.Where(c => !c.Predicted && c.LossA?.In(document.Scope) is not null).ToList();
        if (known.Count == 0) return $"In ‘{cabin.Name}’ nothing can be said of the measured conditions: {carried.Select(c => c.WhyNot).FirstOrDefault(w => w is not null) ?? "none was measured"}.";
        var ordered = known.OrderByDescending(c => c.LossA!.In(document.Scope)!.Value).ToList();
        string Words(CarriedCondition c) => c.LossA!.In(document.Scope) is { } e ? Invariant($"{c.Name} {(c.AtLeast ? "at least " : "")}{e.Value:0.0} dB (95 %: {e.Low:0.0} to {e.High:0.0})") + (c.EarLevelA?.In(document.Scope) is { } at ? Invariant($", {at.Value:0.0} dB(A) at the ear") : "") : c.Name;
        var head = $"Carried to ‘{cabin.Name}’" + (level is { } l ? Invariant($" ({l:0.0} dB(A))") : "") + ", the measured bands give ";
        if (ordered.Count == 1) return head + Words(ordered[0]) + ".";
        var here = known.OrderByDescending(c => conditions.First(x => x.Condition.Id == c.Condition).Loss.A?.In(document.Scope)?.Value ?? double.NegativeInfinity).Select(c => c.Condition);
        return head + $"from {Words(ordered[^1])}, to {Words(ordered[0])}; by these estimates the order is {(here.SequenceEqual(ordered.Select(c => c.Condition)) ? "the same as" : "not that")} in the noise measured.";
    }

    private IEnumerable<string> Cautions(Spectrum noise, CabinSpectrum known, List<CarriedCondition> carried)
    {
        yield return "Nothing was measured in this cabin. Its levels are taken as those of the field, or of an open ear; the insertion loss is taken off them band by band.";
        if (conditions.Any(c => !c.Predicted && c.Condition.Mode != "passive"))
            yield return "The active part depends on the level: electronics stop above a limit, and can do better or worse in another noise. Their loss is carried as it was measured.";
        yield return "Seals differ from place to place: in thin air, cold or on another head a cup keeps out another amount (by theory up to 3 dB more passive loss at low frequencies at 10 000 ft than at sea level, and as much less from the electronics). The interval does not hold that.";
        yield return (document.Wearers.Count > 1 ? Invariant($"The losses are those of {document.Wearers.Count} wearers") : "The losses are those of one wearer") + "; other people’s differ by 2 to 4 dB.";
        yield return "The interval takes all bands as moving together, because a loose seal is loose in all of them, and adds what is open about where in a band the energy lies.";
        if (noise.Fraction == BandFraction.Octave && carried.Any(c => !c.Predicted && c.LossA is not null)) yield return "The cabin is known in octaves only: each was spread evenly over its one-third octaves.";
        if (known.Uncertainty is null) yield return "No uncertainty of the cabin’s levels is stated: they count as exact.";
    }

    private static double Root(double a, double b) => Math.Sqrt((a * a) + (b * b));

    private static LevelDifference Db(double value) => LevelDifference.FromDecibels(value);
}
