using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>Whether the level at the ear is too loud, right or too quiet.</summary>
public enum ProtectionBand
{
    /// <summary>Above the action level: not enough protection.</summary>
    Insufficient,

    /// <summary>Up to 5 dB below the action level.</summary>
    AcceptableLow,

    /// <summary>5 to 10 dB below.</summary>
    Good,

    /// <summary>10 to 15 dB below.</summary>
    AcceptableHigh,

    /// <summary>More than 15 dB below: isolated from speech and warnings.</summary>
    TooQuiet,
}

/// <summary>The bands of protection of EN 458.</summary>
/// <remarks>Source: EN 458 from memory; its target of 75 to 80 dB(A) at the ear is confirmed by a trade article on the 2004 edition. Some say 65 to 79 dB(A)
/// is right (a German trade body). It is a guide to choosing, not a limit.</remarks>
public static class ProtectionBands
{
    /// <summary>The usual action level, 85 dB(A).</summary>
    public static Level UsualActionLevel { get; } = Level.FromDecibels(85);

    /// <summary>The band a level at the ear falls in.</summary>
    public static ProtectionBand At(Level atEar, Level actionLevel) => (actionLevel - atEar).Decibels switch
    {
        < 0 => ProtectionBand.Insufficient,
        < 5 => ProtectionBand.AcceptableLow,
        <= 10 => ProtectionBand.Good,
        <= 15 => ProtectionBand.AcceptableHigh,
        _ => ProtectionBand.TooQuiet,
    };

    /// <summary>The band in words, with the caution that goes with it.</summary>
    public static string Describe(ProtectionBand band) => band switch
    {
        ProtectionBand.Insufficient => "too loud at the ear: not enough protection",
        ProtectionBand.AcceptableLow => "acceptable, on the loud side",
        ProtectionBand.Good => "in the range usually aimed at",
        ProtectionBand.AcceptableHigh => "acceptable, on the quiet side: check that warnings are heard",
        ProtectionBand.TooQuiet => "very quiet at the ear: the wearer may miss warnings, speech and the sound of the machine",
        _ => throw new ArgumentOutOfRangeException(nameof(band), band, "Unknown band."),
    };
}
