using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Summary;

/// <summary>The A-weighted loss that the band losses give in the trial's mean open spectrum: free of spectrum changes between takes.</summary>
internal static class ReferenceSpectrum
{
    /// <summary>The mean open-ear spectrum as fitted, dB; in relative mode re full scale. Empty without an open ear.</summary>
    /// <param name="effects">The fits.</param>
    /// <param name="ambient">What to add to a fitted level to make it a level at the ear, by quantity: with an outside channel the mean level outside.</param>
    public static IReadOnlyDictionary<Band, double> Open(TrialEffects effects, IReadOnlyDictionary<string, double> ambient)
    {
        var open = new Dictionary<Band, double>();
        if (effects.Settings.Of.Quantity == MeasuredQuantity.LevelDifference) return open;      // its reference is not the open ear
        foreach (var band in effects.Bands)
            if (effects.Levels[QuantityName.Of(band)] is { HasOpen: true } fit && fit.Level(TrialDocument.OpenEar).General is { } level) open[band] = level.Value + ambient.GetValueOrDefault(QuantityName.Of(band));
        return open;
    }

    /// <summary>R_A = 10 lg Σ 10^((Lo+A)/10) − 10 lg Σ 10^((Lo+A−IL)/10).</summary>
    /// <returns>The loss in one scope; null when fewer than 18 bands have a loss, or there is no open ear.</returns>
    /// <remarks>The bands' deviations are taken as fully correlated (a loose seal is loose in all of them), so the standard uncertainty is
    /// the sum of the bands' own, each times its share of the energy that is left. A band that is a lower bound enters with its bound.</remarks>
    public static Estimate? LossA(IReadOnlyDictionary<Band, double> open, SpectrumEffect loss, EstimateScope scope)
    {
        double before = 0, after = 0, spread = 0;
        var bands = 0;
        foreach (var band in loss.Bands)
        {
            if (!open.TryGetValue(band.Band, out var level) || band.Effect.In(scope) is not { } estimate) continue;
            var weighted = level + Weightings.At(FrequencyWeighting.A, band.Band.ExactMidband).Decibels;
            var left = Math.Pow(10, (weighted - estimate.Value) / 10);
            before += Math.Pow(10, weighted / 10);
            after += left;
            spread += left * estimate.StandardUncertainty;
            bands++;
        }
        if (bands < 18) return null;
        var value = 10 * Math.Log10(before / after);
        var u = spread / after;
        return new(value, value - (1.96 * u), value + (1.96 * u), u, null, [new("losses of the bands, fully correlated", u)]);
    }
}
