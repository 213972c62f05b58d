using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Pairing;

/// <summary>From takes to the readings of the estimator: own noise off, outside channel off, ears together, episodes found.</summary>
/// <param name="Readings">One per used take.</param>
/// <param name="Bands">Bands that occur in any used take, rising.</param>
/// <param name="NoiseEffects">What the own noise did, by condition and band: the worst effect of its takes and the mean uncertainty it leaves, dB.</param>
/// <param name="TakeScatterFloors">Least standard deviation of a take by name of quantity, dB.</param>
public sealed record ReadingTable(IReadOnlyList<Reading> Readings, IReadOnlyList<Band> Bands,
    IReadOnlyDictionary<(string Condition, Band Band), (OwnNoiseEffect Effect, double Uncertainty)> NoiseEffects,
    IReadOnlyDictionary<string, double> TakeScatterFloors)
{
    /// <summary>What to add to a fitted level to make it a level at the ear, by name of quantity, dB: with an outside channel the mean level outside, else nothing.</summary>
    public IReadOnlyDictionary<string, double> Ambient { get; init; } = new Dictionary<string, double>(StringComparer.Ordinal);

    /// <summary>Builds the table.</summary>
    /// <param name="takes">All takes as measured.</param>
    /// <param name="noise">Own-noise levels by channel; a channel without an entry has no known noise.</param>
    /// <param name="design">With an outside channel its level is subtracted inside every reading, so that the ambient cancels.</param>
    public static ReadingTable From(IReadOnlyList<TakeLevels> takes, IReadOnlyDictionary<string, ChannelLevels> noise, TrialDesign design)
    {
        var readings = new List<Reading>();
        var bands = new SortedSet<Band>();
        var seen = new Dictionary<(string, Band), (OwnNoiseEffect Effect, double Sum, int Count)>();
        foreach (var (take, episode) in Episodes(takes))
        {
            var ears = take.Ears.Select(e => OwnNoise.TakeOff(e, noise.GetValueOrDefault(e.Channel))).ToList();
            var outside = design == TrialDesign.OutsideChannel && take.Outside is { } o ? OwnNoise.TakeOff(o, noise.GetValueOrDefault(o.Channel)).Levels : null;
            if (design == TrialDesign.OutsideChannel && outside is null) continue;
            var values = new Dictionary<string, double>(StringComparer.Ordinal);
            Add(values, QuantityName.A, Mean(ears, e => e.Levels.A), outside?.A, outside is not null);
            Add(values, QuantityName.C, Mean(ears, e => e.Levels.C), outside?.C, outside is not null);
            foreach (var band in ears[0].Levels.Bands.Keys)
            {
                if (Add(values, QuantityName.Of(band), Mean(ears, e => e.Levels.Bands.TryGetValue(band, out var l) ? l : null),
                    outside is not null && outside.Bands.TryGetValue(band, out var out1) ? out1 : null, outside is not null)) bands.Add(band);
                var effect = ears.Max(e => e.Effects.GetValueOrDefault(band));
                var uncertainty = ears.Average(e => e.Uncertainties.GetValueOrDefault(band));
                var old = seen.GetValueOrDefault((take.Entry.Condition, band));
                seen[(take.Entry.Condition, band)] = ((OwnNoiseEffect)Math.Max((int)old.Effect, (int)effect), old.Sum + uncertainty, old.Count + 1);
            }
            readings.Add(new(take.Entry.Run, take.Entry.Wearer, take.Clock, episode, take.Entry.Fit, take.Entry.Condition, values, take.Entry.Id));
        }
        return new(readings, [.. bands], seen.ToDictionary(s => s.Key, s => (s.Value.Effect, s.Value.Sum / s.Value.Count)), Pairing.TakeScatterFloors.Of(takes, design)) { Ambient = AmbientLevels.Of(takes, design) };
    }

    /// <summary>The used takes with the episode each belongs to: an uninterrupted run of one condition in one donning, or one open bracket.
    /// A take that was left out still interrupts: the microphone was put back after it.</summary>
    private static IEnumerable<(TakeLevels Take, string Episode)> Episodes(IReadOnlyList<TakeLevels> takes)
    {
        foreach (var run in takes.Where(t => t.Used || t.Clock is not null).GroupBy(t => (t.Entry.Run, t.Entry.Wearer)))
        {
            var ordered = run.All(t => t.Clock is not null) ? run.OrderBy(t => t.Clock).ToList() : run.ToList();
            var number = 0;
            for (var i = 0; i < ordered.Count; i++)
            {
                if (i == 0 || (ordered[i].Entry.Condition, ordered[i].Entry.Fit) != (ordered[i - 1].Entry.Condition, ordered[i - 1].Entry.Fit)) number++;
                if (ordered[i].Used) yield return (ordered[i], string.Create(CultureInfo.InvariantCulture, $"{run.Key.Run}/{run.Key.Wearer}/{number}"));
            }
        }
    }

    private static double? Mean(List<CorrectedLevels> ears, Func<CorrectedLevels, double?> level)
    {
        // The two ears of one donning are not two donnings: their mean is one reading.
        var levels = ears.Select(level).ToList();
        return levels.Any(l => l is null) ? null : levels.Average();
    }

    private static bool Add(Dictionary<string, double> values, string name, double? level, double? outside, bool relative)
    {
        if (level is not { } l || (relative && outside is null)) return false;
        values[name] = l - (outside ?? 0);
        return true;
    }
}
