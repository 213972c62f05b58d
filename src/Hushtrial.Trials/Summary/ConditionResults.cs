using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Summary;

/// <summary>Puts together what was found of every measured condition.</summary>
internal sealed class ConditionResults(TrialDocument document, TrialEffects effects, BandTrust trust, IReadOnlyList<PairedLoss> losses,
    IReadOnlyDictionary<string, double>? ambient, IReadOnlyDictionary<Band, double> open)
{
    /// <summary>The conditions with at least one used reading, and those that published data predict, in the document's order.</summary>
    /// <remarks><c>ambient</c> is what to add to a fitted level to make it a level at the ear, by quantity (0, or the outside channel's mean level); null in relative mode.
    /// <c>open</c> is the mean open-ear spectrum, in relative mode re full scale.</remarks>
    public IReadOnlyList<ConditionResult> All()
    {
        var openA = ambient is null ? null : OpenEarLevel()?.A;
        return [.. document.Conditions.Select(c => Measured(c) ? One(c) : IsMeasurable(c) ? null : PublishedPrediction.Of(document, c, open, openA)).OfType<ConditionResult>()];
    }

    private bool Measured(Condition condition) => effects.A.Conditions.Contains(condition.Id) || effects.Bands.Any(b => effects.Of(b).Conditions.Contains(condition.Id));

    private bool IsMeasurable(Condition condition) => document.Devices.First(d => d.Id == condition.Device).Measurable;

    /// <summary>Level of the open ear in the trial's mean noise; null in relative mode or without an open ear.</summary>
    public SpectrumEffect? OpenEarLevel() => effects.A.HasOpen ? Level(TrialDocument.OpenEar) : null;

    private ConditionResult One(Condition condition)
    {
        var own = losses.Where(l => l.Condition == condition.Id).ToList();
        var loss = new SpectrumEffect(Present(effects.A.Loss(condition.Id)), Present(effects.C.Loss(condition.Id)), [.. effects.Bands.Select(b =>
        {
            var (valid, reason, bound) = trust.Loss(condition.Id, b);
            var effect = effects.Of(b).Loss(condition.Id);
            return new BandEffect(b, effect, valid && effect.General is not null, effect.General is null ? effect.Reason : reason, bound);
        })]);
        return new(condition, document.Devices.First(d => d.Id == condition.Device), ConditionName.Of(document, condition),
            own.Select(l => (l.Run, l.Wearer, l.Donning)).Distinct().Count(), own.Sum(l => l.Readings), loss, Level(condition.Id),
            ReferenceSpectrum.LossA(open, loss, document.Scope), [.. own.Select(Fit)], Predicted: false);
    }

    private static FitLoss Fit(PairedLoss l)
    {
        double? Of(string name) => l.Losses.TryGetValue(name, out var loss) ? loss : null;
        var bands = Band.ThirdOctaves.Concat(Band.Octaves).Where(b => l.Losses.ContainsKey(QuantityName.Of(b))).ToDictionary(b => b, b => l.Losses[QuantityName.Of(b)]);
        return new(l.Donning, l.Run, l.Wearer, l.Readings, Of(QuantityName.A), Of(QuantityName.C), bands);
    }

    private SpectrumEffect? Level(string condition) => ambient is null ? null : new(
        Present(Shift(effects.A.Level(condition), QuantityName.A)), Present(Shift(effects.C.Level(condition), QuantityName.C)),
        [.. effects.Bands.Select(b =>
        {
            var (valid, reason) = trust.Level(condition, b);
            var effect = Shift(effects.Of(b).Level(condition), QuantityName.Of(b));
            return new BandEffect(b, effect, valid && effect.General is not null, effect.General is null ? effect.Reason : reason);
        })]);

    private static Effect? Present(Effect effect) => effect.AsWorn is null && effect.General is null ? null : effect;

    private Effect Shift(Effect effect, string quantity)
    {
        var by = ambient!.GetValueOrDefault(quantity);
        Estimate? Moved(Estimate? e) => e is null ? null : e with { Value = e.Value + by, Low = e.Low + by, High = e.High + by };
        return effect with { AsWorn = Moved(effect.AsWorn), General = Moved(effect.General) };
    }
}
