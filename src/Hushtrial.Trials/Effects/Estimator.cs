using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Document;

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
        IReadOnlyList<string> quantities, EstimatorSettings settings, IReadOnlyDictionary<string, QuantityKnowledge>? knowledge)
    {
        var episodes = Episodes.Collapse(readings, used);
        var conditions = PresentConditions(episodes, traits);
        var donnings = episodes.Where(e => !e.IsOpen).GroupBy(e => e.Condition, StringComparer.Ordinal)
            .ToDictionary(g => g.Key, g => g.Select(e => e.Donning).Distinct(StringComparer.Ordinal).Count(), StringComparer.Ordinal);
        var flights = episodes.Select(e => e.Flight).Distinct(StringComparer.Ordinal).Count();
        var hasOpen = episodes.Any(e => e.IsOpen);
        if (episodes.Count == 0)
            return quantities.Select(q => new QuantityFit(q, [], donnings, 0, hasOpen: false, null, null, $"no reading of {q}", settings));
        var known = quantities.Select(q => knowledge?.GetValueOrDefault(q) ?? QuantityKnowledge.None).ToArray();
        Response[] responses = [.. quantities.Select((q, i) => Respond(readings, episodes, q, known[i]))];
        string[] ids = [.. conditions.Select(c => c.Id)];
        var asWorn = IntegratedModel.Integrate(ScopeDesign.AsWorn(episodes, conditions, settings), responses);
        var general = IntegratedModel.Integrate(ScopeDesign.General(episodes, conditions, settings), responses);
        return quantities.Select((q, i) => new QuantityFit(q, conditions, donnings, flights, hasOpen,
            new(EstimateScope.AsWorn, asWorn[i], ids, known[i].Sources, settings), new(EstimateScope.General, general[i], ids, known[i].Sources, settings), null, settings));
    }

    private static ConditionTraits[] PresentConditions(IReadOnlyList<Episode> episodes, IReadOnlyList<ConditionTraits> traits)
    {
        var present = episodes.Where(e => !e.IsOpen).Select(e => e.Condition).Distinct(StringComparer.Ordinal).ToList();
        return [.. traits.Where(t => present.Contains(t.Id)), .. present.Where(c => traits.All(t => t.Id != c)).Select(c => new ConditionTraits(c))];
    }

    private static Response Respond(IReadOnlyList<Reading> readings, IReadOnlyList<Episode> episodes, string quantity, QuantityKnowledge known)
    {
        var means = new double[episodes.Count];
        var within = 0.0;
        for (var e = 0; e < means.Length; e++)
        {
            var values = episodes[e].Readings.Select(i => readings[i].Values[quantity]).ToArray();
            if (!values.All(double.IsFinite)) throw new ArgumentException($"A reading of {quantity} is not a finite number.", nameof(readings));
            means[e] = values.Average();
            within += values.Sum(v => (v - means[e]) * (v - means[e]));
        }
        return new(means, within, known.TakeScatterFloor);
    }
}
