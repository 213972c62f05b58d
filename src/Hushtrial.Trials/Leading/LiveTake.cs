using System.Buffers.Binary;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Trials.Leading;

/// <summary>Levels of one channel now and of the take that is under way.</summary>
/// <param name="Fast">A-weighted level with time weighting F, dB; null for silence.</param>
/// <param name="Seconds">Length of the take so far, s, in whole steps of 125 ms; 0 when none is under way.</param>
/// <param name="LevelA">A-weighted energy mean of the take, dB; null when none is under way.</param>
/// <param name="Bands">One-third octaves of the take that the sampling rate can carry, dB.</param>
/// <param name="Width">How well its level is known.</param>
public sealed record LiveReading(double? Fast, double Seconds, double? LevelA, IReadOnlyDictionary<Band, double> Bands, TakeWidth Width);

/// <summary>Measures a capture while it grows: running levels of each channel, and the take that is under way, which may have begun some seconds ago.</summary>
/// <remarks>Memory is bounded: a minute is remembered step by step, and of a take the A-weighted steps of its last half hour. Not for several threads at once.</remarks>
public sealed class LiveTake
{
    private const double Step = 0.125;
    private const int Remembered = 480;
    private const int MostSteps = 14_400;

    private static readonly LevelSettings _settings = new() { Octaves = false, StepSeconds = Step };

    private readonly Lane[] _lanes;
    private readonly int _rate;
    private double[] _samples = [];

    /// <summary>Begins with silence.</summary>
    /// <param name="sampleRate">Hz; see <see cref="CanMeasure"/>.</param>
    /// <param name="channels">Channels, from 1.</param>
    public LiveTake(int sampleRate, int channels) => (_rate, _lanes) = (sampleRate, [.. Enumerable.Range(0, channels).Select(_ => new Lane(sampleRate))]);

    /// <summary>Whether levels can be measured at a sampling rate.</summary>
    public static bool CanMeasure(int sampleRate) => sampleRate is >= LevelAnalysis.LowestRate and <= LevelAnalysis.HighestRate;

    /// <summary>Number of channels.</summary>
    public int Channels => _lanes.Length;

    /// <summary>Whether a take is under way.</summary>
    public bool UnderWay { get; private set; }

    /// <summary>Feeds the next frames.</summary>
    /// <param name="interleaved">32-bit floating point, little-endian, full scale ±1, one value per channel and frame.</param>
    public void Add(ReadOnlySpan<byte> interleaved)
    {
        var frames = interleaved.Length / (4 * _lanes.Length);
        if (_samples.Length < frames) _samples = new double[frames];
        for (var c = 0; c < _lanes.Length; c++)
        {
            for (var n = 0; n < frames; n++) _samples[n] = BinaryPrimitives.ReadSingleLittleEndian(interleaved[(4 * ((n * _lanes.Length) + c))..]);
            _lanes[c].Levels.Add(_samples.AsSpan(0, frames));
            _lanes[c].Clipping.Add(_samples.AsSpan(0, frames));
        }
    }

    /// <summary>Feeds frames that are in a file already, as if they came now.</summary>
    /// <param name="samples">As many channels, the same sampling rate.</param>
    /// <param name="first">First frame.</param>
    /// <param name="count">Number of frames.</param>
    public void Add(SampleSource samples, long first, long count)
    {
        ArgumentNullException.ThrowIfNull(samples);
        if (samples.Channels != _lanes.Length || samples.SampleRate != _rate) throw new ArgumentException("Another rate or another number of channels.", nameof(samples));
        var piece = new double[Math.Min(count, _rate)];
        for (var at = first; at < first + count; at += piece.Length)
        {
            var some = piece.AsSpan(0, (int)Math.Min(piece.Length, first + count - at));
            for (var c = 0; c < _lanes.Length; c++)
            {
                samples.Read(c, at, some);
                _lanes[c].Levels.Add(some);
                _lanes[c].Clipping.Add(some);
            }
        }
    }

