namespace Hushtrial.Trials.Synthesis;

/// <summary>A loss in dB as a smooth function of frequency: straight lines between points over the logarithm of frequency, level beyond the ends.</summary>
public sealed class LossCurve
{
    private readonly double[] _logHertz;
    private readonly double[] _decibels;

    /// <summary>A curve through points, rising in frequency.</summary>
    /// <param name="points">Frequency in Hz and loss in dB; at least one.</param>
    /// <exception cref="ArgumentException">No points, or frequencies that do not rise.</exception>
    public LossCurve(params (double Hertz, double Decibels)[] points)
    {
        if (points.Length == 0) throw new ArgumentException("A loss curve needs at least one point.", nameof(points));
        for (var i = 1; i < points.Length; i++)
            if (!(points[i].Hertz > points[i - 1].Hertz)) throw new ArgumentException($"The point at {points[i].Hertz} Hz does not rise.", nameof(points));
        _logHertz = [.. points.Select(p => Math.Log(p.Hertz))];
        _decibels = [.. points.Select(p => p.Decibels)];
    }

    /// <summary>The loss at one frequency, dB.</summary>
    public double At(double hertz)
    {
        var x = Math.Log(hertz);
        var i = Array.BinarySearch(_logHertz, x);
        if (i >= 0) return _decibels[i];
        i = ~i;
        if (i == 0) return _decibels[0];
        if (i == _logHertz.Length) return _decibels[^1];
        var share = (x - _logHertz[i - 1]) / (_logHertz[i] - _logHertz[i - 1]);
        return _decibels[i - 1] + (share * (_decibels[i] - _decibels[i - 1]));
    }
}
