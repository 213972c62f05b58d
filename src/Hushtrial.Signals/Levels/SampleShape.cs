using System.Numerics;
using System.Runtime.InteropServices;

namespace Hushtrial.Signals.Levels;

/// <summary>What the samples of one channel look like over a span, before any filter: peaks, flat tops, holes.</summary>
/// <param name="Peak">Largest magnitude, full scale.</param>
/// <param name="AtPeak">Number of samples within 0.05 % of the largest magnitude; a flat top has many, noise has one or two.</param>
/// <param name="LongestAtPeak">Most of them in a row.</param>
/// <param name="PeakRuns">Number of separate moments at which they stand.</param>
/// <param name="LongestZeros">Most exact zeros in a row.</param>
/// <param name="ZerosAt">Frame of the recording at which they begin; −1 without any.</param>
/// <param name="LongestConstant">Most equal samples in a row that are not zero; runs shorter than 2 ms are not counted.</param>
/// <param name="ConstantAt">Frame of the recording at which they begin; −1 without any.</param>
/// <param name="BlockSeconds">Length of a block of the two lists, s: 10 ms.</param>
/// <param name="BlockMeanSquares">Mean square of each block, full scale²; a last part block is left out.</param>
/// <param name="BlockPeaks">Largest magnitude in each block, full scale.</param>
public sealed record SampleShape(double Peak, long AtPeak, int LongestAtPeak, long PeakRuns, long LongestZeros, long ZerosAt, long LongestConstant, long ConstantAt,
    double BlockSeconds, IReadOnlyList<float> BlockMeanSquares, IReadOnlyList<float> BlockPeaks);

/// <summary>Gathers a <see cref="SampleShape"/> block by block. Blocks without anything unusual cost one vector pass.</summary>
internal sealed class SampleShapeTally(int rate, long firstFrame)
{
    /// <summary>Samples this close to the largest magnitude count as at it.</summary>
    private const double Near = 0.9995;

    private readonly int _block = rate / 100;
    private readonly int _leastRun = rate / 500;
    private readonly List<float> _meanSquares = [];
    private readonly List<float> _peaks = [];
    private double _peak;
    private long _atPeak;
    private int _longestAtPeak;
    private int _atPeakRun;
    private long _peakRuns;
    private long _zeros;
    private long _zerosAt = -1;
    private long _constant;
    private long _constantAt = -1;
    private long _run;
    private double _last = double.NaN;
    private long _frame = firstFrame;

    /// <summary>Frames that <see cref="Add"/> takes at a time; only the last call may have fewer.</summary>
    internal int Block => _block;

    internal void Add(ReadOnlySpan<double> samples)
    {
        var (energy, peak, equal) = Scan(samples);
        if (samples.Length == _block)
        {
            _meanSquares.Add((float)(energy / samples.Length));
            _peaks.Add((float)peak);
        }
        if (peak > _peak)
        {
            // The count restarts unless the old peak is as good as the new one.
            if (_peak < Near * peak) (_atPeak, _longestAtPeak, _atPeakRun, _peakRuns) = (0, 0, 0, 0);
            _peak = peak;
        }
        if (peak > 0 && peak >= Near * _peak) CountAtPeak(samples);
        else _atPeakRun = 0;
        // A run of 2 ms has at least half of its length in one block, unless it began in an earlier one.
        if (equal >= (_leastRun / 2) - 1 || _run > 1) CountRuns(samples);
        else TrailingRun(samples);
        _last = samples[^1];
        _frame += samples.Length;
    }

    internal SampleShape Finish() => new(_peak, _atPeak, _longestAtPeak, _peakRuns, _zeros, _zerosAt, _constant, _constantAt, (double)_block / rate, _meanSquares, _peaks);

    private static (double Energy, double Peak, int Equal) Scan(ReadOnlySpan<double> samples)
    {
        var vectors = MemoryMarshal.Cast<double, Vector<double>>(samples[..^1]);
        var next = MemoryMarshal.Cast<double, Vector<double>>(samples[1..]);
        var (energy, peak, equal) = (Vector<double>.Zero, Vector<double>.Zero, Vector<long>.Zero);
        for (var i = 0; i < vectors.Length; i++)
        {
            energy += vectors[i] * vectors[i];
            peak = Vector.Max(peak, Vector.Abs(vectors[i]));
            equal -= Vector.Equals(vectors[i], next[i]);
        }
        var (sum, largest, same) = (Vector.Sum(energy), 0.0, (int)Vector.Sum(equal));
        for (var i = 0; i < Vector<double>.Count; i++) largest = Math.Max(largest, peak[i]);
        for (var i = vectors.Length * Vector<double>.Count; i < samples.Length; i++)
        {
            sum += samples[i] * samples[i];
            largest = Math.Max(largest, Math.Abs(samples[i]));
            if (i + 1 < samples.Length && samples[i] == samples[i + 1]) same++;
        }
        return (sum, largest, same);
    }

    private void CountAtPeak(ReadOnlySpan<double> samples)
    {
        var least = Near * _peak;
        foreach (var sample in samples)
        {
            if (Math.Abs(sample) < least)
            {
                _atPeakRun = 0;
                continue;
            }
            _atPeak++;
            if (_atPeakRun == 0) _peakRuns++;
            _longestAtPeak = Math.Max(_longestAtPeak, ++_atPeakRun);
        }
    }

    private void CountRuns(ReadOnlySpan<double> samples)
    {
        for (var i = 0; i < samples.Length; i++)
        {
            _run = samples[i] == _last ? _run + 1 : 1;
            _last = samples[i];
            if (_last == 0 && _run > _zeros) (_zeros, _zerosAt) = (_run, _frame + i + 1 - _run);
            else if (_last != 0 && _run >= _leastRun && _run > _constant) (_constant, _constantAt) = (_run, _frame + i + 1 - _run);
        }
    }

    private void TrailingRun(ReadOnlySpan<double> samples)
    {
        _run = 1;
        while (_run < samples.Length && samples[^((int)_run + 1)] == samples[^1]) _run++;
        // A single zero is a zero too.
        if (_zeros == 0 && samples.IndexOf(0.0) is >= 0 and var at) (_zeros, _zerosAt) = (1, _frame + at);
    }
}
