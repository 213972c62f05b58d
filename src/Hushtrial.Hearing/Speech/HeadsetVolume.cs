using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Speech;

/// <summary>How wearers set the volume of a communication headset when the noise under it changes.</summary>
public static class HeadsetVolume
{
    /// <summary>Rise of the headset's level per rise of the noise, dB per dB.</summary>
    /// <remarks>Source: field data on communication headsets, 'Headset exposure and environmental noise', Canadian Acoustics (Journal of the Canadian Acoustical Association),
    /// article 2056, as summarised there: +0.42 dB of headset level per dB of ambient noise. That the noise left under a quieter device acts like a quieter
    /// room is our reading, not the source's.</remarks>
    public const double DecibelsPerDecibelOfNoise = 0.42;

    /// <summary>The source in one line, for reports.</summary>
    public const string Source = "‘Headset exposure and environmental noise’, Canadian Acoustics, article 2056: field data, 0.42 dB of headset level per dB of ambient noise";

    /// <summary>By how much the speech level changes when the noise under the device does.</summary>
    public static LevelDifference Following(LevelDifference noise) => noise * DecibelsPerDecibelOfNoise;
}
