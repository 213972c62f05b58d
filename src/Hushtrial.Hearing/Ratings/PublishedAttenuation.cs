using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Ratings;

/// <summary>How published attenuation was measured.</summary>
public enum AttenuationBasis
{
    /// <summary>Shift of the hearing threshold: reads high at low frequency, because the wearer's own body noise masks the covered threshold.</summary>
    ThresholdShift,

    /// <summary>Microphone at the ear, open minus covered.</summary>
    EarMicrophone,
}

/// <summary>Mean and standard deviation over people in one band.</summary>
/// <param name="Mean">Mean attenuation.</param>
/// <param name="StandardDeviation">Standard deviation between people (N − 1).</param>
public readonly record struct BandAttenuation(LevelDifference Mean, LevelDifference StandardDeviation);

/// <summary>Attenuation of a protector as published: octave means and standard deviations.</summary>
public sealed class PublishedAttenuation
{
    private readonly SortedDictionary<Band, BandAttenuation> _bands;

    private PublishedAttenuation(SortedDictionary<Band, BandAttenuation> bands, int? subjects, AttenuationBasis basis) => (_bands, Subjects, Basis) = (bands, subjects, basis);

    /// <summary>The seven octaves 125 Hz to 8 kHz that ratings are made of.</summary>
    public static IReadOnlyList<Band> RatingBands { get; } = [.. Enumerable.Range(-3, 7).Select(Band.Octave)];

    /// <summary>The optional octave at 63 Hz.</summary>
    public static Band LowBand { get; } = Band.Octave(-4);

    /// <summary>Number of people measured; null when not stated.</summary>
    public int? Subjects { get; }

    /// <summary>How it was measured.</summary>
    public AttenuationBasis Basis { get; }

    /// <summary>The bands, rising.</summary>
    public IReadOnlyCollection<Band> Bands => _bands.Keys;

    /// <summary>Mean and standard deviation of a band, or null.</summary>
    public BandAttenuation? this[Band band] => _bands.TryGetValue(band, out var value) ? value : null;

    /// <summary>Published means and standard deviations.</summary>
    /// <exception cref="ArgumentException">A band is no octave, one of 125 Hz to 8 kHz is missing, a standard deviation is negative, or fewer than two people.</exception>
    public static PublishedAttenuation Of(IReadOnlyDictionary<Band, BandAttenuation> octaves, int? subjects, AttenuationBasis basis)
    {
        if (octaves.Keys.FirstOrDefault(b => b.Fraction != BandFraction.Octave) is { Fraction: BandFraction.ThirdOctave } third)
            throw new ArgumentException($"The band at {third} is a one-third octave; attenuation is published by octaves.", nameof(octaves));
        foreach (var band in RatingBands)
            if (!octaves.ContainsKey(band)) throw new ArgumentException($"The octave at {band} is missing.", nameof(octaves));
        foreach (var (band, value) in octaves)
            if (value.StandardDeviation.Decibels < 0) throw new ArgumentException($"The standard deviation at {band} is negative.", nameof(octaves));
        return subjects is < 2 ? throw new ArgumentException($"{subjects} people have no standard deviation.", nameof(subjects))
            : new(new(octaves.ToDictionary()), subjects, basis);
    }

    /// <summary>Means and standard deviations (N − 1) over people.</summary>
    /// <param name="octaves">The bands of the columns.</param>
    /// <param name="people">One row per person.</param>
    /// <param name="basis">How it was measured.</param>
    /// <exception cref="ArgumentException">Fewer than two people, a row of another length, or as in <see cref="Of"/>.</exception>
    public static PublishedAttenuation OfPeople(IReadOnlyList<Band> octaves, IReadOnlyList<IReadOnlyList<LevelDifference>> people, AttenuationBasis basis)
    {
        if (people.Count < 2) throw new ArgumentException($"{people.Count} people have no standard deviation.", nameof(people));
        if (people.FirstOrDefault(p => p.Count != octaves.Count) is { } odd) throw new ArgumentException($"{octaves.Count} bands, but a person with {odd.Count} values.", nameof(people));
        return Of(octaves.Select((b, i) => (b, Spread.Of([.. people.Select(p => p[i].Decibels)])))
            .ToDictionary(x => x.b, x => new BandAttenuation(LevelDifference.FromDecibels(x.Item2.Mean), LevelDifference.FromDecibels(x.Item2.Deviation))), people.Count, basis);
    }

    /// <summary>Assumed protection value: mean − α · standard deviation.</summary>
    /// <remarks>Source: ISO 4869-2:2018, formula (1). Computed from unrounded values; the standard's example rounds mean and deviation first.</remarks>
    public IReadOnlyDictionary<Band, LevelDifference> AssumedProtection(ProtectionPerformance performance) =>
        _bands.ToDictionary(e => e.Key, e => e.Value.Mean - (e.Value.StandardDeviation * performance.Alpha));
}

/// <summary>Sample mean and standard deviation.</summary>
internal static class Spread
{
    public static (double Mean, double Deviation) Of(IReadOnlyList<double> values)
    {
        var mean = values.Average();
        return (mean, Math.Sqrt(values.Sum(v => (v - mean) * (v - mean)) / (values.Count - 1)));
    }
}