    /// <summary>Seconds into the take at which a channel first reached full scale, when it clips; null while it does not, and without a take.</summary>
    /// <param name="channel">Channel, from 0.</param>
    public double? ClippedAt(int channel) => _lanes[channel].Clipping.Since;

    /// <summary>A take begins; what is remembered of it already counts.</summary>
    /// <param name="frame">Its first frame, counted from the beginning of the capture.</param>
    public void Begin(long frame)
    {
        UnderWay = true;
        foreach (var lane in _lanes) lane.Begin((long)Math.Ceiling(Math.Max(0, frame) / (Step * _rate)));
    }

    /// <summary>The take is over.</summary>
    public void End()
    {
        UnderWay = false;
        foreach (var lane in _lanes) lane.Begin(long.MaxValue);
    }

    /// <summary>What one channel reads.</summary>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="fullScale">Level of 0 dB re full scale, dB; 0 where nothing is calibrated.</param>
    public LiveReading Read(int channel, double fullScale)
    {
        var lane = _lanes[channel];
        double? InDecibels(double meanSquare) => Level.FromMeanSquareRatio(meanSquare)?.Decibels + fullScale;
        var fast = InDecibels(lane.Levels.Now(FrequencyWeighting.A, TimeWeighting.Fast));
        if (!UnderWay || lane.TakeSteps == 0) return new(fast, 0, null, new Dictionary<Band, double>(), TakeWidth.Unknown);
        var meanSquares = lane.Bands();
        var bands = meanSquares.Where(b => b.Value > 0).ToDictionary(b => b.Key, b => InDecibels(b.Value)!.Value);
        return new(fast, lane.TakeSteps * Step, InDecibels(lane.TotalA / lane.TakeSteps), bands, TakeWidth.Of([.. lane.StepsA], meanSquares));
    }

    /// <summary>One channel: its levels, the last minute step by step, and the sums of the take.</summary>
    private sealed class Lane
    {
        private readonly int _valid;
        private readonly float[][] _ring;
        private readonly double[] _totals;

        public Lane(int sampleRate)
        {
            Levels = new(sampleRate, _settings, _ => Ended());
            Clipping = new(sampleRate);
            // Above, the anti-alias filter of the input is in the band.
            _valid = Levels.Bands.TakeWhile(b => b.UpperEdge.Hertz < sampleRate / 2.0).Count();
            _ring = [.. Enumerable.Range(0, Remembered).Select(_ => new float[_valid + 1])];
            _totals = new double[_valid];
        }

        public LiveLevels Levels { get; }

        public LiveClipping Clipping { get; }

        public Queue<double> StepsA { get; } = new();

        public double TotalA { get; private set; }

        public long TakeSteps { get; private set; }

        private long First { get; set; } = long.MaxValue;

        public void Begin(long firstStep)
        {
            First = firstStep;
            Clipping.Begin(firstStep);
            (TotalA, TakeSteps) = (0, 0);
            StepsA.Clear();
            Array.Clear(_totals);
            for (var step = Math.Max(firstStep, Levels.Steps - Remembered); step < Levels.Steps; step++) Count(_ring[step % Remembered]);
        }

        public Dictionary<Band, double> Bands() => Enumerable.Range(0, _valid).ToDictionary(i => Levels.Bands[i], i => _totals[i] / TakeSteps);

        private void Ended()
        {
            var row = _ring[(Levels.Steps - 1) % Remembered];
            row[_valid] = (float)Levels.StepMeanSquare(FrequencyWeighting.A);
            for (var i = 0; i < _valid; i++) row[i] = (float)Levels.StepBandMeanSquare(i);
            if (Levels.Steps > First) Count(row);
        }

        private void Count(float[] row)
        {
            TakeSteps++;
            TotalA += row[_valid];
            for (var i = 0; i < _valid; i++) _totals[i] += row[i];
            StepsA.Enqueue(row[_valid]);
            if (StepsA.Count > MostSteps) StepsA.Dequeue();
        }
    }
}
