namespace Hushtrial.Signals.Levels;

/// <summary>Fine spectra of the low frequencies of several channels at the same time, and how much they have in common.</summary>
/// <remarks>Welch's method on the signals at a rate near 3 kHz: segments of 4096 values (1.4 s), Hann window, half overlap.
/// Trusted up to 900 Hz in level, up to 1300 Hz for what stands out of its surroundings.</remarks>
public sealed class LowSpectra
{
    private readonly double[][] _density;
    private readonly double[][] _crossReal;
    private readonly double[][] _crossImaginary;
    private readonly int _channels;

    internal LowSpectra(double rate, int points, int segments, double[][] density, double[][] crossReal, double[][] crossImaginary)
    {
        (Resolution, Segments, _density, _crossReal, _crossImaginary, _channels) = (rate / points, segments, density, crossReal, crossImaginary, density.Length);
    }

    /// <summary>Distance of the lines, Hz: line i stands at i times this.</summary>
    public double Resolution { get; }

    /// <summary>Number of segments averaged.</summary>
    public int Segments { get; }

    /// <summary>Power spectral density of one channel by line, full scale²/Hz, one-sided.</summary>
    /// <param name="channel">Place among the channels measured, from 0.</param>
    public IReadOnlyList<double> Density(int channel) => _density[channel];

    /// <summary>Mean of the magnitude-squared coherence of two channels over a range of frequencies, 0…1.</summary>
    /// <remarks>Chance alone gives about 1 divided by the number of independent segments: 0.1 for 12 s.</remarks>
    /// <exception cref="ArgumentOutOfRangeException">The range holds no line.</exception>
    public double Coherence(int first, int second, double fromHertz, double toHertz)
    {
        if (first == second) return 1;
        var pair = Pair(Math.Min(first, second), Math.Max(first, second), _channels);
        var (sum, lines) = (0.0, 0);
        for (var k = (int)Math.Ceiling(fromHertz / Resolution); k * Resolution <= toHertz && k < _density[0].Length; k++)
        {
            var power = _density[first][k] * _density[second][k];
            sum += power > 0 ? ((_crossReal[pair][k] * _crossReal[pair][k]) + (_crossImaginary[pair][k] * _crossImaginary[pair][k])) / power : 0;
            lines++;
        }
        return lines > 0 ? sum / lines : throw new ArgumentOutOfRangeException(nameof(toHertz), toHertz, "The range must hold a line of the spectrum.");
    }

    internal static int Pair(int first, int second, int channels) => (first * channels) - (first * (first + 1) / 2) + second - first - 1;
}

/// <summary>Gathers <see cref="LowSpectra"/> value by value.</summary>
internal sealed class LowSpectraTally
{
    internal const int Points = 4096;
    private const int Half = Points / 2;
    private readonly double _rate;
    private readonly int _channels;
    private readonly double[][] _values;
    private readonly double[] _window;
    private readonly Fourier _fourier = new(Points);
    private readonly double[][] _real;
    private readonly double[][] _imaginary;
    private readonly double[][] _density;
    private readonly double[][] _crossReal;
    private readonly double[][] _crossImaginary;
    private int _filled;
    private int _segments;

    internal LowSpectraTally(double rate, int channels)
    {
        (_rate, _channels) = (rate, channels);
        _values = Rows(channels, Points);
        (_real, _imaginary) = (Rows(channels, Half + 1), Rows(channels, Half + 1));
        _density = Rows(channels, Half + 1);
        (_crossReal, _crossImaginary) = (Rows(channels * (channels - 1) / 2, Half + 1), Rows(channels * (channels - 1) / 2, Half + 1));
        _window = new double[Points];
        for (var i = 0; i < Points; i++) _window[i] = 0.5 - (0.5 * Math.Cos(2 * Math.PI * i / Points));
    }

    /// <summary>Adds one value of every channel.</summary>
    internal void Add(ReadOnlySpan<double> values)
    {
        for (var c = 0; c < _channels; c++) _values[c][_filled] = values[c];
        if (++_filled < Points) return;
        Segment();
        foreach (var row in _values) Array.Copy(row, Half, row, 0, Half);
        _filled = Half;
    }

    /// <summary>The spectra; null when the span is shorter than a segment.</summary>
    internal LowSpectra? Finish()
    {
        if (_segments == 0) return null;
        // Σw² = 3/8·N for the Hann window; one-sided.
        var scale = 2 / (0.375 * Points * _rate * _segments);
        foreach (var row in _density.Concat(_crossReal).Concat(_crossImaginary))
            for (var k = 0; k <= Half; k++) row[k] *= k is 0 or Half ? scale / 2 : scale;
        return new(_rate, Points, _segments, _density, _crossReal, _crossImaginary);
    }

    private void Segment()
    {
        // Two channels are the real and the imaginary part of one transform.
        var (a, b) = (new double[Points], new double[Points]);
        for (var c = 0; c < _channels; c += 2)
        {
            var pair = c + 1 < _channels;
            for (var i = 0; i < Points; i++) a[i] = _values[c][i] * _window[i];
            if (pair) for (var i = 0; i < Points; i++) b[i] = _values[c + 1][i] * _window[i];
            else Array.Clear(b);
            _fourier.Transform(a, b);
            for (var k = 0; k <= Half; k++)
            {
                var m = (Points - k) % Points;
                (_real[c][k], _imaginary[c][k]) = ((a[k] + a[m]) / 2, (b[k] - b[m]) / 2);
                if (pair) (_real[c + 1][k], _imaginary[c + 1][k]) = ((b[k] + b[m]) / 2, (a[m] - a[k]) / 2);
            }
        }
        for (var c = 0; c < _channels; c++)
            for (var k = 0; k <= Half; k++) _density[c][k] += (_real[c][k] * _real[c][k]) + (_imaginary[c][k] * _imaginary[c][k]);
        for (var first = 0; first < _channels; first++)
            for (var second = first + 1; second < _channels; second++)
            {
                var pair = LowSpectra.Pair(first, second, _channels);
                for (var k = 0; k <= Half; k++)
                {
                    _crossReal[pair][k] += (_real[first][k] * _real[second][k]) + (_imaginary[first][k] * _imaginary[second][k]);
                    _crossImaginary[pair][k] += (_imaginary[first][k] * _real[second][k]) - (_real[first][k] * _imaginary[second][k]);
                }
            }
        _segments++;
    }

    private static double[][] Rows(int count, int length) => [.. Enumerable.Range(0, count).Select(_ => new double[length])];
}
