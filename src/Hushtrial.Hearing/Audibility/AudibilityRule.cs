using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Audibility;

/// <summary>When a warning sound counts as clearly audible over noise.</summary>
/// <param name="Source">The source of the numbers.</param>
/// <param name="OverThresholdInOctave">Least excess over the masked threshold in at least one octave.</param>
/// <param name="OverThresholdInThirdOctave">Least excess over the masked threshold in at least one one-third octave.</param>
/// <param name="OverNoiseA">Least A-weighted signal level over the A-weighted noise level.</param>
/// <param name="UpwardSlopePerOctave">How the masked threshold falls towards higher bands, per octave.</param>
public sealed record AudibilityRule(string Source, LevelDifference OverThresholdInOctave, LevelDifference OverThresholdInThirdOctave,
    LevelDifference OverNoiseA, LevelDifference UpwardSlopePerOctave)
{
    /// <summary>The rule of ISO 7731: one of 10 dB in an octave, 13 dB in a one-third octave, 15 dB in A-level; the threshold falls by 7.5 dB per octave upwards.</summary>
    /// <remarks>ISO 7731:2003, from memory; the numbers were not checked against the document.</remarks>
    public static AudibilityRule Iso7731FromMemory { get; } = new("ISO 7731:2003, from memory",
        LevelDifference.FromDecibels(10), LevelDifference.FromDecibels(13), LevelDifference.FromDecibels(15), LevelDifference.FromDecibels(7.5));

    /// <summary>Least A-weighted level that the rule asks of the signal besides, whatever the noise: 65 dB(A), from memory as the rest. It is told and makes no verdict.</summary>
    public Level LeastSignalA { get; init; } = Level.FromDecibels(65);

    /// <summary>What is printed with every result.</summary>
    public const string Caution = "Confirm by ear on the ground and before every use that gear, stall, engine, fire and cabin signals are heard under the device, with its "
        + "electronics on and off; if one is not, find another way or do not use the device. A calculation never replaces this check.";

    /// <summary>The excess this rule asks for in bands of one kind.</summary>
    public LevelDifference Required(BandFraction fraction) => fraction == BandFraction.Octave ? OverThresholdInOctave : OverThresholdInThirdOctave;
}
