using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Effects;

/// <summary>The mixed model of one scope over a table of episodes (method 2.1).</summary>
/// <remarks>Columns in order of importance: one mean per flight and wearer; the losses (one per condition, or in the as-worn scope one per donning and
/// condition); one slope per flight. What cannot be estimated is dropped from the end, slopes first. Targets: the mean of the flight means, then
/// the loss of every condition. A level difference and an active part have columns of their own: <see cref="PairedDesign"/>.</remarks>
internal static class ScopeDesign
{
    /// <summary>The conditions that something is said of: all, or for the active part those with the electronics on.</summary>
    public static IReadOnlyList<ConditionTraits> Asked(IReadOnlyList<ConditionTraits> conditions, EstimatorSettings settings) =>
        settings.Quantity == MeasuredQuantity.ActivePart ? [.. conditions.Where(c => settings.Partners.ContainsKey(c.Id))] : conditions;

    public static MixedDesign General(IReadOnlyList<Episode> episodes, IReadOnlyList<ConditionTraits> conditions, EstimatorSettings settings)
    {
        if (settings.Quantity != MeasuredQuantity.InsertionLoss) return PairedDesign.General(episodes, Asked(conditions, settings), settings);
        var position = conditions.Select((c, i) => (c.Id, i)).ToDictionary(p => p.Id, p => p.i, StringComparer.Ordinal);
        var loss = episodes.Select(e => e.IsOpen ? -1 : position[e.Condition]).ToArray();
        var components = new List<VarianceComponent>();
        AddFit(components, episodes, conditions, position, settings);
        if (HasOccasion(episodes)) components.Add(new(Priors.Occasion, Priors.OfOccasion, Kernel(episodes, (a, b) => !a.IsOpen && a.Block == b.Block && a.Condition == b.Condition ? 1 : 0), Priors.OccasionNodes));
        AddAmbient(components, episodes, settings);
        if (episodes.Select(e => e.Wearer).Distinct(StringComparer.Ordinal).Count() >= 3)
            components.Add(new(Priors.Wearer, Priors.OfWearer, Kernel(episodes, (a, b) => !a.IsOpen && a.Wearer == b.Wearer && a.Condition == b.Condition ? 1 : 0), Priors.WearerNodes));
        return Build(episodes, loss, [.. Enumerable.Range(0, conditions.Count).Select(c => new[] { c })], components, settings);
    }

    public static MixedDesign AsWorn(IReadOnlyList<Episode> episodes, IReadOnlyList<ConditionTraits> conditions, EstimatorSettings settings)
    {
        if (settings.Quantity != MeasuredQuantity.InsertionLoss) return PairedDesign.AsWorn(episodes, Asked(conditions, settings), settings);
        var keys = episodes.Where(e => !e.IsOpen).Select(e => (e.Donning!, e.Condition)).Distinct().ToList();
        var loss = episodes.Select(e => e.IsOpen ? -1 : keys.IndexOf((e.Donning!, e.Condition))).ToArray();
        var components = new List<VarianceComponent>();
        AddAmbient(components, episodes, settings);
        int[][] averaged = [.. conditions.Select(c => Enumerable.Range(0, keys.Count).Where(k => keys[k].Condition == c.Id).ToArray())];
        return Build(episodes, loss, averaged, components, settings);
    }

    /// <summary>An occasion is told from a donning only where some condition was donned twice in one flight; in a single flight the prior alone speaks for it.</summary>
    public static bool HasOccasion(IReadOnlyList<Episode> episodes) =>
        episodes.Any(e => !e.IsOpen) && (episodes.Select(e => e.Flight).Distinct(StringComparer.Ordinal).Count() == 1 || HasRefits(episodes));

    /// <summary>Whether some condition was put on twice in one flight.</summary>
    public static bool HasRefits(IReadOnlyList<Episode> episodes) => episodes.Where(e => !e.IsOpen).GroupBy(e => (e.Block, e.Condition))
        .Any(g => g.Select(e => e.Donning).Distinct(StringComparer.Ordinal).Count() > 1);

