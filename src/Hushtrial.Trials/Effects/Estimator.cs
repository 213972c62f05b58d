using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>From readings to effects: one linear mixed model in dB per quantity, its standard deviations integrated out (method 2.1, 2.2).</summary>
public static class Estimator
{
    /// <summary>Fits one quantity.</summary>
    /// <inheritdoc cref="FitAll"/>
    /// <param name="readings">The readings, in the order in which they were made.</param>
    /// <param name="traits">What is known of the conditions; one that is not named counts as over-ear.</param>
    /// <param name="quantity">Name of the quantity.</param>
    /// <param name="settings">The settings.</param>
    /// <param name="knowledge">What is known of it from elsewhere.</param>
    public static QuantityFit Fit(IReadOnlyList<Reading> readings, IReadOnlyList<ConditionTraits> traits, string quantity, EstimatorSettings settings,
        QuantityKnowledge? knowledge = null) =>
        FitAll(readings, traits, [quantity], settings, new Dictionary<string, QuantityKnowledge>(StringComparer.Ordinal) { [quantity] = knowledge ?? QuantityKnowledge.None })[quantity];

    /// <summary>Fits the quantity of a fit to other readings, with the same settings and the same deviates, so that what differs comes from the readings. It draws with a
    /// quarter of them: enough to see whether a verdict turns.</summary>
    internal static QuantityFit Refit(QuantityFit fit, IReadOnlyList<Reading> readings, IReadOnlyList<ConditionTraits> traits, QuantityKnowledge knowledge) =>
        FitGroup(readings, [.. Enumerable.Range(0, readings.Count).Where(i => readings[i].Values.ContainsKey(fit.Quantity))], traits, [fit.Quantity], fit.Settings,
            new Dictionary<string, QuantityKnowledge>(StringComparer.Ordinal) { [fit.Quantity] = knowledge }, fit.Deviates).Single();

    /// <summary>Fits many quantities; those read in the same readings share all that depends on the design alone.</summary>
    /// <param name="readings">The readings, in the order in which they were made.</param>
    /// <param name="traits">What is known of the conditions; one that is not named counts as over-ear.</param>
    /// <param name="quantities">Names of the quantities; a reading without one simply lacks it.</param>
    /// <param name="settings">The settings.</param>
    /// <param name="knowledge">What is known of quantities from elsewhere; may lack any of them.</param>
    /// <returns>One fit per quantity. Designs that cannot answer a question give effects with a reason, never NaN.</returns>
    /// <exception cref="ArgumentException">A value is not finite.</exception>
    public static IReadOnlyDictionary<string, QuantityFit> FitAll(IReadOnlyList<Reading> readings, IReadOnlyList<ConditionTraits> traits,
        IReadOnlyList<string> quantities, EstimatorSettings settings, IReadOnlyDictionary<string, QuantityKnowledge>? knowledge = null)
    {
        var result = new Dictionary<string, QuantityFit>(StringComparer.Ordinal);
        foreach (var group in quantities.Distinct(StringComparer.Ordinal).GroupBy(q => new string([.. readings.Select(r => r.Values.ContainsKey(q) ? '1' : '0')]), StringComparer.Ordinal))
        {
            int[] used = [.. Enumerable.Range(0, readings.Count).Where(i => group.Key[i] == '1')];
            foreach (var fit in FitGroup(readings, used, traits, [.. group], settings, knowledge)) result[fit.Quantity] = fit;
        }
        return result;
    }

    private static IEnumerable<QuantityFit> FitGroup(IReadOnlyList<Reading> readings, int[] used, IReadOnlyList<ConditionTraits> traits,
        IReadOnlyList<string> quantities, EstimatorSettings settings, IReadOnlyDictionary<string, QuantityKnowledge>? knowledge, NormalDeviates? shared = null)
    {
        var table = EpisodeTable.Of(readings, used, traits);
        if (table.Episodes.Count == 0 || (settings.Quantity != MeasuredQuantity.InsertionLoss && table.Episodes.All(e => e.IsOpen)))
            return quantities.Select(q => new QuantityFit(q, [], table.Donnings, 0, hasOpen: false, null, null, $"no reading of {q}", settings));
        var known = quantities.Select(q => knowledge?.GetValueOrDefault(q) ?? QuantityKnowledge.None).ToArray();
        Response[] responses = [.. quantities.Select((q, i) => table.Respond(readings, q, known[i].TakeScatterFloor))];
        var asked = ScopeDesign.Asked(table.Conditions, settings);
        string[] ids = [.. asked.Select(c => c.Id)];
        var asWorn = IntegratedModel.Integrate(ScopeDesign.AsWorn(table.Episodes, table.Conditions, settings), responses);
        var general = IntegratedModel.Integrate(ScopeDesign.General(table.Episodes, table.Conditions, settings), responses);
        return quantities.Select((q, i) =>
        {
            var deviates = shared ?? new NormalDeviates(settings.Draws, settings.Seed);
            var draws = shared is null ? settings.Draws : Math.Max(1, settings.Draws / 4);
            return new QuantityFit(q, asked, table.Donnings, table.Flights, table.HasOpen, new(EstimateScope.AsWorn, asWorn[i], ids, known[i].Sources, deviates, draws, settings.ReferenceKnown),
                new(EstimateScope.General, general[i], ids, known[i].Sources, deviates, draws, settings.ReferenceKnown), null, settings) { Deviates = deviates };
        });
    }
}
