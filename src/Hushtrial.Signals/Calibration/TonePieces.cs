using Hushtrial.Signals.Recordings;
using static System.FormattableString;

namespace Hushtrial.Signals.Calibration;

/// <summary>What was measured of a tone.</summary>
/// <param name="Frequency">Mean over the pieces, Hz.</param>
/// <param name="MeanSquare">Of the tone alone, re full scale; energy mean over the pieces.</param>
/// <param name="LevelSd">Standard deviation of the pieces' levels, dB.</param>
/// <param name="DistortionPercent">Root sum square of harmonics 2 to 10 (below Nyquist) relative to the tone, %.</param>
/// <param name="Prominence">Line of the tone relative to the noise in lines beside it, dB.</param>
/// <param name="Pieces">Number of pieces that were measured; 0 when samples are missing in all of them.</param>
/// <param name="LostFrames">Frames for which zeros stand.</param>
/// <param name="LostAt">The first of them (in the recording), or null.</param>
/// <param name="ClippedAt">First frame (of the recording) that is clipped, or null.</param>
/// <param name="ClippedHow">How that shows; empty when not clipped.</param>
internal sealed record ToneReading(double Frequency, double MeanSquare, double LevelSd, double DistortionPercent, double Prominence, int Pieces, long LostFrames,
    long? LostAt, long? ClippedAt, string ClippedHow);

/// <summary>A span of one channel in consecutive pieces, looked at through single spectral lines with a Hann window.</summary>
/// <remarks>A line's window has its first zero at 2/T = 8 Hz for T = 0.25 s and falls by 18 dB an octave, so that harmonics and the
/// negative frequency do not reach it: its amplitude is exact to 1e-6 where the line sits on the tone's own frequency.</remarks>
internal sealed class TonePieces
{
    /// <summary>Pieces looked at in the search for the frequency; more bring nothing.</summary>
    private const int SearchPieces = 8;

    /// <summary>Exact zeros in a row, s, that no tone has: samples were lost, and a recorder put zeros in their place.</summary>
    private const double HoleSeconds = 0.001;

    /// <summary>Most of a piece that may be lost; then it is left out.</summary>
    private const double MostLost = 0.2;

    private static readonly double[] _beside = [-40, -32, -24, -16, 16, 24, 32, 40];

    private readonly SampleSource _samples;
    private readonly int _channel;
    private readonly long _first;
    private readonly int _count;
    private readonly double[] _window;
    private readonly double[] _piece;
    private readonly double[] _held;

    public TonePieces(SampleSource samples, int channel, long first, long frames, double pieceSeconds)
    {
        (_samples, _channel, _first) = (samples, channel, first);
        var length = (int)Math.Round(pieceSeconds * samples.SampleRate);
        _count = (int)(frames / length);
        _piece = new double[length];
        _window = new double[length];
        _held = new double[length];
        for (var i = 0; i < length; i++) _window[i] = (1 - Math.Cos(2 * Math.PI * (i + 0.5) / length)) / length;
    }

    public int SampleRate => _samples.SampleRate;

    /// <summary>Frequency of the strongest line within 6 % of a frequency; null when it does not stand out by <paramref name="leastProminence"/> dB.</summary>
    public double? FindFrequency(double near, double leastProminence)
    {
        var reach = Math.Max(0.06 * near, 4);
        var lines = Enumerable.Range(0, (int)Math.Ceiling(2 * reach) + 1).Select(i => near - reach + i).Where(f => f > 20 && f < 0.45 * SampleRate).ToArray();
        var power = new double[lines.Length];
        var step = Math.Max(1, _count / SearchPieces);
        for (var p = 0; p < _count; p += step)
        {
            Load(p);
            for (var i = 0; i < lines.Length; i++) power[i] += LinePower(lines[i]);
        }
        var best = Array.IndexOf(power, power.Max());
        if (!(power[best] > 0)) return null;
        var beside = 0.0;
        for (var p = 0; p < _count; p += step)
        {
            Load(p);
            beside += NoiseBeside(lines[best]);
        }
        // A maximum at the edge of the range is the flank of something else.
        return best == 0 || best == lines.Length - 1 || power[best] < beside * Math.Pow(10, leastProminence / 10) ? null : lines[best];
    }

