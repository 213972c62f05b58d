using System.Numerics;
using Hushtrial.Quantities;

namespace Hushtrial.Signals.Filters;

/// <summary>Two poles and a difference numerator: y = w − 2w₋₁ + w₋₂ with w = x + Feedback1·w₋₁ + Feedback2·w₋₂.</summary>
/// <param name="Feedback1">Weight of the last state, −a₁.</param>
/// <param name="Feedback2">Weight of the state before, −a₂.</param>
internal readonly record struct HighPassSection(double Feedback1, double Feedback2)
{
    /// <summary>Zeros (two) at 0 Hz and poles given as roots z of the denominator.</summary>
    internal static HighPassSection WithPoles(Complex first, Complex second) => new((first + second).Real, -(first * second).Real);

    internal Complex Response(double omega)
    {
        var z = Complex.FromPolarCoordinates(1, -omega);
        return (1 - z) * (1 - z) / (1 - (z * Feedback1) - (z * z * Feedback2));
    }
}

/// <summary>The frequency weightings A, C and Z as one cascade of digital filters at one sampling rate.</summary>
/// <remarks>
/// Design goal: IEC 61672-1:2013, Annex E: C has two zeros at 0 and double poles at f1 and f4; A adds two zeros at 0 and poles at f2 and f3.
/// The low poles are placed so that |H|² = u/(u + u_p), u = 1 − cos ω, which is exact at the pole frequency and at 0.
/// The double pole at f4 = 12.2 kHz lies so near to half the sampling rate that the bilinear transform reads −6 dB at 16 kHz with 48 kHz;
/// three zeros and two poles are fitted to its power response instead (<see cref="RationalFit"/>): within 0.01 dB to 20 kHz at 48 kHz.
/// Z is flat, with a second-order Butterworth high-pass at 4 Hz (−0.11 dB at 10 Hz, −0.01 dB at 20 Hz), so that the direct-current offset
/// of a recorder does not enter the Z level; the frequency range of the Z weighting begins at 10 Hz (IEC 61672-1:2013, Table 3).
/// All gains are 1 at 1 kHz.
/// </remarks>
internal sealed class WeightingFilters
{
    /// <summary>Corner of the Z weighting's high-pass, Hz.</summary>
    internal const double ZeroWeightingCorner = 4;

    private const int FitPoints = 400;
    private static readonly Dictionary<int, WeightingFilters> _known = [];

    private WeightingFilters(int rate)
    {
        var low = LowPole(Weightings.LowPole, rate);
        CLow = HighPassSection.WithPoles(low, low);
        ALow = HighPassSection.WithPoles(LowPole(Weightings.FirstAPole, rate), LowPole(Weightings.SecondAPole, rate));
        (CHighNumerator, var denominator) = FitHighPoles(rate);
        (CHighFeedback1, CHighFeedback2) = (-denominator[1], -denominator[2]);

        var k = Math.Tan(Math.PI * ZeroWeightingCorner / rate);
        var norm = 1 + (Math.Sqrt(2) * k) + (k * k);
        ZLow = new(-2 * ((k * k) - 1) / norm, -(1 - (Math.Sqrt(2) * k) + (k * k)) / norm);

        var omega = 2 * Math.PI * 1000 / rate;
        CGain = 1 / (CLow.Response(omega) * CHigh(omega)).Magnitude;
        AGain = 1 / ALow.Response(omega).Magnitude;
        ZGain = 1 / ZLow.Response(omega).Magnitude;
        for (var i = 0; i < CHighNumerator.Length; i++) CHighNumerator[i] *= CGain;
    }

    /// <summary>The double pole f1 and the double zero of C.</summary>
    internal HighPassSection CLow { get; }

    /// <summary>The poles f2, f3 and the second double zero of A; follows C.</summary>
    internal HighPassSection ALow { get; }

    /// <summary>The high-pass of Z.</summary>
    internal HighPassSection ZLow { get; }

    /// <summary>Numerator of the double pole f4, four coefficients, with C's gain.</summary>
    internal double[] CHighNumerator { get; }

    /// <summary>Weight of the last state of the f4 section.</summary>
    internal double CHighFeedback1 { get; }

    /// <summary>Weight of the state before.</summary>
    internal double CHighFeedback2 { get; }

    /// <summary>Gain of the A section after C.</summary>
    internal double AGain { get; }

    /// <summary>Gain of the Z section.</summary>
    internal double ZGain { get; }

    private double CGain { get; }

    /// <summary>The filters for a sampling rate, designed once.</summary>
    internal static WeightingFilters At(int rate)
    {
        lock (_known) return _known.TryGetValue(rate, out var known) ? known : _known[rate] = new(rate);
    }

    /// <summary>Complex response of the digital filter at a frequency in Hz.</summary>
    internal Complex Response(FrequencyWeighting weighting, double hertz, int rate)
    {
        var omega = 2 * Math.PI * hertz / rate;
        return weighting switch
        {
            FrequencyWeighting.Z => ZLow.Response(omega) * ZGain,
            FrequencyWeighting.C => CLow.Response(omega) * CHigh(omega),
            _ => CLow.Response(omega) * CHigh(omega) * ALow.Response(omega) * AGain,
        };
    }

    private Complex CHigh(double omega)
    {
        var z = Complex.FromPolarCoordinates(1, -omega);
        var above = CHighNumerator[0] + (z * (CHighNumerator[1] + (z * (CHighNumerator[2] + (z * CHighNumerator[3])))));
        return above / (1 - (z * CHighFeedback1) - (z * z * CHighFeedback2));
    }

    /// <summary>The real pole whose section has its −3 dB point at the frequency: (1 − p)²/(2p) = 1 − cos ω.</summary>
    private static double LowPole(double hertz, int rate)
    {
        var half = Math.Sin(Math.PI * hertz / rate);
        var u = 2 * half * half;
        return 1 + u - Math.Sqrt((u * u) + (2 * u));
    }

    private static (double[] Numerator, double[] Denominator) FitHighPoles(int rate)
    {
        // To 21 kHz where the rate allows; just below half the rate no filter of this order follows, and an anti-alias filter rules there.
        var top = Math.Min(0.95 * rate / 2, 21_000);
        var u = new double[FitPoints];
        var power = new double[FitPoints];
        var weight = new double[FitPoints];
        for (var i = 0; i < FitPoints; i++)
        {
            var f = top * i / (FitPoints - 1);
            var half = Math.Sin(Math.PI * f / rate);
            var ratio = f / Weightings.HighPole;
            u[i] = 2 * half * half;
            power[i] = 1 / ((1 + (ratio * ratio)) * (1 + (ratio * ratio)));
            // The class 1 limits open towards 20 kHz, and cabin and field noise falls: the weight falls too.
            weight[i] = 1 / (1 + (f / 9000 * (f / 9000)));
        }
        // Around 21 kHz the third zero is one too many and comes to lie on a pole; two zeros are then as good.
        var (numerator, denominator) = RationalFit.Fit(u, power, weight, zeros: 3, poles: 2) ?? RationalFit.Fit(u, power, weight, zeros: 2, poles: 2)
            ?? throw new InvalidOperationException($"No weighting filter was found for {rate} Hz.");
        return ([.. numerator, .. new double[4 - numerator.Length]], denominator);
    }
}
