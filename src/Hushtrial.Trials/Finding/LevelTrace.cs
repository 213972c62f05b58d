using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;

namespace Hushtrial.Trials.Finding;

/// <summary>The level history of one channel of one recording, as the finding of takes reads it.</summary>
/// <remarks>Immutable. Mean squares per step relative to any reference; all recordings of one search share it (one gain).</remarks>
public sealed class LevelTrace
{
    private readonly IReadOnlyList<float>[] _thirds;

    /// <summary>A trace from mean squares.</summary>
    /// <param name="recording">Identity of the recording.</param>
    /// <param name="stepSeconds">Length of a step, s, 0.05…0.5.</param>
    /// <param name="meanSquareA">A-weighted mean square of each step.</param>
    /// <param name="bands">The one-third-octave bands, rising.</param>
    /// <param name="thirds">Unweighted mean squares by band, then by step.</param>
    /// <exception cref="ArgumentException">Lengths that do not belong together, or bands that are not one-third octaves.</exception>
    /// <exception cref="ArgumentOutOfRangeException">The step is out of range.</exception>
    public LevelTrace(string recording, double stepSeconds, IReadOnlyList<float> meanSquareA, IReadOnlyList<Band> bands, IReadOnlyList<IReadOnlyList<float>> thirds)
    {
        if (stepSeconds is not (>= 0.05 and <= 0.5)) throw new ArgumentOutOfRangeException(nameof(stepSeconds), stepSeconds, "Takes are found in steps of 0.05 to 0.5 s.");
        if (bands.Count != thirds.Count || thirds.Any(t => t.Count != meanSquareA.Count)) throw new ArgumentException("Every band needs one value for each step.", nameof(thirds));
        if (bands.Any(b => b.Fraction != BandFraction.ThirdOctave)) throw new ArgumentException("Takes are found in one-third-octave bands.", nameof(bands));
        (Recording, StepSeconds, MeanSquareA, Bands, _thirds) = (recording, stepSeconds, meanSquareA, bands, [.. thirds]);
    }

    /// <summary>Identity of the recording.</summary>
    public string Recording { get; }

    /// <summary>Length of a step, s.</summary>
    public double StepSeconds { get; }

    /// <summary>Number of steps.</summary>
    public int Count => MeanSquareA.Count;

    /// <summary>A-weighted mean square of each step.</summary>
    public IReadOnlyList<float> MeanSquareA { get; }

    /// <summary>The bands.</summary>
    public IReadOnlyList<Band> Bands { get; }

    /// <summary>Mean squares of one band over the steps.</summary>
    /// <param name="index">Place of the band in <see cref="Bands"/>.</param>
    public IReadOnlyList<float> Third(int index) => _thirds[index];

    /// <summary>The trace of a measured history; a last step shorter than the others is left off.</summary>
    /// <param name="recording">Identity of the recording.</param>
    /// <param name="history">The history, with one-third octaves.</param>
    public static LevelTrace Of(string recording, BlockHistory history)
    {
        var count = history.LastStepSeconds < history.StepSeconds - 1e-9 ? history.Count - 1 : history.Count;
        return new(recording, history.StepSeconds, Whole(history.MeanSquareA), history.Bands, [.. Enumerable.Range(0, history.Bands.Count).Select(i => Whole(history.Third(i)))]);

        IReadOnlyList<float> Whole(IReadOnlyList<float> values) => count == values.Count ? values : new ArraySegment<float>([.. values], 0, count);
    }
}
