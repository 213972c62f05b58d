using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Loudness;

/// <summary>The reference threshold of hearing of young people with normal hearing.</summary>
/// <remarks>Source: ISO 389-7:2005 with Amd 1:2016, Table 1. The audiometric frequencies were read; the diffuse-field values of the other
/// one-third octaves are from memory, see <see cref="IsFromMemory"/>. Between the tabulated frequencies the value is interpolated
/// linearly over the logarithm of frequency (own choice).</remarks>
public static class HearingThreshold
{
    private static readonly double[] _hertz = [20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 750, 800, 1000, 1250, 1500, 1600,
        2000, 2500, 3000, 3150, 4000, 5000, 6000, 6300, 8000, 10000, 12500, 16000];

    private static readonly double[] _free = [78.1, 68.7, 59.5, 51.1, 44, 37.5, 31.5, 26.5, 22.1, 17.9, 14.4, 11.4, 8.6, 6.2, 4.4, 3, 2.4, 2.2, 2.4, 3.5, 2.4, 1.7,
        -1.3, -4.2, -5.8, -6, -5.4, -1.5, 4.3, 6, 12.6, 13.9, 12.3, 40.2];

    private static readonly double[] _diffuse = [78.1, 68.7, 59.5, 51.1, 44, 37.5, 31.5, 26.5, 22.1, 17.9, 14.4, 11.4, 8.4, 5.8, 3.8, 2.1, 1.2, 1, 0.8, 1.9, 1, 0.5,
        -1.5, -3.1, -4, -4, -3.8, -1.8, 1.4, 2.5, 6.8, 9.8, 14.4, 43.7];

    private static readonly double[] _audiometric = [125, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000];

    /// <summary>The threshold of a tone, dB re 20 µPa in the field without the listener.</summary>
    /// <param name="frequency">20 Hz to 16 kHz (with room for the exact midbands of the outermost bands).</param>
    /// <param name="field">Free field from the front, or diffuse.</param>
    /// <exception cref="ArgumentOutOfRangeException">The frequency is outside the table.</exception>
    public static Level At(Frequency frequency, SoundField field) => frequency.Hertz is >= 19.9 and <= 16_100
        ? Level.FromDecibels(LogInterpolation.Locate(_hertz, frequency.Hertz).Of(field == SoundField.Free ? _free : _diffuse))
        : throw new ArgumentOutOfRangeException(nameof(frequency), frequency.Hertz, "The threshold is tabulated from 20 Hz to 16 kHz.");

    /// <summary>Whether the diffuse-field value at a nominal frequency rests on memory rather than on a reading of the table.</summary>
    public static bool IsFromMemory(Frequency nominal) => Array.IndexOf(_audiometric, nominal.Hertz) < 0;
}
