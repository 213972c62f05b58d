using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Pairing;

/// <summary>How much louder it was outside during a condition than during the open-ear takes of the same runs: what the outside channel took off.</summary>
public static class CabinChanges
{
    /// <summary>Mean change by condition and name of quantity, dB; empty without an outside channel or without open-ear takes.</summary>
    /// <param name="takes">The takes as measured.</param>
    /// <param name="design">The trial's design.</param>
    public static IReadOnlyDictionary<(string Condition, string Quantity), double> Of(IReadOnlyList<TakeLevels> takes, TrialDesign design)
    {
        var changes = new Dictionary<(string, string), double>();
        if (design != TrialDesign.OutsideChannel) return changes;
        var used = takes.Where(t => t.Used && t.Outside is not null).ToList();
        foreach (var condition in used.Select(t => t.Entry.Condition).Where(c => c != TrialDocument.OpenEar).Distinct(StringComparer.Ordinal))
        {
            Mean(QuantityName.A, o => o.A);
            Mean(QuantityName.C, o => o.C);
            foreach (var band in used.SelectMany(t => t.Outside!.Bands.Keys).Distinct()) Mean(QuantityName.Of(band), o => o.Bands.TryGetValue(band, out var l) ? l : null);

            void Mean(string name, Func<ChannelLevels, double?> level)
            {
                var each = used.GroupBy(t => (t.Entry.Run, t.Entry.Wearer)).Select(run => Average(run, condition, level) - Average(run, TrialDocument.OpenEar, level)).OfType<double>().ToList();
                if (each.Count > 0) changes[(condition, name)] = each.Average();
            }
        }
        return changes;
    }

    private static double? Average(IEnumerable<TakeLevels> takes, string condition, Func<ChannelLevels, double?> level)
    {
        var levels = takes.Where(t => t.Entry.Condition == condition).Select(t => level(t.Outside!)).OfType<double>().ToList();
        return levels.Count == 0 ? null : levels.Average();
    }
}