    public static void AddFit(List<VarianceComponent> components, IReadOnlyList<Episode> episodes, IReadOnlyList<ConditionTraits> conditions,
        Dictionary<string, int> position, EstimatorSettings settings)
    {
        if (episodes.All(e => e.IsOpen)) return;
        var classes = settings.ScatterPerClass ? conditions.Select(c => c.ScatterClass).Distinct(StringComparer.Ordinal).ToArray() : [];
        double Factor(Episode e) => conditions[position[e.Condition]].ScatterFactor;
        if (classes.Length < 2)
        {
            components.Add(new(Priors.Fit, Priors.OfFit(settings), Kernel(episodes, (a, b) => !a.IsOpen && a.Donning == b.Donning ? Factor(a) * Factor(b) : 0), Priors.FitNodes));
            return;
        }
        foreach (var scatterClass in classes)
        {
            bool Of(Episode e) => conditions[position[e.Condition]].ScatterClass == scatterClass;
            components.Add(new($"{Priors.Fit} {scatterClass}".TrimEnd(), Priors.OfFit(settings),
                Kernel(episodes, (a, b) => !a.IsOpen && a.Donning == b.Donning && Of(a) && Of(b) ? Factor(a) * Factor(b) : 0), Priors.FitNodesPerClass));
        }
    }

    private static void AddAmbient(List<VarianceComponent> components, IReadOnlyList<Episode> episodes, EstimatorSettings settings)
    {
        if (!settings.OutsideChannel)
            components.Add(new(Priors.Wander, Priors.OfWander, Kernel(episodes, (a, b) => a.Flight == b.Flight ? Math.Exp(-Math.Abs(a.Clock - b.Clock) / Priors.WanderSeconds) : 0), Priors.WanderNodes));
        components.Add(new(Priors.Episode, Priors.OfEpisode, Kernel(episodes, (a, b) => a.Number == b.Number ? 1 : 0), Priors.EpisodeNodes));
    }

    public static double[,] Kernel(IReadOnlyList<Episode> episodes, Func<Episode, Episode, double> entry)
    {
        var kernel = new double[episodes.Count, episodes.Count];
        for (var i = 0; i < episodes.Count; i++)
            for (var j = 0; j < episodes.Count; j++) kernel[i, j] = entry(episodes[i], episodes[j]);
        return kernel;
    }

    private static MixedDesign Build(IReadOnlyList<Episode> episodes, int[] loss, int[][] averaged, List<VarianceComponent> components, EstimatorSettings settings)
    {
        var blocks = episodes.Select(e => e.Block).Distinct(StringComparer.Ordinal).ToList();
        var flights = episodes.Select(e => e.Flight).Distinct(StringComparer.Ordinal).ToList();
        var middle = flights.Select(f => episodes.Where(e => e.Flight == f).Average(e => e.Clock)).ToArray();
        int losses = Math.Max(loss.Max() + 1, averaged.SelectMany(a => a).DefaultIfEmpty(-1).Max() + 1), p = blocks.Count + losses + flights.Count;
        var columns = new double[episodes.Count, p];
        for (var i = 0; i < episodes.Count; i++)
        {
            columns[i, blocks.IndexOf(episodes[i].Block)] = 1;
            if (loss[i] >= 0) columns[i, blocks.Count + loss[i]] = -1;
            var flight = flights.IndexOf(episodes[i].Flight);
            columns[i, blocks.Count + losses + flight] = (episodes[i].Clock - middle[flight]) / 600;
        }
        var targets = new double[1 + averaged.Length, p];
        for (var b = 0; b < blocks.Count; b++) targets[0, b] = 1.0 / blocks.Count;
        for (var c = 0; c < averaged.Length; c++)
            foreach (var column in averaged[c]) targets[1 + c, blocks.Count + column] = 1.0 / averaged[c].Length;
        int[] counts = [.. episodes.Select(e => e.Readings.Count)];
        return new(columns, targets, components, new(Priors.Take, Priors.OfTake, counts, Priors.TakeNodes, settings.ReadingStep * settings.ReadingStep / 12));
    }
}
