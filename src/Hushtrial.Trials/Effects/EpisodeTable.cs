using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>The episodes of a quantity and the conditions among them.</summary>
/// <param name="Episodes">Episodes in the order in which they were made.</param>
/// <param name="Conditions">Conditions with at least one reading, in the order of the traits.</param>
internal sealed record EpisodeTable(IReadOnlyList<Episode> Episodes, IReadOnlyList<ConditionTraits> Conditions)
{
    public static EpisodeTable Of(IReadOnlyList<Reading> readings, IReadOnlyList<ConditionTraits> traits, string quantity) =>
        Of(readings, [.. Enumerable.Range(0, readings.Count).Where(i => readings[i].Values.ContainsKey(quantity))], traits);

    public static EpisodeTable Of(IReadOnlyList<Reading> readings, IReadOnlyList<int> used, IReadOnlyList<ConditionTraits> traits)
    {
        var episodes = Effects.Episodes.Collapse(readings, used);
        var present = episodes.Where(e => !e.IsOpen).Select(e => e.Condition).Distinct(StringComparer.Ordinal).ToList();
        return new(episodes, [.. traits.Where(t => present.Contains(t.Id)), .. present.Where(c => traits.All(t => t.Id != c)).Select(c => new ConditionTraits(c))]);
    }

    public bool HasOpen => Episodes.Any(e => e.IsOpen);

    public int Flights => Episodes.Select(e => e.Flight).Distinct(StringComparer.Ordinal).Count();

    public IReadOnlyDictionary<string, int> Donnings => Episodes.Where(e => !e.IsOpen).GroupBy(e => e.Condition, StringComparer.Ordinal)
        .ToDictionary(g => g.Key, g => g.Select(e => e.Donning).Distinct(StringComparer.Ordinal).Count(), StringComparer.Ordinal);

    /// <summary>The same with one row per reading; rows of one episode keep its number and clock.</summary>
    public EpisodeTable Spread() => this with { Episodes = [.. Episodes.SelectMany(e => e.Readings.Select(i => e with { Readings = [i] }))] };

    /// <summary>Episode means and the pooled sum of squares within episodes.</summary>
    /// <exception cref="ArgumentException">A value is not finite.</exception>
    public Response Respond(IReadOnlyList<Reading> readings, string quantity, double takeScatterFloor)
    {
        var means = new double[Episodes.Count];
        var within = 0.0;
        for (var e = 0; e < means.Length; e++)
        {
            var values = Episodes[e].Readings.Select(i => readings[i].Values[quantity]).ToArray();
            if (!values.All(double.IsFinite)) throw new ArgumentException($"A reading of {quantity} is not a finite number.", nameof(readings));
            means[e] = values.Average();
            within += values.Sum(v => (v - means[e]) * (v - means[e]));
        }
        return new(means, within, takeScatterFloor);
    }
}
