using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Cabins;

/// <summary>Which bands carry a weighted level.</summary>
public static class EnergyShares
{
    /// <summary>Share of the weighted energy in every band; they sum to 1.</summary>
    public static IReadOnlyDictionary<Band, double> Of(Spectrum levels, FrequencyWeighting weighting)
    {
        var total = levels.Total(weighting);
        return levels.Entries.ToDictionary(e => e.Key, e => Math.Pow(10, (e.Value + Weightings.At(weighting, e.Key.ExactMidband) - total).Decibels / 10));
    }

    /// <summary>The weighted level of one band alone.</summary>
    /// <exception cref="ArgumentException">The spectrum does not hold the band.</exception>
    public static Level LevelOf(Spectrum levels, Band band, FrequencyWeighting weighting) =>
        (levels[band] ?? throw new ArgumentException($"The spectrum does not hold {band}.", nameof(band))) + Weightings.At(weighting, band.ExactMidband);

    /// <summary>The shares gathered into octaves, which one takes in at a glance; octaves stay as they are.</summary>
    public static IReadOnlyDictionary<Band, double> ByOctave(IReadOnlyDictionary<Band, double> shares) => Band.Octaves
        .Select(o => (Octave: o, Share: shares.TryGetValue(o, out var own) ? own : o.Thirds.Sum(t => shares.GetValueOrDefault(t))))
        .Where(o => shares.ContainsKey(o.Octave) || o.Octave.Thirds.Any(shares.ContainsKey)).ToDictionary(o => o.Octave, o => o.Share);
}
