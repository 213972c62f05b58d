using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Effects;

/// <summary>The mixed models of the two quantities that need no open ear, because each reading brings its own reference.</summary>
/// <remarks>
/// <para>Level difference (ear minus outside at the same moment): a column per condition (as worn: per donning and condition), a column per further wearer; no flight
/// means and no slope, for the noise has cancelled. In general, flights scatter by the outside microphone put back, which moves all conditions alike and cancels in a pair.</para>
/// <para>Active part: a mean per donning, which takes the seal away, and a column per condition with the electronics on (as worn: per donning and condition). In general
/// the active part itself scatters from donning to donning. No slope: where off always comes before on it could not be told from the active part; the wander
/// term carries what the noise does in between.</para>
/// <para>Targets as in <see cref="ScopeDesign"/>, the first one 0: the reference has been taken off already.</para>
/// </remarks>
internal static class PairedDesign
{
    public static MixedDesign General(IReadOnlyList<Episode> episodes, IReadOnlyList<ConditionTraits> asked, EstimatorSettings settings)
    {
        var active = settings.Quantity == MeasuredQuantity.ActivePart;
        var position = asked.Select((c, i) => (c.Id, i)).ToDictionary(p => p.Id, p => p.i, StringComparer.Ordinal);
        bool Counts(Episode e) => !e.IsOpen && position.ContainsKey(e.Condition);
        var components = new List<VarianceComponent>();
        if (active)
        {
            double Factor(Episode e) => asked[position[e.Condition]].ScatterFactor;
            components.Add(new(Priors.ActiveFit, Priors.OfActiveFit(settings), ScopeDesign.Kernel(episodes, (a, b) => Counts(a) && a.Condition == b.Condition && a.Donning == b.Donning ? Factor(a) * Factor(b) : 0), Priors.FitNodes));
        }
        else ScopeDesign.AddFit(components, episodes, asked, position, settings);
        if (ScopeDesign.HasOccasion(episodes))
            components.Add(new(Priors.Occasion, Priors.OfOccasion, ScopeDesign.Kernel(episodes, (a, b) => Counts(a) && a.Block == b.Block && a.Condition == b.Condition ? 1 : 0), Priors.OccasionNodes));
        if (!active) components.Add(new(Priors.Flight, Priors.OfFlight, ScopeDesign.Kernel(episodes, (a, b) => a.Flight == b.Flight ? 1 : 0), Priors.FlightNodes));
        AddWithin(components, episodes, settings);
        if (episodes.Select(e => e.Wearer).Distinct(StringComparer.Ordinal).Count() >= 3)
            components.Add(new(Priors.Wearer, Priors.OfWearer, ScopeDesign.Kernel(episodes, (a, b) => Counts(a) && a.Wearer == b.Wearer && a.Condition == b.Condition ? 1 : 0), Priors.WearerNodes));
        return Build(episodes, [.. episodes.Select(e => Counts(e) ? position[e.Condition] : -1)], [.. asked.Select((_, c) => new[] { c })], components, settings);
    }

    public static MixedDesign AsWorn(IReadOnlyList<Episode> episodes, IReadOnlyList<ConditionTraits> asked, EstimatorSettings settings)
    {
        var ids = asked.Select(c => c.Id).ToHashSet(StringComparer.Ordinal);
        var keys = episodes.Where(e => !e.IsOpen && ids.Contains(e.Condition)).Select(e => (e.Donning!, e.Condition)).Distinct().ToList();
        var components = new List<VarianceComponent>();
        AddWithin(components, episodes, settings);
        return Build(episodes, [.. episodes.Select(e => e.IsOpen ? -1 : keys.IndexOf((e.Donning!, e.Condition)))],
            [.. asked.Select(c => Enumerable.Range(0, keys.Count).Where(k => keys[k].Condition == c.Id).ToArray())], components, settings);
    }

    private static void AddWithin(List<VarianceComponent> components, IReadOnlyList<Episode> episodes, EstimatorSettings settings)
    {
        if (!settings.OutsideChannel)
            components.Add(new(Priors.Wander, Priors.OfWander, ScopeDesign.Kernel(episodes, (a, b) => a.Flight == b.Flight ? Math.Exp(-Math.Abs(a.Clock - b.Clock) / Priors.WanderSeconds) : 0), Priors.WanderNodes));
        components.Add(new(settings.Quantity == MeasuredQuantity.ActivePart ? Priors.Switching : Priors.Episode, Priors.OfEpisode, ScopeDesign.Kernel(episodes, (a, b) => a.Number == b.Number ? 1 : 0), Priors.EpisodeNodes));
    }

    /// <param name="episodes">The episodes.</param>
    /// <param name="effect">By episode the number of the column that it holds, or −1.</param>
    /// <param name="averaged">By target the columns it is the mean of.</param>
    /// <param name="components">Sources of scatter.</param>
    /// <param name="settings">The settings.</param>
    private static MixedDesign Build(IReadOnlyList<Episode> episodes, int[] effect, int[][] averaged, List<VarianceComponent> components, EstimatorSettings settings)
    {
        var effects = averaged.SelectMany(a => a).DefaultIfEmpty(-1).Max() + 1;
        // The active part: one mean per donning. The level difference: wearers about their mean, the last of them minus all others.
        var active = settings.Quantity == MeasuredQuantity.ActivePart;
        var groups = episodes.Select(e => active ? e.Donning! : e.Wearer).Distinct(StringComparer.Ordinal).ToList();
        var further = active ? groups.Count : groups.Count - 1;
        var columns = new double[episodes.Count, effects + further];
        for (var i = 0; i < episodes.Count; i++)
        {
            if (effect[i] >= 0) columns[i, effect[i]] = -1;
            var group = groups.IndexOf(active ? episodes[i].Donning! : episodes[i].Wearer);
            if (group < further) columns[i, effects + group] = 1;
            else for (var g = 0; g < further; g++) columns[i, effects + g] = -1;
        }
        var targets = new double[1 + averaged.Length, effects + further];
        for (var c = 0; c < averaged.Length; c++)
            foreach (var column in averaged[c]) targets[1 + c, column] = 1.0 / averaged[c].Length;
        return new(columns, targets, components, new(Priors.Take, Priors.OfTake, [.. episodes.Select(e => e.Readings.Count)], Priors.TakeNodes, settings.ReadingStep * settings.ReadingStep / 12));
    }
}