    /// <summary>Measures the tone in every piece of which enough was recorded.</summary>
    /// <param name="near">Within 2 Hz of it.</param>
    public ToneReading Measure(double near)
    {
        var levels = new List<double>(_count);
        double energy = 0, harmonics = 0, frequencies = 0, noise = 0;
        var clipping = new Clipping();
        var (lostFrames, lostAt) = (0L, (long?)null);
        for (var p = 0; p < _count; p++)
        {
            Load(p);
            var first = _first + ((long)p * _piece.Length);
            clipping.Take(_piece, first);
            var (lost, at) = HoldWhole(near);
            lostFrames += lost;
            if (lost > 0) lostAt ??= first + at;
            if (lost > MostLost * _piece.Length) continue;
            var frequency = Refine(near);
            var power = lost == 0 ? LinePower(frequency) : TakeTone(frequency);
            levels.Add(10 * Math.Log10(Math.Max(power, 1e-30)));
            energy += power;
            frequencies += frequency;
            noise += NoiseBeside(frequency);
            for (var k = 2; k <= 10 && k * frequency < 0.48 * SampleRate; k++) harmonics += LinePower(k * frequency);
        }
        var pieces = levels.Count;
        var mean = pieces > 0 ? levels.Average() : 0;
        var sd = Math.Sqrt(levels.Sum(l => (l - mean) * (l - mean)) / Math.Max(1, pieces - 1));
        var (clippedAt, how) = clipping.Result();
        return new ToneReading(frequencies / pieces, energy / pieces, sd, 100 * Math.Sqrt(harmonics / energy), 10 * Math.Log10(energy / Math.Max(noise, energy * 1e-20)),
            pieces, lostFrames, lostAt, clippedAt, how);
    }

    /// <summary>The window without what was lost: zeros in a row for longer than a tone of a few steps is around its crossings.</summary>
    /// <returns>How many frames, and the first of them.</returns>
    private (int Lost, int At) HoldWhole(double frequency)
    {
        var least = SampleRate * Math.Max(HoleSeconds, 0.25 / frequency);
        var (lost, at, run) = (0, 0, 0);
        _window.CopyTo(_held, 0);
        for (var i = 0; i <= _piece.Length; i++)
        {
            if (i < _piece.Length && _piece[i] == 0)
            {
                run++;
                continue;
            }
            if (run >= least)
            {
                if (lost == 0) at = i - run;
                lost += run;
                Array.Clear(_held, i - run, run);
            }
            run = 0;
        }
        return (lost, at);
    }

    /// <summary>Mean square of the tone that fits the frames held best, by weighted least squares; leaves in the piece what the tone is not.</summary>
    private double TakeTone(double frequency)
    {
        var ones = new double[_piece.Length];
        Array.Fill(ones, 1);
        var (cosines, minusSines) = Line(_piece, _held, frequency);
        var (twice, minusTwice) = Line(ones, _held, 2 * frequency);
        var whole = _held.Sum();
        // Σw·cos², Σw·sin² and Σw·cos·sin by the double angle.
        var (cc, ss, cs) = ((whole + twice) / 2, (whole - twice) / 2, -minusTwice / 2);
        var determinant = (cc * ss) - (cs * cs);
        var (a, b) = (((cosines * ss) + (minusSines * cs)) / determinant, ((-minusSines * cc) - (cosines * cs)) / determinant);
        for (var i = 0; i < _piece.Length; i++)
        {
            var (sin, cos) = Math.SinCos(2 * Math.PI * frequency * i / SampleRate);
            _piece[i] = _held[i] == 0 ? 0 : _piece[i] - (a * cos) - (b * sin);
        }
        return ((a * a) + (b * b)) / 2;
    }

    private void Load(int piece) => _samples.Read(_channel, _first + ((long)piece * _piece.Length), _piece);

    /// <summary>Mean square of the component at one frequency.</summary>
    private double LinePower(double frequency)
    {
        var (re, im) = Line(_piece, _window, frequency);
        return 2 * ((re * re) + (im * im));
    }

    private double NoiseBeside(double frequency)
    {
        var sum = 0.0;
        foreach (var offset in _beside) sum += LinePower(Math.Max(1, frequency + offset));
        return sum / _beside.Length;
    }

