using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Loudness;

/// <summary>An edition of ISO 226. The contours differ by up to 0.3 dB; the edition is always stated.</summary>
public enum EqualLoudnessEdition
{
    /// <summary>ISO 226:2003.</summary>
    Iso226Of2003 = 2003,

    /// <summary>ISO 226:2023, which replaced it.</summary>
    Iso226Of2023 = 2023,
}

/// <summary>Normal equal-loudness-level contours of pure tones: phon from dB and dB from phon.</summary>
/// <remarks>Source: ISO 226:2003 and ISO 226:2023, clause 4 and Table 1. Valid from 20 phon to 90 phon up to 4 kHz and to 80 phon from 5 kHz to
/// 12.5 kHz; values outside are extrapolated, see <see cref="IsWithinRange"/>. Between the 29 tabulated frequencies the standard says
/// nothing: the three parameters are interpolated linearly over the logarithm of frequency (own choice).</remarks>
public static class EqualLoudness
{
    /// <summary>The edition to use where nobody chose: the current one.</summary>
    public const EqualLoudnessEdition CurrentEdition = EqualLoudnessEdition.Iso226Of2023;

    // Room for the exact midbands of the outermost bands, 19.95 Hz and 12 589 Hz.
    private const double LowestHertz = 19.9;
    private const double HighestHertz = 12_600;

    /// <summary>The level of a tone with this loudness level.</summary>
    /// <param name="loudnessLevel">Loudness level, phon.</param>
    /// <param name="frequency">20 Hz to 12.5 kHz. For a tabulated contour give the nominal frequency.</param>
    /// <param name="edition">The edition.</param>
    /// <exception cref="ArgumentOutOfRangeException">The frequency is outside the table.</exception>
    public static Level LevelOf(Phon loudnessLevel, Frequency frequency, EqualLoudnessEdition edition)
    {
        var (alpha, lu, tf) = ParametersAt(frequency, edition);
        var ln = loudnessLevel.Value;
        return Level.FromDecibels(edition == EqualLoudnessEdition.Iso226Of2003
            ? (10 / alpha * Math.Log10((4.47e-3 * (Math.Pow(10, 0.025 * ln) - 1.15)) + Math.Pow(0.4 * Math.Pow(10, ((tf + lu) / 10) - 9), alpha))) - lu + 94
            : (10 / alpha * Math.Log10((Math.Pow(4e-10, 0.3 - alpha) * (Math.Pow(10, 0.03 * ln) - Math.Pow(10, 0.072))) + Math.Pow(10, alpha * (tf + lu) / 10))) - lu);
    }

    /// <summary>The loudness level of a tone, or null when it lies so far under the threshold of hearing that it has none.</summary>
    /// <param name="level">Level of the tone in the free field, dB re 20 µPa.</param>
    /// <param name="frequency">20 Hz to 12.5 kHz.</param>
    /// <param name="edition">The edition.</param>
    /// <exception cref="ArgumentOutOfRangeException">The frequency is outside the table.</exception>
    public static Phon? LoudnessLevelOf(Level level, Frequency frequency, EqualLoudnessEdition edition)
    {
        var (alpha, lu, tf) = ParametersAt(frequency, edition);
        double ln;
        if (edition == EqualLoudnessEdition.Iso226Of2003)
        {
            // The exact inverse of the forward formula; the printed one has rounded constants and is up to 0.03 phon away from it.
            var excess = Math.Pow(10, alpha * (level.Decibels + lu - 94) / 10) - Math.Pow(0.4 * Math.Pow(10, ((tf + lu) / 10) - 9), alpha);
            ln = Math.Log10((excess / 4.47e-3) + 1.15) / 0.025;
        }
        else
        {
            var excess = Math.Pow(10, alpha * (level.Decibels + lu) / 10) - Math.Pow(10, alpha * (tf + lu) / 10);
            ln = Math.Log10((excess / Math.Pow(4e-10, 0.3 - alpha)) + Math.Pow(10, 0.072)) / 0.03;
        }

        return ln is >= 0 and <= 200 ? Phon.FromValue(ln) : null;
    }

    /// <summary>Whether the standard vouches for a loudness level at a frequency.</summary>
    public static bool IsWithinRange(Phon loudnessLevel, Frequency frequency) =>
        loudnessLevel.Value >= 20 && loudnessLevel.Value <= (frequency.Hertz < 4500 ? 90 : 80);

    /// <summary>The name of an edition, for example 'ISO 226:2023'.</summary>
    public static string NameOf(EqualLoudnessEdition edition) => edition switch
    {
        EqualLoudnessEdition.Iso226Of2003 => "ISO 226:2003",
        EqualLoudnessEdition.Iso226Of2023 => "ISO 226:2023",
        _ => throw new ArgumentOutOfRangeException(nameof(edition), edition, "The editions are those of 2003 and 2023."),
    };

    private static (double Alpha, double Lu, double Tf) ParametersAt(Frequency frequency, EqualLoudnessEdition edition)
    {
        if (frequency.Hertz is < LowestHertz or > HighestHertz)
            throw new ArgumentOutOfRangeException(nameof(frequency), frequency.Hertz, "ISO 226 runs from 20 Hz to 12.5 kHz.");
        var (alpha, lu, tf) = edition switch
        {
            EqualLoudnessEdition.Iso226Of2003 => EqualLoudnessParameters.Of2003,
            EqualLoudnessEdition.Iso226Of2023 => EqualLoudnessParameters.Of2023,
            _ => throw new ArgumentOutOfRangeException(nameof(edition), edition, "The editions are those of 2003 and 2023."),
        };
        var at = LogInterpolation.Locate(EqualLoudnessParameters.Hertz, frequency.Hertz);
        return (at.Of(alpha), at.Of(lu), at.Of(tf));
    }
}
