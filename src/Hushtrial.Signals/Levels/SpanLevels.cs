using Hushtrial.Quantities;

namespace Hushtrial.Signals.Levels;

/// <summary>The levels of one channel over one span: mean squares in full scale² (a full-scale sine has 0.5), the peak in full scale.</summary>
public sealed class SpanLevels
{
    private readonly double[] _meanSquares;
    private readonly double[] _maxima;
    private readonly LevelHistogram _fast;
    private readonly LevelHistogram _slow;

    internal SpanLevels(int sampleRate, long frames, double[] meanSquares, double[] maxima, double peakC, LevelHistogram fast, LevelHistogram slow,
        IReadOnlyList<BandLevel> thirds, IReadOnlyList<BandLevel> octaves, BlockHistory? history)
    {
        (SampleRate, Seconds, PeakC, Thirds, Octaves, History) = (sampleRate, frames / (double)sampleRate, peakC, thirds, octaves, history);
        (_meanSquares, _maxima, _fast, _slow) = (meanSquares, maxima, fast, slow);
    }

    /// <summary>Sampling rate, Hz.</summary>
    public int SampleRate { get; }

    /// <summary>Length of the span, s.</summary>
    public double Seconds { get; }

    /// <summary>Time-average mean square under a frequency weighting: that of Leq.</summary>
    public double MeanSquare(FrequencyWeighting weighting) => _meanSquares[(int)weighting];

    /// <summary>Largest frequency- and time-weighted mean square at any sample of the span: that of LAFmax and its kin.</summary>
    public double MaxMeanSquare(FrequencyWeighting weighting, TimeWeighting time) => _maxima[(2 * (int)weighting) + (int)time];

    /// <summary>The A- and time-weighted mean square exceeded for a percentage of the time: that of LAF10, LAF50, LAF90.</summary>
    /// <param name="percent">0…100.</param>
    /// <param name="time">F (as usual) or S.</param>
    /// <returns>Full scale²; 0 when that is digital silence.</returns>
    /// <remarks>The weighted level is read at least every 1/128 s (F falls by 0.27 dB in that time) and sorted in classes of 0.05 dB.</remarks>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="percent"/> is outside 0…100.</exception>
    public double Percentile(double percent, TimeWeighting time = TimeWeighting.Fast) => percent is >= 0 and <= 100
        ? (time == TimeWeighting.Fast ? _fast : _slow).Exceeded(percent / 100)
        : throw new ArgumentOutOfRangeException(nameof(percent), percent, "A percentile lies in 0…100 % of the time.");

    /// <summary>Largest magnitude of the C-weighted signal at any sample, full scale.</summary>
    public double PeakC { get; }

    /// <summary>A-weighted sound exposure: the integral of the square over the span, full scale²·s.</summary>
    public double SoundExposure => MeanSquare(FrequencyWeighting.A) * Seconds;

    /// <summary>The 31 one-third-octave bands 20 Hz…20 kHz; empty when they were not asked for.</summary>
    public IReadOnlyList<BandLevel> Thirds { get; }

    /// <summary>The 10 octave bands 31.5 Hz…16 kHz; empty when they were not asked for.</summary>
    public IReadOnlyList<BandLevel> Octaves { get; }

    /// <summary>Levels of every step, when they were asked for.</summary>
    public BlockHistory? History { get; }
}
