using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Claims;

/// <summary>Published octave data in the form that predictions are made from.</summary>
public static class PublishedOctaves
{
    /// <summary>Octave means and deviations of a device, taken as threshold data, which is how such tables are made (ISO 4869-1).</summary>
    /// <returns>null when a band is no octave, has no deviation, one from 125 Hz to 8 kHz is missing, or fewer than two people are stated.</returns>
    public static PublishedAttenuation? Of(PublishedFigures? published)
    {
        if (published is not { Bands.Count: > 0 } || published.Bands.Any(b => b.Band.Fraction != BandFraction.Octave || b.StandardDeviation is null)) return null;
        if (published.Subjects < 2 || !PublishedAttenuation.RatingBands.All(r => published.Bands.Any(b => b.Band == r))) return null;
        return PublishedAttenuation.Of(published.Bands.ToDictionary(b => b.Band, b => new BandAttenuation(LevelDifference.FromDecibels(b.Mean),
            LevelDifference.FromDecibels(b.StandardDeviation!.Value))), published.Subjects, AttenuationBasis.ThresholdShift);
    }
}
