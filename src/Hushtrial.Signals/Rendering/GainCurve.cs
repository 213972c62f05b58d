namespace Hushtrial.Signals.Rendering;

/// <summary>A gain over frequency that passes smoothly through given points and never swings between them.</summary>
/// <remarks>
/// Piecewise cubic on the logarithm of the frequency and in decibels, with slopes that keep the shape: between two points the curve stays between their values
/// (F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300: weighted harmonic mean of the neighbouring slopes; one-sided three-point slopes at the ends).
/// Below the first and above the last point the gain is that of the point.
/// </remarks>
public sealed class GainCurve
{
    private readonly double[] _x, _y, _slope;

    /// <summary>A curve through points.</summary>
    /// <param name="points">At least one; frequency in Hz, above 0 and rising, and gain in dB.</param>
    /// <exception cref="ArgumentException">There is no point, or the frequencies do not rise.</exception>
    public GainCurve(IReadOnlyList<(double Hertz, double Gain)> points)
    {
        ArgumentNullException.ThrowIfNull(points);
        if (points.Count == 0) throw new ArgumentException("A curve needs a point.", nameof(points));
        (_x, _y) = ([.. points.Select(p => Math.Log(p.Hertz))], [.. points.Select(p => p.Gain)]);
        for (var i = 0; i < _x.Length; i++)
            if (!double.IsFinite(_x[i]) || !double.IsFinite(_y[i]) || (i > 0 && _x[i] <= _x[i - 1])) throw new ArgumentException($"Finite points at rising frequencies are wanted, not {points[i]}.", nameof(points));
        _slope = Slopes();
    }

    /// <summary>Gain at a frequency, dB.</summary>
    /// <param name="hertz">0 or more.</param>
    public double At(double hertz)
    {
        var x = hertz > 0 ? Math.Log(hertz) : double.NegativeInfinity;
        if (x <= _x[0]) return _y[0];
        if (x >= _x[^1]) return _y[^1];
        var i = Array.BinarySearch(_x, x);
        i = i >= 0 ? i : ~i - 1;
        var h = _x[i + 1] - _x[i];
        var t = (x - _x[i]) / h;
        // Hermite's basis.
        return (_y[i] * (1 + (2 * t)) * (1 - t) * (1 - t)) + (_y[i + 1] * t * t * (3 - (2 * t))) + (h * t * (1 - t) * ((_slope[i] * (1 - t)) - (_slope[i + 1] * t)));
    }

    private double[] Slopes()
    {
        var n = _x.Length;
        var slopes = new double[n];
        if (n == 1) return slopes;
        double Width(int i) => _x[i + 1] - _x[i];
        double Chord(int i) => (_y[i + 1] - _y[i]) / Width(i);
        if (n == 2) return [Chord(0), Chord(0)];
        for (var i = 1; i < n - 1; i++)
        {
            var (a, b) = (Chord(i - 1), Chord(i));
            if (a * b <= 0) continue;
            var (wa, wb) = ((2 * Width(i)) + Width(i - 1), Width(i) + (2 * Width(i - 1)));
            slopes[i] = (wa + wb) / ((wa / a) + (wb / b));
        }
        slopes[0] = End(Width(0), Width(1), Chord(0), Chord(1));
        slopes[^1] = End(Width(n - 2), Width(n - 3), Chord(n - 2), Chord(n - 3));
        return slopes;
    }

    private static double End(double near, double next, double chord, double nextChord)
    {
        var slope = ((((2 * near) + next) * chord) - (near * nextChord)) / (near + next);
        if (Math.Sign(slope) != Math.Sign(chord)) return 0;
        return Math.Sign(chord) != Math.Sign(nextChord) && Math.Abs(slope) > 3 * Math.Abs(chord) ? 3 * chord : slope;
    }
}
