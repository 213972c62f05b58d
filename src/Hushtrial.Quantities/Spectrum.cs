namespace Hushtrial.Quantities;

/// <summary>Unweighted (Z) levels of a run of bands, in order of frequency, each band once.</summary>
public sealed class Spectrum
{
    private readonly SortedDictionary<Band, Level> _levels;

    private Spectrum(SortedDictionary<Band, Level> levels) => _levels = levels;

    /// <summary>A spectrum of unweighted band levels.</summary>
    /// <exception cref="ArgumentException">No band, a band twice, or octaves mixed with one-third octaves.</exception>
    public static Spectrum Of(IEnumerable<KeyValuePair<Band, Level>> levels)
    {
        var sorted = new SortedDictionary<Band, Level>();
        foreach (var (band, level) in levels)
            if (!sorted.TryAdd(band, level)) throw new ArgumentException($"The band at {band} is given twice.", nameof(levels));
        if (sorted.Count == 0) throw new ArgumentException("A spectrum needs at least one band.", nameof(levels));
        if (sorted.Keys.Select(b => b.Fraction).Distinct().Count() > 1)
            throw new ArgumentException("A spectrum holds octaves or one-third octaves, not both.", nameof(levels));
        return new(sorted);
    }

    /// <summary>A spectrum from bands and as many levels in dB.</summary>
    /// <exception cref="ArgumentException">Unequal counts, or as in <see cref="Of(IEnumerable{KeyValuePair{Band, Level}})"/>.</exception>
    public static Spectrum Of(IReadOnlyList<Band> bands, IReadOnlyList<double> decibels) => bands.Count == decibels.Count
        ? Of(bands.Zip(decibels, (b, l) => KeyValuePair.Create(b, Level.FromDecibels(l))))
        : throw new ArgumentException($"{bands.Count} bands but {decibels.Count} levels.", nameof(decibels));

    /// <summary>The bands, rising.</summary>
    public IReadOnlyCollection<Band> Bands => _levels.Keys;

    /// <summary>Octave or one-third octave.</summary>
    public BandFraction Fraction => _levels.Keys.First().Fraction;

    /// <summary>The level of one band, or null when the spectrum does not hold it.</summary>
    public Level? this[Band band] => _levels.TryGetValue(band, out var level) ? level : null;

    /// <summary>The bands with their levels, rising in frequency.</summary>
    public IEnumerable<KeyValuePair<Band, Level>> Entries => _levels;

    /// <summary>The overall level under a frequency weighting: 10 lg Σ 10^((L+W)/10) over the bands, with W at the exact midbands.</summary>
    public Level Total(FrequencyWeighting weighting) =>
        Level.EnergySum([.. _levels.Select(e => e.Value + Weightings.At(weighting, e.Key.ExactMidband))]);

    /// <summary>The spectrum left after a loss per band; a band without a loss keeps its level.</summary>
    public Spectrum Minus(IReadOnlyDictionary<Band, LevelDifference> loss) =>
        Of(_levels.Select(e => KeyValuePair.Create(e.Key, loss.TryGetValue(e.Key, out var d) ? e.Value - d : e.Value)));

    /// <summary>The octave spectrum: energy sums of the one-third octaves; an octave with a missing third is left out.</summary>
    public Spectrum ToOctaves() => Fraction == BandFraction.Octave ? this
        : Of(Band.Octaves.Where(o => o.Thirds.All(_levels.ContainsKey))
            .Select(o => KeyValuePair.Create(o, Level.EnergySum([.. o.Thirds.Select(t => _levels[t])]))));
}
