using Hushtrial.Quantities;

namespace Hushtrial.Signals.Levels;

/// <summary>Levels of every step of a span, in full scale² (peak: full scale), as single-precision numbers.</summary>
public sealed class BlockHistory
{
    private readonly float[][] _bands;

    internal BlockHistory(double stepSeconds, double lastStepSeconds, float[][] broadband, IReadOnlyList<Band> bands, float[][] thirds)
    {
        (StepSeconds, LastStepSeconds, Bands, _bands) = (stepSeconds, lastStepSeconds, bands, thirds);
        (MeanSquareA, MeanSquareC, MeanSquareZ, FastA, SlowA, PeakC) =
            (broadband[0], broadband[1], broadband[2], broadband[3], broadband[4], broadband[5]);
    }

    /// <summary>Length of a step, s.</summary>
    public double StepSeconds { get; }

    /// <summary>Length of the last step, s: the rest of the span; its means are over this time.</summary>
    public double LastStepSeconds { get; }

    /// <summary>Number of steps.</summary>
    public int Count => MeanSquareA.Count;

    /// <summary>A-weighted mean square of each step.</summary>
    public IReadOnlyList<float> MeanSquareA { get; }

    /// <summary>C-weighted mean square of each step.</summary>
    public IReadOnlyList<float> MeanSquareC { get; }

    /// <summary>Unweighted mean square of each step.</summary>
    public IReadOnlyList<float> MeanSquareZ { get; }

    /// <summary>A- and F-weighted mean square at the end of each step (after its last whole sample).</summary>
    public IReadOnlyList<float> FastA { get; }

    /// <summary>A- and S-weighted mean square at the end of each step.</summary>
    public IReadOnlyList<float> SlowA { get; }

    /// <summary>Largest magnitude of the C-weighted signal in each step, full scale.</summary>
    public IReadOnlyList<float> PeakC { get; }

    /// <summary>The one-third-octave bands that were measured: the valid ones, or none when they were not asked for.</summary>
    public IReadOnlyList<Band> Bands { get; }

    /// <summary>Mean squares of one band over the steps.</summary>
    /// <param name="index">Place of the band in <see cref="Bands"/>.</param>
    public IReadOnlyList<float> Third(int index) => _bands[index];
}
