using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Levels;

/// <summary>Has the loops of the engine compiled before they are needed.</summary>
/// <remarks>They depend on the width of the processor's vectors, so that even a program compiled ahead compiles them when it runs. A program that knows it
/// will measure can have that done on another thread while it looks at its arguments and files.</remarks>
public static class EngineStart
{
    /// <summary>Measures a moment of silence, whose levels nobody reads.</summary>
    public static void Prepare()
    {
        const int rate = 48_000, frames = rate / 8;
        using var silence = new BufferedBytes(new byte[3 * frames]);
        var samples = new StoredSamples(silence, new(0, frames, 1, 3, rate, new(SampleKind.SignedInteger, 3, 24, BigEndian: false)));
        // The bands wait for their design, all else does not.
        Parallel.Invoke(() => _ = LevelAnalysis.Measure(samples, 0, 0, frames, new() { Octaves = false, Thirds = false }), () => _ = new FilterSet(rate, new()));
        _ = LevelAnalysis.Measure(samples, 0, 0, frames, new());
    }
}
