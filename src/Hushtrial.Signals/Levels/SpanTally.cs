using Hushtrial.Quantities;
using Hushtrial.Signals.Filters;

namespace Hushtrial.Signals.Levels;

/// <summary>Puts the chunks of a span together again, in order.</summary>
/// <remarks>A chunk's F and S sums began with what the warm-up held. The sum the chunk before really ended with differs by δ, and because
/// the weighting is linear the true sum n samples later is larger by δ·dⁿ: added exactly to every reading. To the maxima it is added as
/// of the middle of their step, in the first seconds of a chunk as of the middle of a piece of 2.5 ms. That is within 0.0001 dB of the largest of the
/// span, since δ stems from what lies before the warm-up and is at most e⁻⁴ of the largest; within 0.005 dB where that was louder and is not in the span.</remarks>
internal sealed class SpanTally
{
    // What is lacking ends as soon as it is below the rounding of any sum.
    private const double Negligible = 1e-18;

    private readonly ChunkPlan _plan;
    private readonly FilterSet _set;
    private readonly double[] _energy;
    private readonly double[] _largest = new double[Row.Sums];
    private readonly double[] _sums = new double[Row.Sums];
    private readonly double[] _logDecay;
    private readonly double[] _broadbandGains;
    private readonly double[] _toMeanSquare;
    private readonly LevelHistogram _fast = new();
    private readonly LevelHistogram _slow = new();
    private readonly float[][]? _broadband;
    private readonly float[][] _thirds = [];
    private readonly int[] _thirdPlaces;
    private readonly double[] _powerGains;
    private double _squaredPeak;
    private int _chunk;

    internal SpanTally(ChunkPlan plan, FilterSet set, LevelSettings settings)
    {
        (_plan, _set) = (plan, set);
        _energy = new double[3 + set.Bands.Count];
        double[] decay = [set.FastDecay, set.SlowDecay, set.FastDecay, set.SlowDecay, set.FastDecay, set.SlowDecay];
        _logDecay = Array.ConvertAll(decay, Math.Log);
        _broadbandGains = [set.PowerGain(0), set.PowerGain(1), set.PowerGain(2)];
        _toMeanSquare = new double[Row.Sums];
        for (var i = 0; i < Row.Sums; i++) _toMeanSquare[i] = (1 - decay[i]) * _broadbandGains[i / 2];
        _powerGains = new double[set.Bands.Count];
        for (var i = 0; i < _powerGains.Length; i++)
        {
            var gain = i < set.FullRate ? set.Bands[i].Gain : set.Reduced[i - set.FullRate].Gain;
            _powerGains[i] = gain * gain;
        }
        // Wanted bands come in their order.
        var places = new List<int>();
        foreach (var band in set.Wanted)
            if (band.Fraction == BandFraction.ThirdOctave && set.IndexOf(band) is >= 0 and var place) places.Add(place);
        _thirdPlaces = [.. places];
        if (!settings.History) return;
        _broadband = Rows(6, plan.Steps);
        _thirds = Rows(_thirdPlaces.Length, plan.Steps);
    }

    /// <summary>Adds the next chunk.</summary>
    internal void Add(ChunkRows chunk)
    {
        Span<double> missing = stackalloc double[Row.Sums];
        for (var i = 0; i < Row.Sums; i++) missing[i] = _chunk == 0 ? 0 : _sums[i] - chunk.SumsAtStart[i];

        AddReadings(chunk.Fast.AsSpan(0, chunk.Readings), chunk.ReadAt, missing[0], _logDecay[0], _toMeanSquare[0], _fast);
        AddReadings(chunk.Slow.AsSpan(0, chunk.Readings), chunk.ReadAt, missing[1], _logDecay[1], _toMeanSquare[1], _slow);

        AddEarlyMaxima(chunk.EarlyMaxima, missing);

        var stepFrames = _plan.StepMilliframes / 1000.0;
        var length = _plan.FramesOf(_chunk);
        for (var step = 0; step < chunk.Steps; step++)
        {
            var row = chunk.RowOf(step);
            for (var i = 0; i < 3; i++) _energy[i] += row[Row.Energy + i];
            for (var i = 3; i < _energy.Length; i++) _energy[i] += row[Row.Bands + i - 3];
            _squaredPeak = Math.Max(_squaredPeak, row[Row.SquaredPeakC]);
            var ends = Math.Min((step + 1) * stepFrames, length);
            for (var i = 0; i < Row.Sums; i++)
            {
                var (largest, last) = (row[Row.Largest + i], row[Row.Last + i]);
                if (missing[i] != 0)
                {
                    var middle = ((step * stepFrames) + ends) / 2;
                    largest += missing[i] * Math.Exp(_logDecay[i] * middle);
                    var lacks = missing[i] * Math.Exp(_logDecay[i] * Math.Ceiling(ends));
                    last += lacks;
                    if (Math.Abs(lacks) < Negligible * last) missing[i] = 0;
                }
                // Those of S are among the early ones.
                if (step >= _plan.EarlySteps || i % 2 == 0) _largest[i] = Math.Max(_largest[i], largest);
                _sums[i] = last;
            }
            if (_broadband is not null) Keep(row, (_chunk * _plan.StepsPerChunk) + step, ends - (step * stepFrames));
        }
        _chunk++;
    }

