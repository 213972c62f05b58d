using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Audibility;

/// <summary>A device's own noise against the threshold of hearing, by band.</summary>
/// <param name="Bands">Band, level, and level over the threshold.</param>
/// <param name="LoudestBand">The band that stands out most.</param>
/// <param name="OverThreshold">By how much it does; negative when nothing is heard in quiet.</param>
public sealed record DeviceHiss(IReadOnlyList<(Band Band, Level Level, LevelDifference OverThreshold)> Bands, Band LoudestBand, LevelDifference OverThreshold)
{
    /// <summary>Whether a person with normal hearing hears it in a quiet room: a band over the threshold of a tone at its midband (common practice).</summary>
    public bool HeardInQuiet => OverThreshold.Decibels > 0;

    /// <summary>Compares the noise of a switched-on device in a quiet room with ISO 389-7.</summary>
    /// <param name="hiss">Field-related band levels at the ear in quiet.</param>
    /// <param name="field">The field.</param>
    /// <exception cref="ArgumentException">No band between 20 Hz and 16 kHz.</exception>
    public static DeviceHiss Of(Spectrum hiss, SoundField field)
    {
        var bands = hiss.Entries.Where(e => e.Key.ExactMidband.Hertz is >= 19.9 and <= 16_000)
            .Select(e => (e.Key, e.Value, e.Value - HearingThreshold.At(e.Key.ExactMidband, field))).ToArray();
        if (bands.Length == 0) throw new ArgumentException("The spectrum has no band between 20 Hz and 16 kHz.", nameof(hiss));
        var loudest = bands.MaxBy(b => b.Item3.Decibels);
        return new(bands, loudest.Key, loudest.Item3);
    }
}
