using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Ratings;

/// <summary>Frequency weightings as IEC 61672-1, Table 3 prints them, in tenths of a decibel: the rating rules calculate with these.</summary>
internal static class TabulatedWeighting
{
    public static LevelDifference At(FrequencyWeighting weighting, Band band) =>
        LevelDifference.FromDecibels(Math.Round(Weightings.At(weighting, band.ExactMidband).Decibels, 1, MidpointRounding.AwayFromZero));
}
