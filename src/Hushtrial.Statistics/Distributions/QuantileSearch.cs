namespace Hushtrial.Statistics.Distributions;

/// <summary>Finds where a monotone function of a real number reaches a value.</summary>
internal static class QuantileSearch
{
    /// <summary>The x with rising(x) = 0 for a function that rises through 0.</summary>
    /// <param name="rising">The function.</param>
    /// <param name="start">Where to begin.</param>
    /// <param name="step">First step, above 0.</param>
    /// <remarks>Steps outwards until the root is bracketed, then Illinois false position with bisection as a guard; stops at 1e-14 relative.</remarks>
    public static double Root(Func<double, double> rising, double start, double step)
    {
        double low = start, high = start, atLow = rising(start), atHigh = atLow;
        for (var i = 0; i < 200 && atLow > 0; i++, step *= 2)
        {
            (high, atHigh) = (low, atLow);
            low -= step;
            atLow = rising(low);
        }
        for (var i = 0; i < 200 && atHigh < 0; i++, step *= 2)
        {
            (low, atLow) = (high, atHigh);
            high += step;
            atHigh = rising(high);
        }
        var kept = 0;
        for (var i = 0; i < 300 && high - low > 1e-14 * Math.Max(Math.Abs(low), Math.Abs(high)) + 1e-300; i++)
        {
            var x = atHigh > atLow ? (low * atHigh - high * atLow) / (atHigh - atLow) : 0.5 * (low + high);
            if (!(x > low && x < high) || i % 8 == 7) x = 0.5 * (low + high);
            var value = rising(x);
            if (value == 0) return x;
            if (value < 0)
            {
                (low, atLow) = (x, value);
                if (kept == -1) atHigh *= 0.5;
                kept = -1;
            }
            else
            {
                (high, atHigh) = (x, value);
                if (kept == 1) atLow *= 0.5;
                kept = 1;
            }
        }
        return 0.5 * (low + high);
    }

    /// <summary>Checks a probability.</summary>
    public static double Probability(double p) => p is > 0 and < 1 ? p : throw new ArgumentOutOfRangeException(nameof(p), p, "A probability inside (0, 1) is needed.");

    /// <summary>Checks degrees of freedom.</summary>
    public static double Freedom(double value) => value is > 0 and < double.PositiveInfinity ? value : throw new ArgumentOutOfRangeException(nameof(value), value, "Degrees of freedom above 0 are needed.");
}
