using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>A reading that lies far from what all the others predict for it. It is flagged, never dropped silently.</summary>
/// <param name="Position">Position among the readings given.</param>
/// <param name="Quantity">The quantity.</param>
/// <param name="DeviationDecibels">Reading minus prediction, dB.</param>
/// <param name="Score">The same in standard deviations, leave-one-out.</param>
public sealed record OutlyingReading(int Position, string Quantity, double DeviationDecibels, double Score);

/// <summary>Finds outlying readings (method 2.4).</summary>
public static class OutlyingReadings
{
    /// <summary>Flags a reading beyond this many standard deviations, leave-one-out: in 36 good readings one trial in sixty has a false flag.</summary>
    public const double Threshold = 3.5;

    /// <summary>Outlying readings of one quantity, in the order of the readings.</summary>
    /// <param name="readings">The readings the fit was made of.</param>
    /// <param name="traits">As given to the fit.</param>
    /// <param name="fit">The fit.</param>
    public static IReadOnlyList<OutlyingReading> Find(IReadOnlyList<Reading> readings, IReadOnlyList<ConditionTraits> traits, QuantityFit fit)
    {
        if (fit.General is not { } general) return [];
        var table = EpisodeTable.Of(readings, traits, fit.Quantity).Spread();
        var design = ScopeDesign.General(table.Episodes, table.Conditions, fit.Settings);
        var scales = general.Components.ToDictionary(c => c.Key, c => c.Value, StringComparer.Ordinal);
        var residuals = DeletionResiduals.Of(design, table.Respond(readings, fit.Quantity, 0), [.. design.ScatterNames.Select(n => scales[n])]);
        return [.. Enumerable.Range(0, table.Episodes.Count).Where(i => Math.Abs(residuals.Scores[i]) > Threshold)
            .Select(i => new OutlyingReading(table.Episodes[i].Readings[0], fit.Quantity, residuals.Deviations[i], residuals.Scores[i]))
            .OrderBy(o => o.Position)];
    }
}