    /// <summary>The levels of the whole span.</summary>
    /// <exception cref="InvalidDataException">The channel holds samples that are not numbers.</exception>
    internal SpanLevels Finish()
    {
        if (!double.IsFinite(_energy[2])) throw new InvalidDataException("The channel holds samples that are not finite numbers; it has no level.");
        double MeanSquare(int i) => _energy[i] / _plan.Frames;
        var maxima = new double[Row.Sums];
        for (var i = 0; i < maxima.Length; i++) maxima[i] = _largest[i] * _toMeanSquare[i];
        double Broadband(int i) => MeanSquare(i) * _broadbandGains[i];
        var (thirds, octaves) = (new List<BandLevel>(), new List<BandLevel>());
        foreach (var band in _set.Wanted)
            (band.Fraction == BandFraction.ThirdOctave ? thirds : octaves).Add(_set.IndexOf(band) is >= 0 and var i
                ? new BandLevel(band, MeanSquare(3 + i) * _powerGains[i], Valid: true, Reason: null)
                : new BandLevel(band, 0, Valid: false, BandFilter.Reason(band, _plan.Rate)));
        BlockHistory? history = null;
        if (_broadband is not null)
        {
            var kept = new Band[_thirdPlaces.Length];
            for (var i = 0; i < kept.Length; i++) kept[i] = _set.Bands[_thirdPlaces[i]].Band;
            history = new(_plan.StepMilliframes / 1000.0 / _plan.Rate, _plan.LastStepFrames / _plan.Rate, _broadband, kept, _thirds);
        }
        return new(_plan.Rate, _plan.Frames, [Broadband(0), Broadband(1), Broadband(2)], maxima, Math.Sqrt(_squaredPeak * _broadbandGains[1]), _fast, _slow,
            thirds, octaves, history);
    }

    private void AddEarlyMaxima(List<double> maxima, ReadOnlySpan<double> missing)
    {
        for (var at = 0; at < maxima.Count; at += 4)
            for (var i = 1; i < Row.Sums; i += 2)
            {
                var largest = maxima[at + ((i + 1) / 2)];
                // What is lacking only falls: most pieces need not be mended to be seen not to be the largest.
                if (largest + Math.Max(0, missing[i]) > _largest[i]) _largest[i] = Math.Max(_largest[i], largest + (missing[i] * Math.Exp(_logDecay[i] * maxima[at])));
            }
    }

    /// <summary>Sorts readings into a histogram, after adding what their sums lack.</summary>
    private static void AddReadings(Span<double> sums, int[] readAt, double lack, double logDecay, double toMeanSquare, LevelHistogram histogram)
    {
        var last = 0;
        for (var i = 0; i < sums.Length; i++)
        {
            if (lack != 0)
            {
                lack *= Math.Exp(logDecay * (readAt[i] - last));
                last = readAt[i];
                sums[i] = Math.Max(0, sums[i] + lack);
                if (Math.Abs(lack) < Negligible * sums[i]) lack = 0;
            }
            sums[i] *= toMeanSquare;
        }
        histogram.Add(sums, readAt);
    }

    private static float[][] Rows(int count, int length)
    {
        var rows = new float[count][];
        for (var i = 0; i < count; i++) rows[i] = new float[length];
        return rows;
    }

    private void Keep(ReadOnlySpan<double> row, int step, double frames)
    {
        for (var i = 0; i < 3; i++) _broadband![i][step] = (float)(row[Row.Energy + i] / frames * _broadbandGains[i]);
        _broadband![3][step] = (float)(_sums[0] * _toMeanSquare[0]);
        _broadband[4][step] = (float)(_sums[1] * _toMeanSquare[1]);
        _broadband[5][step] = (float)Math.Sqrt(row[Row.SquaredPeakC] * _broadbandGains[1]);
        for (var i = 0; i < _thirdPlaces.Length; i++)
            _thirds[i][step] = (float)(row[Row.Bands + _thirdPlaces[i]] / frames * _powerGains[_thirdPlaces[i]]);
    }
}
