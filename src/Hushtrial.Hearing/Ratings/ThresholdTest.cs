using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Ratings;

/// <summary>Uncertainty of attenuation from threshold tests.</summary>
/// <remarks>Source: ISO 4869-1:2018, annexes A and B.</remarks>
public static class ThresholdTest
{
    /// <summary>Standard uncertainty of a mean over people: s/√N.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Fewer than two people or a negative deviation.</exception>
    public static LevelDifference UncertaintyOfMean(LevelDifference standardDeviation, int people)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(people, 2);
        ArgumentOutOfRangeException.ThrowIfNegative(standardDeviation.Decibels, nameof(standardDeviation));
        return standardDeviation * (1 / Math.Sqrt(people));
    }

    /// <summary>Independent contributions together: the root of the sum of their squares.</summary>
    public static LevelDifference Combined(params ReadOnlySpan<LevelDifference> contributions)
    {
        var sum = 0.0;
        foreach (var c in contributions) sum += c.Decibels * c.Decibels;
        return LevelDifference.FromDecibels(Math.Sqrt(sum));
    }

    /// <summary>Expanded uncertainty for 95 %: twice the standard uncertainty.</summary>
    public static LevelDifference Expanded(LevelDifference standardUncertainty) => standardUncertainty * 2;

    /// <summary>Smallest difference of two means that is significant: √(U² + U²) of their expanded uncertainties.</summary>
    public static LevelDifference SmallestSignificantDifference(LevelDifference firstExpanded, LevelDifference secondExpanded) => Combined(firstExpanded, secondExpanded);
}
