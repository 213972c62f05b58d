using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Statistics.Uncertainty;

namespace Hushtrial.Hearing.Ratings;

/// <summary>The A-weighted reduction one wearer will get, as a distribution.</summary>
/// <remarks>Own method: R = −10 lg Σ p_b 10^(−(m_b + s_b z)/10) with the noise's A-weighted energy shares p and one z for all bands, as assumed protection
/// values have it; z ~ t(N − 1)·√(1 + 1/N), because mean and deviation are themselves estimates. Below 125 Hz threshold data read high by N(2, 1.2) dB; a band
/// below the lowest published one is that band's value less U(0, 6) dB. Evaluated on equally likely nodes: no random numbers.</remarks>
public sealed class WearerPrediction
{
    /// <summary>Number of people assumed where it is not stated: the fewest that common test standards accept (from memory).</summary>
    public const int AssumedPeople = 10;

    private const int WearerNodes = 801;
    private const int DoubtNodes = 15;
    private const double ThresholdDataBelowHertz = 124;

    private WearerPrediction(DrawnDistribution reduction, bool peopleAssumed, IReadOnlyList<Band> extended) =>
        (Reduction, PeopleAssumed, Extended) = (reduction, peopleAssumed, extended);

    /// <summary>Distribution of the A-weighted reduction, dB.</summary>
    public DrawnDistribution Reduction { get; }

    /// <summary>True when the number of people was not stated and <see cref="AssumedPeople"/> was used.</summary>
    public bool PeopleAssumed { get; }

    /// <summary>Bands of the noise for which nothing is published and the nearest published band had to stand in.</summary>
    public IReadOnlyList<Band> Extended { get; }

    /// <summary>Median reduction.</summary>
    public LevelDifference Median => Quantile(0.5);

    /// <summary>The reduction that a share of wearers does not reach.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The share is not inside (0, 1).</exception>
    public LevelDifference Quantile(double probability) => LevelDifference.FromDecibels(Reduction.Quantile(probability));

    /// <summary>The prediction for one noise.</summary>
    /// <param name="noise">Octaves, or one-third octaves that are summed to octaves. Every octave counts, also those outside the published range.</param>
    /// <param name="published">The protector.</param>
    public static WearerPrediction Of(Spectrum noise, PublishedAttenuation published)
    {
        var octaves = noise.ToOctaves();
        var total = octaves.Total(FrequencyWeighting.A);
        var (lowest, highest) = (published.Bands.Min(), published.Bands.Max());
        var parts = octaves.Entries.Select(e =>
        {
            var missingLow = e.Key.CompareTo(lowest) < 0;
            var data = published[missingLow ? lowest : e.Key.CompareTo(highest) > 0 ? highest : e.Key] ?? Between(published, e.Key);
            return (Share: (e.Value + Weightings.At(FrequencyWeighting.A, e.Key.ExactMidband) - total).Decibels, Mean: data.Mean.Decibels, Deviation: data.StandardDeviation.Decibels,
                ReadsHigh: published.Basis == AttenuationBasis.ThresholdShift && e.Key.NominalHertz < ThresholdDataBelowHertz, missingLow);
        }).ToArray();

        var people = published.Subjects ?? AssumedPeople;
        var scale = Math.Sqrt(1 + (1.0 / people));
        var z = Midpoints(WearerNodes).Select(p => scale * StudentT.Quantile(p, people - 1)).ToArray();
        double[] highReading = parts.Any(p => p.ReadsHigh) ? [.. Midpoints(DoubtNodes).Select(p => -2 + (1.2 * Gaussian.Quantile(p)))] : [0];
        double[] missing = parts.Any(p => p.missingLow) ? [.. Midpoints(DoubtNodes).Select(p => -6 * p)] : [0];
        var values = new double[z.Length * highReading.Length * missing.Length];
        var next = 0;
        foreach (var wearer in z)
            foreach (var high in highReading)
                foreach (var low in missing)
                {
                    var energy = 0.0;
                    foreach (var p in parts)
                        energy += Math.Pow(10, (p.Share - p.Mean - (p.Deviation * wearer) - (p.ReadsHigh ? high : 0) - (p.missingLow ? low : 0)) / 10);
                    values[next++] = -10 * Math.Log10(energy);
                }

        return new(new(values), published.Subjects is null, [.. octaves.Bands.Where(b => published[b] is null)]);
    }

    // A gap inside the published range: the mean of its neighbours.
    private static BandAttenuation Between(PublishedAttenuation published, Band band)
    {
        var below = published[published.Bands.Where(b => b.CompareTo(band) < 0).Max()]!.Value;
        var above = published[published.Bands.Where(b => b.CompareTo(band) > 0).Min()]!.Value;
        return new((below.Mean + above.Mean) * 0.5, (below.StandardDeviation + above.StandardDeviation) * 0.5);
    }

    private static IEnumerable<double> Midpoints(int count) => Enumerable.Range(0, count).Select(i => (i + 0.5) / count);
}
