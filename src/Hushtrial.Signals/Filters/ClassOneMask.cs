using Hushtrial.Quantities;

namespace Hushtrial.Signals.Filters;

/// <summary>The class 1 acceptance limits on the relative attenuation of octave and one-third-octave filters.</summary>
/// <remarks>IEC 61260-1:2014, Table 1; breakpoints of one-third octaves by 5.10.3, formula (9); between breakpoints the limits run
/// linearly over lg f. The lower side mirrors the upper on a logarithmic scale.</remarks>
internal static class ClassOneMask
{
    private static readonly double[] _exponents = [0, 1 / 8.0, 1 / 4.0, 3 / 8.0, 1 / 2.0, 1, 2, 3, 4];
    private static readonly double[] _most = [0.4, 0.5, 0.7, 1.4, 5.3];
    private static readonly double[] _leastOutside = [1.2, 16.6, 40.5, 60, 70];

    /// <summary>The frequency ratios of the breakpoints, from 1 upwards.</summary>
    internal static double[] Ratios(BandFraction fraction)
    {
        var b = (int)fraction;
        var octave = Math.Pow(10, 0.3);
        var scale = (Math.Pow(octave, 1 / (2.0 * b)) - 1) / (Math.Sqrt(octave) - 1);
        return Array.ConvertAll(_exponents, x => 1 + (scale * (Math.Pow(octave, x) - 1)));
    }

    /// <summary>Least and most attenuation allowed at a frequency ratio above 0; most is infinite outside the band.</summary>
    internal static (double Least, double Most) Limits(BandFraction fraction, double ratio)
    {
        var ratios = Ratios(fraction);
        var side = Math.Max(ratio, 1 / ratio);
        if (side < ratios[4]) return (-0.4, Interpolate(ratios.AsSpan(0, 5), _most, side));
        return side >= ratios[8] ? (70, double.PositiveInfinity)
            : (Interpolate(ratios.AsSpan(4, 5), _leastOutside, side), double.PositiveInfinity);
    }

    private static double Interpolate(ReadOnlySpan<double> ratios, double[] values, double at)
    {
        var i = 1;
        while (i < ratios.Length - 1 && at > ratios[i]) i++;
        var share = Math.Log(at / ratios[i - 1]) / Math.Log(ratios[i] / ratios[i - 1]);
        return values[i - 1] + (share * (values[i] - values[i - 1]));
    }
}
