using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Ratings;

/// <summary>High-, medium- and low-frequency value and single number rating of ISO 4869-2.</summary>
/// <param name="High">H: for noises with C − A of −2 dB.</param>
/// <param name="Medium">M: for C − A of 2 dB.</param>
/// <param name="Low">L: for C − A of 10 dB.</param>
/// <param name="Snr">SNR: taken off the C-weighted level.</param>
public sealed record SingleNumberRatings(LevelDifference High, LevelDifference Medium, LevelDifference Low, LevelDifference Snr)
{
    /// <summary>The ratings as they are labelled and applied: whole decibels.</summary>
    /// <remarks>Source: ISO 4869-2:2018, clauses 7 and 8: ratings are rounded to the nearest integer before use.</remarks>
    public SingleNumberRatings Rounded => new(Round(High), Round(Medium), Round(Low), Round(Snr));

    /// <summary>The ratings of one person's, or of assumed, attenuation.</summary>
    /// <param name="attenuation">The seven octaves 125 Hz to 8 kHz in <see cref="PublishedAttenuation.RatingBands"/>; other bands play no part.</param>
    /// <remarks>Source: ISO 4869-2:2018, formulas (12) to (15) and (22); (12) to (14) from memory, proved by the standard's example.</remarks>
    /// <exception cref="ArgumentException">A band is missing.</exception>
    public static SingleNumberRatings OfAttenuation(IReadOnlyDictionary<Band, LevelDifference> attenuation)
    {
        double[] values = [.. PublishedAttenuation.RatingBands.Select(b => attenuation.TryGetValue(b, out var a) ? a.Decibels
            : throw new ArgumentException($"The octave at {b} is missing.", nameof(attenuation)))];
        double[] pnr = [.. ReferenceNoise.OfSpread.Select(noise => Reduction(noise, values))];
        double Sum(Range range, double factor) => (0.25 * pnr[range].Sum()) + (factor * pnr[range].Zip(ReferenceNoise.Constants[range], (p, d) => p * d).Sum());
        return new(Db(Sum(..4, -0.48)), Db(Sum(4.., -0.16)), Db(Sum(4.., 0.23)), Db(Reduction(ReferenceNoise.Pink, values)));
    }

    /// <summary>Predicted noise level reduction of one of the standard's eight noises, 1 to 8.</summary>
    /// <inheritdoc cref="OfAttenuation"/>
    public static LevelDifference PredictedReduction(int noise, IReadOnlyDictionary<Band, LevelDifference> attenuation) =>
        Db(Reduction(ReferenceNoise.OfSpread[noise - 1], [.. PublishedAttenuation.RatingBands.Select(b => attenuation[b].Decibels)]));

    /// <summary>The ratings from people's own values: mean − α · standard deviation of each rating over people (2018 edition).</summary>
    /// <remarks>Source: ISO 4869-2:2018, formulas (3) to (5) and (19).</remarks>
    /// <exception cref="ArgumentException">Fewer than two people, or a missing band.</exception>
    public static SingleNumberRatings OfPeople(IReadOnlyList<IReadOnlyDictionary<Band, LevelDifference>> people, ProtectionPerformance performance)
    {
        if (people.Count < 2) throw new ArgumentException($"{people.Count} people have no standard deviation.", nameof(people));
        var each = people.Select(OfAttenuation).ToArray();
        return new(Of(r => r.High), Of(r => r.Medium), Of(r => r.Low), Of(r => r.Snr));

        LevelDifference Of(Func<SingleNumberRatings, LevelDifference> rating)
        {
            var (mean, deviation) = Spread.Of([.. each.Select(r => rating(r).Decibels)]);
            return Db(mean - (performance.Alpha * deviation));
        }
    }

    /// <summary>The ratings from means and standard deviations alone: those of the assumed protection values (1994 edition).</summary>
    /// <remarks>The 2018 edition needs each person's values. Without them this is the way of ISO 4869-2:1994; the two agree within a decibel or so.</remarks>
    public static SingleNumberRatings OfMeans(PublishedAttenuation published, ProtectionPerformance performance) => OfAttenuation(published.AssumedProtection(performance));

    private static double Reduction(double[] noise, double[] attenuation) => 100 - (10 * Math.Log10(noise.Zip(attenuation, (l, a) => Math.Pow(10, 0.1 * (l - a))).Sum()));

    private static LevelDifference Round(LevelDifference value) => Db(Math.Round(value.Decibels, MidpointRounding.AwayFromZero));

    private static LevelDifference Db(double value) => LevelDifference.FromDecibels(value);
}
