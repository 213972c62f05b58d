using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Speech;

/// <summary>The speech interference level.</summary>
/// <remarks>Source: ISO 9921:2003, annex on the method, from memory: arithmetic mean of the octave-band levels of the noise at 500, 1000, 2000 and 4000 Hz.</remarks>
public static class InterferenceLevel
{
    /// <summary>The level; one-third octaves are first summed to octaves. Null when an octave is missing.</summary>
    public static Level? Of(Spectrum noise)
    {
        var octaves = noise.ToOctaves();
        var levels = Enumerable.Range(-1, 4).Select(i => octaves[Band.Octave(i)]).ToArray();
        return levels.All(l => l is not null) ? Level.FromDecibels(levels.Average(l => l!.Value.Decibels)) : null;
    }
}
