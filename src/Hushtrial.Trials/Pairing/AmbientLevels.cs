using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Pairing;

/// <summary>The mean level outside, which was subtracted from every reading of a trial with an outside channel.</summary>
public static class AmbientLevels
{
    /// <summary>What to add to a fitted level to make it a level at the ear, by name of quantity, dB; empty (that is 0) without an outside channel.</summary>
    /// <param name="takes">The takes as measured.</param>
    /// <param name="design">The trial's design.</param>
    public static IReadOnlyDictionary<string, double> Of(IReadOnlyList<TakeLevels> takes, TrialDesign design)
    {
        var ambient = new Dictionary<string, double>(StringComparer.Ordinal);
        if (design != TrialDesign.OutsideChannel) return ambient;
        var outside = takes.Where(t => t.Used && t.Outside is not null).Select(t => t.Outside!).ToList();
        void Mean(string name, Func<ChannelLevels, double?> level)
        {
            var levels = outside.Select(level).OfType<double>().ToList();
            if (levels.Count > 0) ambient[name] = levels.Average();
        }
        Mean(QuantityName.A, o => o.A);
        Mean(QuantityName.C, o => o.C);
        foreach (var band in outside.SelectMany(o => o.Bands.Keys).Distinct()) Mean(QuantityName.Of(band), o => o.Bands.TryGetValue(band, out var l) ? l : null);
        return ambient;
    }
}
