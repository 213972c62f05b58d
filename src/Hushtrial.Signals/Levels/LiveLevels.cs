using Hushtrial.Quantities;

namespace Hushtrial.Signals.Levels;

/// <summary>Running levels of a signal while it is recorded: fed with samples as they arrive, in portions of any size.</summary>
/// <remarks>
/// The filters are those of <see cref="LevelAnalysis"/>; before the first sample lies silence, so F, S and the lowest bands need some
/// seconds to settle. A step is known as soon as its last sample has arrived. After construction nothing is allocated. Not for several threads at once.
/// </remarks>
public sealed class LiveLevels
{
    private readonly LiveWeightings _weightings;
    private readonly LiveBands _bands;
    private readonly double[] _gains;
    private readonly Action<LiveLevels>? _stepEnded;
    private readonly double[] _clean = new double[LiveBands.MostFrames];
    private readonly double[] _energies;
    private readonly double[] _lastMeans;
    private readonly double[] _totals;
    private readonly double[] _lastLargest = new double[6];
    private readonly long _stepMilliframes;
    private long _frames;

    /// <summary>Begins with silence.</summary>
    /// <param name="sampleRate">Hz, 16…192 kHz.</param>
    /// <param name="settings">Bands and length of a step; the rest does not matter here.</param>
    /// <param name="stepEnded">Called at the end of every step, on the thread that feeds the samples.</param>
    /// <exception cref="ArgumentOutOfRangeException">The sampling rate is outside the range.</exception>
    public LiveLevels(int sampleRate, LevelSettings settings, Action<LiveLevels>? stepEnded = null)
    {
        ArgumentNullException.ThrowIfNull(settings);
        if (sampleRate is < LevelAnalysis.LowestRate or > LevelAnalysis.HighestRate)
            throw new ArgumentOutOfRangeException(nameof(sampleRate), sampleRate, "Levels are measured at sampling rates of 16 to 192 kHz.");
        (SampleRate, _stepEnded) = (sampleRate, stepEnded);
        StepSeconds = settings.StepSeconds;
        _stepMilliframes = (long)Math.Round(settings.StepSeconds * 1000) * sampleRate;
        var set = new FilterSet(sampleRate, settings);
        var filters = set.Bands.OrderBy(f => f.Band.Fraction == BandFraction.Octave).ThenBy(f => f.Band).ToArray();
        Bands = [.. filters.Select(f => f.Band)];
        _gains = Array.ConvertAll(filters, f => f.Gain * f.Gain);
        _weightings = new(set);
        _bands = LiveBands.Of(filters);
        (_energies, _lastMeans, _totals) = (new double[3 + filters.Length], new double[3 + filters.Length], new double[3 + filters.Length]);
    }

    /// <summary>Sampling rate, Hz.</summary>
    public int SampleRate { get; }

    /// <summary>Length of a step, s.</summary>
    public double StepSeconds { get; }

    /// <summary>The bands measured: one-third octaves from low to high, then octaves.</summary>
    public IReadOnlyList<Band> Bands { get; }

    /// <summary>Steps that have ended.</summary>
    public long Steps { get; private set; }

    /// <summary>Time heard so far, s.</summary>
    public double Seconds => _frames / (double)SampleRate;

    /// <summary>Mean square of the last step, full scale²; 0 before the first has ended.</summary>
    public double StepMeanSquare(FrequencyWeighting weighting) => _lastMeans[(int)weighting];

    /// <summary>Mean square of a band in the last step, full scale².</summary>
    /// <param name="index">Place in <see cref="Bands"/>.</param>
    public double StepBandMeanSquare(int index) => _lastMeans[3 + index];

    /// <summary>Mean square from the beginning to the end of the last step: that of Leq.</summary>
    public double MeanSquare(FrequencyWeighting weighting) => Steps == 0 ? 0 : _totals[(int)weighting] / (Steps * StepSeconds * SampleRate);

    /// <summary>Mean square of a band from the beginning to the end of the last step.</summary>
    /// <param name="index">Place in <see cref="Bands"/>.</param>
    public double BandMeanSquare(int index) => Steps == 0 ? 0 : _totals[3 + index] / (Steps * StepSeconds * SampleRate) * _gains[index];

    /// <summary>Frequency- and time-weighted mean square now, after the last sample fed.</summary>
    public double Now(FrequencyWeighting weighting, TimeWeighting time) => _weightings.Weighted[LiveWeightings.Place(weighting, time)];

    /// <summary>Its largest value at any sample of the last step.</summary>
    public double StepMaximum(FrequencyWeighting weighting, TimeWeighting time) => _lastLargest[LiveWeightings.Place(weighting, time)];

    /// <summary>Largest magnitude of the C-weighted signal in the last step, full scale.</summary>
    public double StepPeakC { get; private set; }

    /// <summary>Largest magnitude of the C-weighted signal so far, full scale.</summary>
    public double PeakC { get; private set; }

    /// <summary>Feeds the next samples, full scale = ±1; values that are not finite numbers count as 0, as in a recording.</summary>
    public void Add(ReadOnlySpan<double> samples)
    {
        while (!samples.IsEmpty)
        {
            // Whole frames up to the edge of the step; the frame on an edge goes alone and is shared out by its overlap.
            var edge = (Steps + 1) * _stepMilliframes;
            var whole = (edge / 1000) - _frames;
            var count = (int)Math.Min(Math.Min(samples.Length, LiveBands.MostFrames), Math.Max(1, whole));
            var share = whole > 0 ? 1 : edge % 1000 / 1000.0;
            var clean = _clean.AsSpan(0, count);
            for (var i = 0; i < count; i++) clean[i] = double.IsFinite(samples[i]) ? samples[i] : 0;
            samples = samples[count..];

            // The peak, F and S of a step end with its last whole frame, as in the file engine.
            if (share < 1) KeepMaxima();
            _weightings.Run(clean);
            _bands.Run(clean);
            _frames += count;
            for (var i = 0; i < _energies.Length; i++) _energies[i] += share * Piece(i);
            if (share < 1)
            {
                EndStep(1 - share);
            }
            else if (_frames * 1000 == edge)
            {
                KeepMaxima();
                EndStep(0);
            }
        }
    }

    private double Piece(int i) => i < 3 ? _weightings.Energies[i] : _bands.Energies[i - 3];

    private void KeepMaxima()
    {
        _weightings.Largest.CopyTo(_lastLargest, 0);
        StepPeakC = _weightings.PeakC;
        PeakC = Math.Max(PeakC, StepPeakC);
        Array.Clear(_weightings.Largest);
        _weightings.PeakC = 0;
    }

    private void EndStep(double restOfLastFrame)
    {
        Steps++;
        var frames = StepSeconds * SampleRate;
        for (var i = 0; i < _energies.Length; i++)
        {
            _totals[i] += _energies[i];
            _lastMeans[i] = _energies[i] / frames * (i < 3 ? 1 : _gains[i - 3]);
            _energies[i] = restOfLastFrame * Piece(i);
        }
        _stepEnded?.Invoke(this);
    }
}
