using System.Collections.Concurrent;
using System.Numerics;
using Hushtrial.Quantities;

namespace Hushtrial.Signals.Filters;

/// <summary>A fractional-octave filter of class 1 at one sampling rate, or the reason why there is none.</summary>
/// <remarks>
/// A Butterworth band-pass by the bilinear transform, of three second-order sections; of four where three would miss the class 1 limits of
/// IEC 61260-1:2014 because the transform flattens the lower skirt near half the sampling rate. The band edges are pre-warped, and the
/// bandwidth is scaled so that the effective bandwidth (5.12) equals the nominal one: with −3 dB edges a Butterworth band of third order
/// reads noise 0.19 dB too high, so the levels of 31 bands would add to more than the whole. The attenuation at the edges becomes 3.7 dB.
/// Every design is measured against the limits when it is made; a band that misses them is not offered.
/// All sections have the numerator 1 − z⁻²; the engine applies three of them once, to the input of all bands.
/// </remarks>
internal sealed class BandFilter
{
    private static readonly int[] _commonRates = [8000, 11_025, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000, 64_000, 88_200, 96_000, 176_400, 192_000];
    private static readonly ConcurrentDictionary<(Band, int), BandFilter> _known = new();

    private readonly double _center;
    private readonly double _bandwidth;

    private BandFilter(Band band, int rate, int order)
    {
        (Band, Rate, Order) = (band, rate, order);
        var low = Math.Tan(Math.PI * band.LowerEdge.Hertz / rate);
        var high = Math.Tan(Math.PI * band.UpperEdge.Hertz / rate);
        _center = low * high;
        _bandwidth = high - low;
        _bandwidth *= EqualiseBandwidth();

        var poles = Poles();
        Feedback1 = Array.ConvertAll(poles, p => 2 * p.Real);
        Feedback2 = Array.ConvertAll(poles, p => -((p.Real * p.Real) + (p.Imaginary * p.Imaginary)));
        SettlingFrames = (int)Math.Ceiling(Math.Log(1e-10) / Math.Log(Math.Sqrt(-Feedback2.Min())));
        // At the centre tan²(ω/2) = _center the gain is 1.
        Gain = 1 / Unscaled(2 * Math.Atan(Math.Sqrt(_center))).Magnitude;
    }

    /// <summary>The band.</summary>
    internal Band Band { get; }

    /// <summary>Sampling rate, Hz.</summary>
    internal int Rate { get; }

    /// <summary>Number of second-order sections, 3 or 4.</summary>
    internal int Order { get; }

    /// <summary>Per section the weight of its last state, −a₁.</summary>
    internal double[] Feedback1 { get; }

    /// <summary>Per section the weight of the state before, −a₂.</summary>
    internal double[] Feedback2 { get; }

    /// <summary>Factor that brings the midband gain to 1.</summary>
    internal double Gain { get; }

    /// <summary>Frames after which the slowest pole has forgotten its start by 200 dB: 3.8 s for the one-third octave at 20 Hz.</summary>
    internal int SettlingFrames { get; }

    /// <summary>The filter of a band at a rate, or null when no class 1 filter of this kind exists there.</summary>
    internal static BandFilter? Find(Band band, int rate)
    {
        if (band.UpperEdge.Hertz >= rate / 2.0) return null;
        foreach (var order in (ReadOnlySpan<int>)[3, 4])
        {
            var filter = _known.TryGetValue((band, rate), out var known) ? known : new BandFilter(band, rate, order);
            if (!filter.MeetsClassOne()) continue;
            return _known.GetOrAdd((band, rate), filter);
        }
        return null;
    }

    /// <summary>Why the band has no filter at this rate, in words for a reader.</summary>
    internal static string Reason(Band band, int rate)
    {
        var enough = Array.Find(_commonRates, r => r > rate && Find(band, r) is not null);
        var octave = band.Fraction == BandFraction.Octave ? "octave" : "one-third-octave";
        return enough == 0
            ? $"the {band} {octave} band cannot be measured at a sampling rate of {rate} Hz"
            : $"the {band} {octave} band needs a sampling rate of at least {enough} Hz; this recording has {rate} Hz";
    }