    /// <summary>The tone's frequency from the advance of its phase between the halves of the piece.</summary>
    private double Refine(double near)
    {
        var half = _piece.Length / 2;
        var window = new double[half];
        for (var i = 0; i < half; i++) window[i] = 1 - Math.Cos(2 * Math.PI * (i + 0.5) / half);
        var frequency = near;
        // The second pass starts so near that the window's slope no longer matters.
        for (var pass = 0; pass < 2; pass++)
        {
            var (re1, im1) = Line(_piece.AsSpan(0, half), window, frequency);
            var (re2, im2) = Line(_piece.AsSpan(half, half), window, frequency);
            var advance = Math.Atan2(im2, re2) - Math.Atan2(im1, re1) - (2 * Math.PI * frequency * half / SampleRate);
            frequency += Math.IEEERemainder(advance, 2 * Math.PI) * SampleRate / (2 * Math.PI * half);
        }
        return Math.Abs(frequency - near) < 4 ? frequency : near;
    }

    /// <summary>Σ w·x·e^(−jωn), by a rotating phasor that is set anew every 1024 samples.</summary>
    private (double Re, double Im) Line(ReadOnlySpan<double> x, ReadOnlySpan<double> w, double frequency)
    {
        var omega = 2 * Math.PI * frequency / SampleRate;
        var (s1, c1) = Math.SinCos(omega);
        double re = 0, im = 0;
        for (var block = 0; block < x.Length; block += 1024)
        {
            var (s, c) = Math.SinCos(omega * block);
            var end = Math.Min(block + 1024, x.Length);
            for (var i = block; i < end; i++)
            {
                var v = w[i] * x[i];
                re += v * c;
                im -= v * s;
                (c, s) = ((c * c1) - (s * s1), (s * c1) + (c * s1));
            }
        }
        return (re, im);
    }

    /// <summary>Finds samples that stop at a limit.</summary>
    private sealed class Clipping
    {
        /// <summary>Two neighbours at this share of full scale or above are clipped in an integer recording.</summary>
        private const double AtFullScale = 1 - (1.0 / 16384);

        /// <summary>Samples from the third on in a run of equal extreme values. A clean sine spends about 1 % of its time at its extreme code,
        /// 4.5 % at 100 codes of amplitude; clipped to 3 % distortion some 14 %. A tone locked to the sampling rate repeats its extreme once
        /// or twice in every period, but never three times in a row.</summary>
        private const double MostAtExtreme = 0.06;

        private double _largest, _smallest;
        private long _total, _atLargest, _atSmallest, _largestAt, _smallestAt;
        private long? _fullScaleAt;

        public void Take(ReadOnlySpan<double> piece, long first)
        {
            for (var i = 0; i < piece.Length; i++)
            {
                var x = piece[i];
                if (x > _largest) (_largest, _atLargest, _largestAt) = (x, 0, first + i);
                if (x < _smallest) (_smallest, _atSmallest, _smallestAt) = (x, 0, first + i);
                if (i > 1 && x == piece[i - 1] && x == piece[i - 2])
                {
                    if (x == _largest) _atLargest++;
                    if (x == _smallest) _atSmallest++;
                }
                // Above 1 is a floating-point recording that has not clipped.
                if (i > 0 && Math.Abs(x) is >= AtFullScale and <= 1 && Math.Abs(piece[i - 1]) is >= AtFullScale and <= 1) _fullScaleAt ??= first + i - 1;
            }
            _total += piece.Length;
        }

        public (long? At, string How) Result()
        {
            if (_fullScaleAt is { } at && Math.Max(_largest, -_smallest) <= 1) return (at, "it reaches full scale");
            // Below 100 codes of 16 bits the share of a clean sine at its extremes is too large for this sign; the tone is weak then anyway.
            if (Math.Max(_largest, -_smallest) < 0.003) return (null, "");
            if (_atLargest > MostAtExtreme * _total) return (_largestAt, Share(_atLargest));
            return _atSmallest > MostAtExtreme * _total ? (_smallestAt, Share(_atSmallest)) : (null, "");
        }

        private string Share(long at) => Invariant($"{100.0 * at / _total:F0} % of its samples stand still at one extreme value");
    }
}
