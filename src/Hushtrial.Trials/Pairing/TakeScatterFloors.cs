using Hushtrial.Quantities;
using Hushtrial.Statistics.Uncertainty;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Pairing;

/// <summary>The least scatter that a take's level can have, by quantity: what the wander inside the takes leaves of it after averaging.</summary>
/// <remarks>A lower bound for the model, which sees too few takes to know it well. Noted readings have no inside and give none.</remarks>
public static class TakeScatterFloors
{
    /// <summary>Standard deviation of a take's mean by name of quantity, dB; a quantity of which nothing is known is absent.</summary>
    /// <param name="takes">The takes as measured.</param>
    /// <param name="design">With an outside channel the wander of the difference counts.</param>
    /// <param name="share">Share of the outside level that is taken off, by name of quantity.</param>
    public static IReadOnlyDictionary<string, double> Of(IReadOnlyList<TakeLevels> takes, TrialDesign design, Func<string, double> share)
    {
        var used = takes.Where(t => t.Used && t.Ears[0].HalfSeconds is not null).ToList();
        var floors = new Dictionary<string, double>(StringComparer.Ordinal);
        if (used.Count == 0) return floors;
        // Takes differ in length; the floor is that of a typical one.
        var seconds = used.Select(t => t.Seconds!.Value).Order().ElementAt(used.Count / 2);
        void Add(string name, Func<ShortTermLevels, IReadOnlyList<double>?> series)
        {
            var readings = used.Select(t => Series(t, design, share(name), series)).OfType<IReadOnlyList<double>>().ToList();
            if (ShortTermWander.Estimate(readings, ShortTermLevels.Seconds) is { } wander) floors[name] = wander.SdOfMean(seconds);
        }
        Add(QuantityName.A, h => h.A);
        Add(QuantityName.C, h => h.C);
        foreach (var band in used.SelectMany(t => t.Ears[0].HalfSeconds!.Bands.Keys).Distinct().ToList())
            Add(QuantityName.Of(band), h => h.Bands.GetValueOrDefault(band));
        return floors;
    }

    private static IReadOnlyList<double>? Series(TakeLevels take, TrialDesign design, double share, Func<ShortTermLevels, IReadOnlyList<double>?> series)
    {
        var ear = series(take.Ears[0].HalfSeconds!);
        if (design != TrialDesign.OutsideChannel || ear is null) return ear;
        return take.Outside?.HalfSeconds is { } half && series(half) is { } outside ? [.. ear.Zip(outside, (e, o) => e - (share * o))] : null;
    }
}