    /// <summary>Complex response at a frequency in Hz.</summary>
    internal Complex Response(double hertz) => Unscaled(2 * Math.PI * hertz / Rate) * Gain;

    private Complex Unscaled(double omega)
    {
        var z = Complex.FromPolarCoordinates(1, -omega);
        var response = Complex.One;
        for (var i = 0; i < Feedback1.Length; i++)
            response *= (1 - (z * z)) / (1 - (z * Feedback1[i]) - (z * z * Feedback2[i]));
        return response;
    }

    private bool MeetsClassOne()
    {
        // 60 points up to the band edge, 60 from there to the last breakpoint, on both sides.
        var ratios = ClassOneMask.Ratios(Band.Fraction);
        for (var i = 0; i <= 120; i++)
        {
            var ratio = i < 60 ? Math.Pow(ratios[4], i / 60.0) : ratios[4] * Math.Pow(ratios[8] / ratios[4], (i - 60) / 60.0);
            foreach (var r in (ReadOnlySpan<double>)[ratio, 1 / ratio])
            {
                var f = Band.ExactMidband.Hertz * r;
                if (f >= Rate / 2.0) continue;
                var (least, most) = ClassOneMask.Limits(Band.Fraction, r);
                var attenuation = 10 * Math.Log10(1 + Math.Pow(Detuning(f), 2 * Order));
                if (attenuation < least || attenuation > most) return false;
            }
        }
        return true;
    }

    /// <summary>Butterworth's frequency variable: 0 at the centre, ±1 at −3 dB.</summary>
    private double Detuning(double hertz)
    {
        var t = Math.Tan(Math.PI * hertz / Rate);
        return ((t * t) - _center) / (t * _bandwidth);
    }

    /// <summary>The factor on the bandwidth that makes the integral of the power gain over ln f equal to the nominal bandwidth.</summary>
    private double EqualiseBandwidth()
    {
        const int points = 2000;
        var nominal = 0.3 * Math.Log(10) / (int)Band.Fraction;
        var from = Math.Log(Band.ExactMidband.Hertz) - (8 * nominal);
        var to = Math.Min(Math.Log(Band.ExactMidband.Hertz) + (8 * nominal), Math.Log(Rate / 2.0));
        var power = new double[points];
        for (var i = 0; i < points; i++)
            power[i] = Math.Pow(Detuning(Math.Exp(from + ((to - from) * (i + 0.5) / points))), 2 * Order);
        var (narrow, wide) = (0.7, 1.1);
        for (var round = 0; round < 45; round++)
        {
            var factor = (narrow + wide) / 2;
            var sum = 0.0;
            var scale = Math.Pow(factor, -2 * Order);
            foreach (var p in power) sum += 1 / (1 + (p * scale));
            if (sum * (to - from) / points > nominal) wide = factor;
            else narrow = factor;
        }
        return (narrow + wide) / 2;
    }

    /// <summary>One pole of each conjugate pair: low-pass prototype → band-pass → bilinear transform.</summary>
    private Complex[] Poles()
    {
        var poles = new List<Complex>();
        for (var k = 0; k < Order; k++)
        {
            var prototype = Complex.FromPolarCoordinates(1, Math.PI * ((2 * k) + Order + 1) / (2 * Order));
            var half = prototype * _bandwidth / 2;
            var root = Complex.Sqrt((half * half) - _center);
            foreach (var s in (ReadOnlySpan<Complex>)[half + root, half - root])
                if (s.Imaginary > 0) poles.Add((1 + s) / (1 - s));
        }
        return poles.Count == Order ? [.. poles.OrderBy(p => p.Phase)]
            : throw new InvalidOperationException($"The band at {Band} has {poles.Count} conjugate pairs of poles at {Rate} Hz, not {Order}.");
    }
}
