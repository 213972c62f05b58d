using static System.FormattableString;

namespace Hushtrial.Trials.Alignment;

/// <summary>Lays one recording on another by claps that both heard: groups of them, told by the times between.</summary>
/// <remarks>Three claps within half a minute whose distances agree to 3 ms are one group; one clap alone could be any knock. A group at the start and one at the end give the drift.</remarks>
public static class ClapAlignment
{
    /// <summary>Claps of one group lie no further apart, s.</summary>
    private const double Group = 30;

    /// <summary>Distances in a group agree to this, s: two microphones a metre apart hear a clap within 3 ms, each time alike.</summary>
    private const double Agree = 0.003;

    private const int Fewest = 3;
    private const double MostDrift = 500e-6;

    /// <summary>Claps this far apart show a drift, s: 3 ms over five minutes are 10 ppm.</summary>
    private const double ShowsDrift = 300;

    /// <summary>Matches claps.</summary>
    /// <param name="reference">Times of the reference, s, rising.</param>
    /// <param name="other">Times of the other, s, rising.</param>
    public static ClockFit Align(IReadOnlyList<double> reference, IReadOnlyList<double> other)
    {
        ArgumentNullException.ThrowIfNull(reference);
        ArgumentNullException.ThrowIfNull(other);
        var evidence = Invariant($"{reference.Count} and {other.Count} sharp onsets");
        var groups = Groups(reference, other);
        if (groups.Count == 0) return ClockFit.Refused("no three claps within half a minute that both have", evidence);
        var best = groups.MaxBy(g => g.Pairs.Count)!;
        // Regular claps fit one place further on nearly as well; knocks of two kinds fit by chance.
        if (groups.Any(g => g.Pairs.Count >= Math.Max(Fewest, best.Pairs.Count - 1) && !Belongs(g, best) && Shares(g, best)))
            return ClockFit.Refused("claps in so regular a rhythm that they fit at several offsets", evidence);
        if (groups.Any(g => g.Pairs.Count >= best.Pairs.Count && !Belongs(g, best))) return ClockFit.Refused("groups of onsets that contradict each other", evidence);
        var pairs = groups.Where(g => Belongs(g, best)).SelectMany(g => g.Pairs).Distinct().OrderBy(p => p.Other).ToList();
        var (mean, place) = (pairs.Average(p => p.Other), pairs.Average(p => p.Reference));
        var spread = pairs.Sum(p => (p.Other - mean) * (p.Other - mean));
        var hasSlope = pairs[^1].Other - pairs[0].Other > ShowsDrift;
        var rate = hasSlope ? pairs.Sum(p => (p.Other - mean) * (p.Reference - place)) / spread : 1;
        var residuals = pairs.ConvertAll(p => p.Reference - place - (rate * (p.Other - mean)));
        var rms = Math.Sqrt(residuals.Sum(r => r * r) / Math.Max(1, pairs.Count - (hasSlope ? 2 : 1)));
        var refusal = rms > 3 * Agree ? Invariant($"claps that do not lie on one line ({1000 * rms:0.0} ms)") : null;
        return new(place - (rate * mean), (rate - 1) * 1e6, rms, residuals.Max(Math.Abs), rms / Math.Sqrt(pairs.Count), pairs.Count, pairs.Count, pairs[^1].Other - pairs[0].Other,
            Invariant($"{pairs.Count} claps in common among {evidence}{(hasSlope ? "" : "; too close together to show a drift")}"), refusal);
    }

    private sealed record ClapGroup(double Offset, double Time, IReadOnlyList<(double Reference, double Other)> Pairs);

    private static List<ClapGroup> Groups(IReadOnlyList<double> reference, IReadOnlyList<double> other)
    {
        var groups = new List<ClapGroup>();
        foreach (var a in reference)
            foreach (var b in other)
            {
                // Each pair as the first of its group.
                var pairs = new List<(double, double)> { (a, b) };
                pairs.AddRange(reference.Where(x => x > a && x <= a + Group).Select(x => (x, Near(other, b + x - a))).Where(p => !double.IsNaN(p.Item2)));
                if (pairs.Count >= Fewest) groups.Add(new(a - b, b, pairs));
            }
        // The ends of a longer group are groups too; the whole speaks for them.
        return [.. groups.Where(g => !groups.Exists(l => l != g && l.Pairs.Count > g.Pairs.Count && g.Pairs.All(l.Pairs.Contains)))];
    }

    private static double Near(IReadOnlyList<double> times, double wanted)
    {
        var nearest = times.MinBy(t => Math.Abs(t - wanted));
        return Math.Abs(nearest - wanted) <= Agree ? nearest : double.NaN;
    }

    private static bool Belongs(ClapGroup group, ClapGroup best) => Math.Abs(group.Offset - best.Offset) <= (2 * Agree) + (MostDrift * Math.Abs(group.Time - best.Time));

    private static bool Shares(ClapGroup group, ClapGroup best) => group.Pairs.Any(p => best.Pairs.Any(q => p.Reference.Equals(q.Reference) || p.Other.Equals(q.Other)));
}
