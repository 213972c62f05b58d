using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>What is left of a protector's reduction when it is off for part of the time.</summary>
/// <remarks>Equal energy: R' = −10 lg((1 − p) 10^(−R/10) + p). The UK regulator's published figures follow from it: 25 dB with 2 minutes in 60
/// off is 14 dB, any protector half the time off is 3 dB.</remarks>
public static class OffTime
{
    /// <summary>The effective reduction.</summary>
    /// <param name="reduction">A-weighted reduction while worn.</param>
    /// <param name="shareOff">Share of the time off, 0…1.</param>
    /// <exception cref="ArgumentOutOfRangeException">The share is outside 0…1.</exception>
    public static LevelDifference EffectiveReduction(LevelDifference reduction, double shareOff) => shareOff is >= 0 and <= 1
        ? LevelDifference.FromDecibels(-10 * Math.Log10(((1 - shareOff) * Math.Pow(10, -reduction.Decibels / 10)) + shareOff))
        : throw new ArgumentOutOfRangeException(nameof(shareOff), shareOff, "A share lies in 0…1.");

    /// <summary>What no protector can exceed with this much off-time: −10 lg p; null without off-time.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The share is outside 0…1.</exception>
    public static LevelDifference? Ceiling(double shareOff) => shareOff switch
    {
        0 => null,
        > 0 and <= 1 => LevelDifference.FromDecibels(-10 * Math.Log10(shareOff)),
        _ => throw new ArgumentOutOfRangeException(nameof(shareOff), shareOff, "A share lies in 0…1."),
    };
}
