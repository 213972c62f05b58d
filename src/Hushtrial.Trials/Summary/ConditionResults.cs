using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Summary;

/// <summary>Puts together what was found of every measured condition.</summary>
internal sealed class ConditionResults(TrialDocument document, TrialEffects effects, BandTrust trust, IReadOnlyList<PairedLoss> losses,
    IReadOnlyDictionary<string, double>? ambient, IReadOnlyDictionary<Band, double> open, IReadOnlyList<Reading> all, FieldTransfer field)
{
    /// <summary>The conditions with at least one used reading, and those that published data predict, in the document's order.</summary>
    /// <remarks><c>ambient</c> is what to add to a fitted level to make it a level at the ear, by quantity (0, or the outside channel's mean level); null in relative mode.
    /// <c>open</c> is the mean open-ear spectrum, in relative mode re full scale. <c>all</c> are all readings, <c>field</c> the way back to the field.</remarks>
    public IReadOnlyList<ConditionResult> All()
    {
        var openA = ambient is null ? null : OpenEarLevel()?.A;
        var openField = ambient is null ? null : OpenFieldLevel()?.A;
        // A device that no microphone fits inside is predicted for the open ear; that is an insertion loss and no other quantity.
        var predicts = document.Quantity == MeasuredQuantity.InsertionLoss;
        return [.. document.Conditions.Select(c => Asked(c) ? One(c) : Read(c) ? OnlyRead(c) : IsMeasurable(c) || !predicts ? null : PublishedPrediction.Of(document, c, open, openA, openField)).OfType<ConditionResult>()];
    }

    private bool Asked(Condition condition) => Has(effects.Fits, condition);

    private bool Read(Condition condition) => document.Quantity == MeasuredQuantity.ActivePart && Has(effects.Levels, condition);

    private static bool Has(IReadOnlyDictionary<string, QuantityFit> fits, Condition condition) => fits.Values.Any(f => f.Conditions.Contains(condition.Id));

    private bool IsMeasurable(Condition condition) => document.Devices.First(d => d.Id == condition.Device).Measurable;

    /// <summary>Level of the open ear in the trial's mean noise; null in relative mode or without an open ear.</summary>
    public SpectrumEffect? OpenEarLevel() => HasOpen ? Level(TrialDocument.OpenEar) : null;

    /// <summary>The same referred to the field; null where it cannot be.</summary>
    public SpectrumEffect? OpenFieldLevel() => HasOpen ? FieldLevel(TrialDocument.OpenEar) : null;

    // A level difference has no open ear among its readings, and an active part may.
    private bool HasOpen => document.Quantity != MeasuredQuantity.LevelDifference && effects.Levels[QuantityName.A].HasOpen;

    private ConditionResult One(Condition condition)
    {
        var own = losses.Where(l => l.Condition == condition.Id).ToList();
        var loss = Quantity(effects, condition.Id, trust);
        var related = document.Quantity == MeasuredQuantity.LevelDifference || effects.FieldA is null ? null
            : new SpectrumEffect(Present(effects.FieldA.Loss(condition.Id)), effects.FieldC is { } c ? Present(c.Loss(condition.Id)) : null, []);
        return new(condition, document.Devices.First(d => d.Id == condition.Device), ConditionName.Of(document, condition),
            own.Select(l => (l.Run, l.Wearer, l.Donning)).Distinct().Count(), own.Sum(l => l.Readings), loss, Level(condition.Id),
            document.Quantity == MeasuredQuantity.InsertionLoss ? ReferenceSpectrum.LossA(open, loss, document.Scope) : null, [.. own.Select(Fit)], Predicted: false)
        { FieldLevel = FieldLevel(condition.Id), FieldLoss = related?.A is null && related?.C is null ? null : related };
    }

    // The other side of an active part: what was read under it, and no active part.
    private ConditionResult OnlyRead(Condition condition)
    {
        var readings = all.Where(r => r.Condition == condition.Id).ToList();
        return new(condition, document.Devices.First(d => d.Id == condition.Device), ConditionName.Of(document, condition),
            readings.Select(r => (r.Flight, r.Wearer, r.Donning)).Distinct().Count(), readings.Count, new(null, null, []), Level(condition.Id), null, [], Predicted: false)
        { IsReference = true, FieldLevel = FieldLevel(condition.Id) };
    }

    /// <summary>The quantity of some fits for one condition, with the trust in its bands.</summary>
    /// <param name="fits">The fits.</param>
    /// <param name="condition">The condition.</param>
    /// <param name="trust">Which bands can be trusted.</param>
    /// <param name="partner">For an active part: the condition with the electronics off.</param>
    public static SpectrumEffect Quantity(TrialEffects fits, string condition, BandTrust trust, string? partner = null) =>
        new(Present(fits.A.Loss(condition)), Present(fits.C.Loss(condition)), [.. fits.Bands.Select(b =>
        {
            var (valid, reason, bound) = trust.Loss(fits, condition, partner, b);
            var effect = fits.Of(b).Loss(condition);
            return new BandEffect(b, effect, valid && effect.General is not null, effect.General is null ? effect.Reason : reason, bound);
        })]);

    private static FitLoss Fit(PairedLoss l)
    {
        double? Of(string name) => l.Losses.TryGetValue(name, out var loss) ? loss : null;
        var bands = Band.ThirdOctaves.Concat(Band.Octaves).Where(b => l.Losses.ContainsKey(QuantityName.Of(b))).ToDictionary(b => b, b => l.Losses[QuantityName.Of(b)]);
        return new(l.Donning, l.Run, l.Wearer, l.Readings, Of(QuantityName.A), Of(QuantityName.C), bands);
    }

    private SpectrumEffect? Level(string condition) => ambient is null ? null : new(
        Present(Shift(effects.Levels[QuantityName.A].Level(condition), QuantityName.A)), Present(Shift(effects.Levels[QuantityName.C].Level(condition), QuantityName.C)),
        [.. effects.Bands.Select(b => Level(condition, b))]);

    private BandEffect Level(string condition, Band band)
    {
        var (valid, reason) = trust.Level(condition, band);
        var effect = Shift(effects.Levels[QuantityName.Of(band)].Level(condition), QuantityName.Of(band));
        return new BandEffect(band, effect, valid && effect.General is not null, effect.General is null ? effect.Reason : reason);
    }

    private SpectrumEffect? FieldLevel(string condition)
    {
        if (ambient is null || field.Source == FieldSource.None || !effects.Levels.TryGetValue(QuantityName.FieldA, out var a)) return null;
        return new(Present(Shift(a.Level(condition), QuantityName.FieldA)), effects.Levels.TryGetValue(QuantityName.FieldC, out var c) ? Present(Shift(c.Level(condition), QuantityName.FieldC)) : null,
            [.. effects.Bands.Where(field.Values.ContainsKey).Select(b => Referred(Level(condition, b)))]);
    }

    // The transfer's own uncertainty widens the interval; its shape is kept.
    private BandEffect Referred(BandEffect band)
    {
        double by = field.Values[band.Band], u = field.StandardUncertainty(band.Band);
        Estimate? Moved(Estimate? e)
        {
            if (e is null) return null;
            var wide = Math.Sqrt((e.StandardUncertainty * e.StandardUncertainty) + (u * u));
            var ratio = e.StandardUncertainty > 0 ? wide / e.StandardUncertainty : 1;
            return e with { Value = e.Value - by, Low = e.Value - by - (ratio * (e.Value - e.Low)), High = e.Value - by + (ratio * (e.High - e.Value)), StandardUncertainty = wide, Budget = [.. e.Budget, new(KnownUncertainties.FieldSourceName, u)] };
        }
        return band with { Effect = band.Effect with { AsWorn = Moved(band.Effect.AsWorn), General = Moved(band.Effect.General) } };
    }

    private static Effect? Present(Effect effect) => effect.AsWorn is null && effect.General is null ? null : effect;

    private Effect Shift(Effect effect, string quantity)
    {
        var by = ambient!.GetValueOrDefault(quantity);
        Estimate? Moved(Estimate? e) => e is null ? null : e with { Value = e.Value + by, Low = e.Low + by, High = e.High + by };
        return effect with { AsWorn = Moved(effect.AsWorn), General = Moved(effect.General) };
    }
}
