using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Pairing;

/// <summary>The trial's quantity in one donning of one condition, dB: for an insertion loss the open level at the time of its readings minus their mean.</summary>
/// <param name="Condition">The condition.</param>
/// <param name="Donning">The donning.</param>
/// <param name="Run">Its run.</param>
/// <param name="Wearer">Its wearer; null when there is only one.</param>
/// <param name="Readings">Number of readings in it.</param>
/// <param name="Losses">Loss by name of quantity, dB.</param>
public sealed record PairedLoss(string Condition, string Donning, string Run, string? Wearer, int Readings, IReadOnlyDictionary<string, double> Losses);

/// <summary>Reference minus covered, donning by donning: what a figure shows as dots. The estimate itself comes from all readings together.</summary>
/// <remarks>The open level at a time lies on the straight line between the open readings before and after it, or is that of the only side there is.</remarks>
public static class PairedLosses
{
    /// <summary>The losses of all donnings in the order in which they were made.</summary>
    /// <param name="readings">The readings of the trial's quantity.</param>
    public static IReadOnlyList<PairedLoss> Of(IReadOnlyList<Reading> readings) =>
        Of(readings, r => r.Donning is not null, (run, _, quantity, clock) => OpenAt([.. run.Where(r => r.Condition == TrialDocument.OpenEar)], quantity, clock));

    /// <summary>The same for any of the three quantities.</summary>
    /// <param name="readings">The readings of the quantity.</param>
    /// <param name="settings">Which quantity it is: a level difference is what the reading says, an active part is measured against the same donning with the electronics off.</param>
    public static IReadOnlyList<PairedLoss> Of(IReadOnlyList<Reading> readings, EstimatedQuantity settings) => settings.Quantity switch
    {
        MeasuredQuantity.InsertionLoss => Of(readings),
        // Two microphones of which one is not calibrated differ by an arbitrary number: a donning's own value says nothing.
        MeasuredQuantity.LevelDifference => settings.ReferenceKnown ? Of(readings, r => r.Donning is not null, (_, _, _, _) => 0) : Of(readings, r => r.Donning is not null, (_, _, _, _) => null),
        _ => Of(readings, r => settings.Partners.ContainsKey(r.Condition), (run, on, quantity, clock) =>
            OpenAt([.. run.Where(r => r.Donning == on.Donning && r.Condition == settings.Partners[on.Condition])], quantity, clock)),
    };

    private static List<PairedLoss> Of(IReadOnlyList<Reading> readings, Func<Reading, bool> counts, Func<IEnumerable<Reading>, Reading, string, double?, double?> reference)
    {
        var quantities = readings.SelectMany(r => r.Values.Keys).Distinct(StringComparer.Ordinal).ToList();
        var losses = new List<PairedLoss>();
        foreach (var run in readings.GroupBy(r => (r.Flight, r.Wearer)))
            foreach (var fit in run.Where(counts).GroupBy(r => (r.Condition, Donning: r.Donning!)))
            {
                var byQuantity = new Dictionary<string, double>(StringComparer.Ordinal);
                foreach (var quantity in quantities)
                {
                    var each = fit.Where(r => r.Values.ContainsKey(quantity)).Select(r => reference(run, r, quantity, r.Clock) - r.Values[quantity]).ToList();
                    if (each.Count > 0 && each.All(l => l is not null)) byQuantity[quantity] = each.Average()!.Value;
                }
                losses.Add(new(fit.Key.Condition, fit.Key.Donning, run.Key.Flight, run.Key.Wearer, fit.Count(), byQuantity));
            }
        return losses;
    }

    private static double? OpenAt(List<Reading> open, string quantity, double? clock)
    {
        var read = open.Where(r => r.Values.ContainsKey(quantity)).ToList();
        if (read.Count == 0) return null;
        if (clock is not { } time || read.Any(r => r.Clock is null)) return read.Average(r => r.Values[quantity]);
        var before = Bracket(read.Where(r => r.Clock <= time).OrderByDescending(r => r.Clock), quantity);
        var after = Bracket(read.Where(r => r.Clock > time).OrderBy(r => r.Clock), quantity);
        return (before, after) switch
        {
            ({ } b, { } a) => b.Level + ((time - b.Clock) / (a.Clock - b.Clock) * (a.Level - b.Level)),
            ({ } b, null) => b.Level,
            (null, { } a) => a.Level,
            _ => null,
        };
    }

    /// <summary>Mean clock and level of the nearest open bracket.</summary>
    private static (double Clock, double Level)? Bracket(IOrderedEnumerable<Reading> nearestFirst, string quantity)
    {
        var nearest = nearestFirst.FirstOrDefault();
        if (nearest is null) return null;
        var bracket = nearestFirst.Where(r => r.Episode == nearest.Episode).ToList();
        return (bracket.Average(r => r.Clock!.Value), bracket.Average(r => r.Values[quantity]));
    }
}
