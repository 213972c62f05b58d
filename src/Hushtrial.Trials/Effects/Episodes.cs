using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>An uninterrupted run of one condition in one donning, or one open bracket.</summary>
/// <param name="Flight">The flight.</param>
/// <param name="Block">Flight and wearer: the block the fixed part gives a mean of its own.</param>
/// <param name="Wearer">The wearer, or ''.</param>
/// <param name="Donning">Identity of the donning; null for the open ear.</param>
/// <param name="Condition">The condition, or 'open'.</param>
/// <param name="Clock">Mean clock of its readings, s.</param>
/// <param name="Readings">Positions of its readings.</param>
/// <param name="Number">Number of the episode.</param>
internal sealed record Episode(string Flight, string Block, string Wearer, string? Donning, string Condition, double Clock, IReadOnlyList<int> Readings, int Number)
{
    public bool IsOpen => Donning is null;
}

/// <summary>Collapses readings to episodes. The clock of a reading is the clock of its episode, therefore nothing is lost (method 2.1).</summary>
internal static class Episodes
{
    // Without a clock, episodes are taken to be a minute apart in the order in which they were written (method 2.4).
    private const double SecondsApart = 60;

    public static IReadOnlyList<Episode> Collapse(IReadOnlyList<Reading> readings, IReadOnlyList<int> used)
    {
        var noClock = used.Where(i => readings[i].Clock is null).Select(i => readings[i].Flight).ToHashSet(StringComparer.Ordinal);
        var order = new Dictionary<string, int>(StringComparer.Ordinal);
        var episodes = new List<Episode>();
        foreach (var group in used.GroupBy(i => Key(readings[i])))
        {
            var first = readings[group.First()];
            var wearer = first.Wearer ?? "";
            var place = order[first.Flight] = order.GetValueOrDefault(first.Flight) + 1;
            var clock = noClock.Contains(first.Flight) ? SecondsApart * place : group.Average(i => readings[i].Clock!.Value);
            episodes.Add(new(first.Flight, first.Flight + '\u001f' + wearer, wearer, Donning(first), first.Condition, clock, [.. group], episodes.Count));
        }
        return episodes;
    }

    private static (string, string?, string, string?, string) Key(Reading r) => (r.Flight, r.Wearer, r.Episode, Donning(r), r.Condition);

    // A worn reading that names no donning: all of its condition in one flight count as one donning, the cautious reading.
    private static string? Donning(Reading r) => r.Condition == Document.TrialDocument.OpenEar ? null
        : (r.Donning ?? $"{r.Flight}\u001f{r.Condition}") + '\u001f' + r.Wearer;
}
