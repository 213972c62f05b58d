using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>The prior-free answers of a trial beside the primary ones, where its design allows them.</summary>
public static class PriorFreeCheck
{
    /// <summary>Estimates the A-weighted losses and pairs by restricted likelihood; null where that says too little.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="effects">The primary fits.</param>
    /// <param name="pairs">The pairs compared.</param>
    public static PriorFreeResult? Of(TrialDocument document, TrialEffects effects, IReadOnlyList<PairResult> pairs)
    {
        if (PriorFreeFit.Fit(effects.Readings, TrialEffects.Traits(document), QuantityName.A, PriorFreeModel.Episode, effects.Settings) is not { } fit) return null;
        var losses = !effects.Settings.ReferenceKnown ? [] : effects.A.Conditions.Select(c => Row(fit, LevelContrast.Loss(c), c, null)).OfType<PriorFreeRow>().ToList();
        var differences = pairs.Select(p => Row(fit, LevelContrast.Difference(p.First, p.Second), p.First, p.Second)).OfType<PriorFreeRow>().ToList();
        return losses.Count + differences.Count == 0 ? null : new(fit.Components, losses, differences);
    }

    private static PriorFreeRow? Row(PriorFreeFit fit, LevelContrast contrast, string first, string? second) =>
        fit.Along(contrast) is { } c ? new(first, second, c.Estimate, c.StandardError, c.DegreesOfFreedom, c.Low95, c.High95) : null;
}
