using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>Two protectors at once, and the sound that reaches the inner ear past any protector.</summary>
public static class DoubleProtection
{
    /// <summary>The usual gain of a second protector over the better one, 5 dB.</summary>
    /// <remarks>Source: OSHA Technical Manual, noise chapter, read in secondary pages; approximate.</remarks>
    public static LevelDifference UsualGain { get; } = LevelDifference.FromDecibels(5);

    /// <summary>The reduction usually assumed for two protectors: the higher of the two plus 5 dB.</summary>
    public static LevelDifference UsualReduction(LevelDifference first, LevelDifference second) =>
        (first.CompareTo(second) >= 0 ? first : second) + UsualGain;

    /// <summary>About where bone and body conduction end the protection of any device in a band.</summary>
    /// <remarks>From memory of Berger, Kieper and Gauger 2003: about 40 dB near 2 kHz, 45 to 55 dB elsewhere (the lower figure is returned).
    /// Approximate: good for a warning that a reading above it is no protection, never as a correction.</remarks>
    public static LevelDifference AboutBoneConductionLimit(Frequency frequency) =>
        LevelDifference.FromDecibels(frequency.Hertz is >= 1400 and <= 2850 ? 40 : 45);
}
