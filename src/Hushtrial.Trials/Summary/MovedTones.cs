using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Screening;
using static System.FormattableString;

namespace Hushtrial.Trials.Summary;

/// <summary>Bands in which a difference between takes is that of a tone which moved over the band's edge, and what the band would say without those takes.</summary>
/// <remarks>Method 4a: such bands are unusable. Only designs that hold one take against another are touched: with an outside channel both microphones hear the tone move.</remarks>
/// <param name="document">The trial.</param>
/// <param name="takes">Its takes as measured.</param>
internal sealed class MovedTones(TrialDocument document, IReadOnlyList<TakeLevels> takes)
{
    private readonly IReadOnlyList<TakeLevels> _moved = document.Design == TrialDesign.OutsideChannel || document.Quantity == MeasuredQuantity.LevelDifference ? [] : [.. takes.Where(t => t.Used && t.Incomparable.Count > 0)];

    /// <summary>Why a loss cannot be read from a band, with the answer without the takes in which the tone moved; null when it can.</summary>
    /// <param name="fits">The fits that the loss comes from.</param>
    /// <param name="condition">The condition.</param>
    /// <param name="partner">For an active part: the condition with the electronics off; else the open ear is what it is held against.</param>
    /// <param name="band">The band.</param>
    public string? WhyNot(TrialEffects fits, string condition, string? partner, Band band)
    {
        var other = partner ?? TrialDocument.OpenEar;
        var runs = takes.Where(t => t.Used && t.Entry.Condition == condition).Select(t => (t.Entry.Run, t.Entry.Wearer)).ToHashSet();
        var moved = _moved.Where(t => t.Incomparable.Contains(band) && (t.Entry.Condition == condition || (t.Entry.Condition == other && runs.Contains((t.Entry.Run, t.Entry.Wearer))))).Select(t => t.Entry.Id).ToList();
        if (moved.Count == 0) return null;
        var left = fits.Readings.Where(r => r.Take is null || !moved.Contains(r.Take)).ToList();
        var without = left.Any(r => r.Condition == condition) && left.Count < fits.Readings.Count ? Loss(Estimator.Refit(fits.Of(band), left, TrialEffects.Traits(document), fits.Knowledge.GetValueOrDefault(Pairing.QuantityName.Of(band)) ?? QuantityKnowledge.None), condition) : null;
        return (Loss(fits.Of(band), condition), without, moved) switch
        {
            ({ } with, { } rest, [var only]) => Invariant($"a tone stands across the edge of this band in take {only}; without it the band has {rest:0.0} dB instead of {with:0.0} dB"),
            ({ } with, { } rest, _) => Invariant($"a tone stands across the edge of this band in takes {string.Join(", ", moved)}; without them the band has {rest:0.0} dB instead of {with:0.0} dB"),
            (_, _, [var only]) => $"a tone stands across the edge of this band in take {only}; nothing is left without it",
            _ => $"a tone stands across the edge of this band in takes {string.Join(", ", moved)}; nothing is left without them",
        };
    }

    private double? Loss(QuantityFit fit, string condition) => fit.In(document.Scope)?.Along(LevelContrast.Loss(condition))?.Mean;
}
