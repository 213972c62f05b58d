using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>How many further donnings would settle what is not resolved.</summary>
public static class MoreFits
{
    /// <summary>Further donnings of each of two conditions for 80 % power at the margin, with the scatter that the trial found; null when the pair is settled or no reasonable number would do.</summary>
    /// <param name="fit">The fit.</param>
    /// <param name="first">First condition.</param>
    /// <param name="second">Second condition.</param>
    /// <param name="general">Its verdict in the general scope.</param>
    /// <param name="judged">How many pairs were judged at once: the more, the wider their intervals, and the more donnings it takes.</param>
    public static int? For(QuantityFit fit, string first, string second, PairVerdict? general, int judged)
    {
        if (general is null || general.Verdict != VerdictKind.Unresolved || fit.General is not { } scope || fit.Settings.MarginDecibels <= 0) return null;
        // The planning formula is one of single readings; an active part is a difference inside a donning.
        if (fit.Settings.Quantity == MeasuredQuantity.ActivePart) return null;
        var sd = scope.Components.ToDictionary(c => c.Key, c => c.Value, StringComparer.Ordinal);
        var donning = sd.Where(c => c.Key.StartsWith(Priors.Fit, StringComparison.Ordinal)).Select(c => c.Value).DefaultIfEmpty(0).Max();
        // Where the occasion could not be told from the donning it is part of the donning's figure already.
        var scatter = new PlannedScatter(donning, sd.GetValueOrDefault(Priors.Occasion), sd.GetValueOrDefault(Priors.Episode), sd[Priors.Take]);
        var made = Math.Min(fit.Donnings[first], fit.Donnings[second]);
        var perFlight = Math.Max(1, made / Math.Max(1, fit.Flights));
        var takes = Math.Max(1, (int)Math.Round(scope.Posterior.Design.Replicates.Counts.Average()));
        var needed = PairPower.DonningsNeeded(fit.Settings.MarginDecibels, 0.8, scatter, new(fit.Conditions.Count, 1, perFlight, takes), fit.ScatterFactor(first), fit.ScatterFactor(second), judged);
        return needed is { } n ? Math.Max(1, n - made) : null;
    }
}
