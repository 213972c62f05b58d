using System.Collections.Concurrent;
using System.Numerics;
using Hushtrial.Quantities;

namespace Hushtrial.Signals.Filters;

/// <summary>A fractional-octave filter of class 1 at one sampling rate, or the reason why there is none.</summary>
/// <remarks>
/// Design goal: a Butterworth band-pass of sixth order (three second-order sections), 3.01 dB down at the band edges. Its effective bandwidth
/// (IEC 61260-1:2014, 5.12) is 0.19 dB (octave: 0.16 dB) above the nominal one, inside the 0.4 dB of class 1.
/// Well below half the rate the bilinear transform with pre-warped edges does: numerator (1 − z⁻²)³. From 0.12 of the rate (octaves: 0.07)
/// it flattens the lower skirt, until class 1 fails at a quarter of the rate; there the poles are those of the analogue filter, z = e^(s/rate), and behind (1 − z⁻¹)³ two more
/// zeros are fitted to the analogue power response (<see cref="RationalFit"/>).
/// Every design is measured against the class 1 limits when it is made; a band that misses them is not offered.
/// </remarks>
internal sealed class BandFilter
{
    private const int Order = 3;

    private static readonly int[] _commonRates = [16_000, 22_050, 24_000, 32_000, 44_100, 48_000, 64_000, 88_200, 96_000, 176_400, 192_000];
    private static readonly ConcurrentDictionary<Key, BandFilter> _known = new();

    private BandFilter(Band band, int rate)
    {
        (Band, Rate) = (band, rate);
        var bilinear = band.UpperEdge.Hertz < (band.Fraction == BandFraction.Octave ? 0.07 : 0.12) * rate;
        Poles = bilinear ? BilinearPoles() : AnaloguePoles();
        if (!bilinear)
            for (var i = 0; i < Order; i++) Poles[i] = Complex.Exp(Poles[i] / rate);
        (Feedback1, Feedback2) = (new double[Order], new double[Order]);
        var slowest = 0.0;
        for (var i = 0; i < Order; i++)
        {
            var p = Poles[i];
            (Feedback1[i], Feedback2[i]) = (2 * p.Real, -((p.Real * p.Real) + (p.Imaginary * p.Imaginary)));
            slowest = Math.Max(slowest, p.Magnitude);
        }
        Numerator = bilinear ? null : FitNumerator();
        Gain = 1;
        // The bilinear band-pass has gain 1 at its centre, the midband but for 10⁻⁵ dB.
        if (Numerator is null) Gain = 1 / At(band.ExactMidband.Hertz).Magnitude;
        // The gain of the fitted one is its first coefficient: one multiplication less for every sample.
        else
        {
            Gain = Numerator[0];
            for (var i = 0; i < Numerator.Length; i++) Numerator[i] /= Gain;
        }
        SettlingFrames = (int)Math.Ceiling(Math.Log(1e-10) / Math.Log(slowest));
        MeetsClassOne = Measure();
    }

    /// <summary>The band.</summary>
    internal Band Band { get; }

    /// <summary>Sampling rate, Hz.</summary>
    internal int Rate { get; }

    /// <summary>Per section the weight of its last state, −a₁.</summary>
    internal double[] Feedback1 { get; }

    /// <summary>Per section the weight of the state before, −a₂.</summary>
    internal double[] Feedback2 { get; }

    /// <summary>Null: the numerator is (1 − z⁻²)³. Otherwise it is (1 − z⁻¹)³ times these three coefficients in rising powers of z⁻¹, the first of them 1.</summary>
    internal double[]? Numerator { get; }

    /// <summary>Factor that brings the midband gain to 1.</summary>
    internal double Gain { get; }

    /// <summary>Frames after which the slowest pole has forgotten its start by 200 dB: 3.5 s for the one-third octave at 20 Hz.</summary>
    internal int SettlingFrames { get; }

    /// <summary>The poles, one of each conjugate pair.</summary>
    internal Complex[] Poles { get; }

    private bool MeetsClassOne { get; }

    /// <summary>A band at a rate; an object, for which the dictionary exists compiled.</summary>
    internal sealed record Key(Band Band, int Rate);

    /// <summary>The filter of a band at a rate, or null when no class 1 filter of this kind exists there.</summary>
    internal static BandFilter? Find(Band band, int rate)
    {
        if (band.UpperEdge.Hertz >= rate / 2.0) return null;
        var filter = _known.GetOrAdd(new(band, rate), key => new(key.Band, key.Rate));
        return filter.MeetsClassOne ? filter : null;
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
    internal Complex Response(double hertz) => At(hertz).ToComplex();

    /// <summary>The same in plain arithmetic.</summary>
    internal Phasor At(double hertz)
    {
        var z = Phasor.Of(-2 * Math.PI * hertz / Rate);
        var zeros = Numerator is null ? 1 - (z * z) : 1 - z;
        var response = new Phasor(Gain, 0);
        for (var i = 0; i < Order; i++) response *= zeros / Phasor.Section(z, Feedback1[i], Feedback2[i]);
        return Numerator is null ? response : response * (Numerator[0] + (z * (Numerator[1] + (z * Numerator[2]))));
    }

    private bool Measure()
    {
        // 60 steps up to the band edge, 60 from there to the last breakpoint, on both sides.
        var ratios = ClassOneMask.Ratios(Band.Fraction);
        for (var i = 0; i <= 120; i++)
        {
            var ratio = i < 60 ? Math.Pow(ratios[4], i / 60.0) : ratios[4] * Math.Pow(ratios[8] / ratios[4], (i - 60) / 60.0);
            foreach (var r in (ReadOnlySpan<double>)[ratio, 1 / ratio])
            {
                var f = Band.ExactMidband.Hertz * r;
                if (f >= Rate / 2.0) continue;
                var (least, most) = ClassOneMask.Limits(Band.Fraction, r);
                var attenuation = -20 * Math.Log10(At(f).Magnitude);
                if (attenuation < least || attenuation > most) return false;
            }
        }
        return true;
    }

    /// <summary>Poles of the band-pass with a centre (squared) and a bandwidth, one of each conjugate pair.</summary>
    private static Complex[] BandPassPoles(double center, double bandwidth)
    {
        // Plain loops: generic methods over Complex would all be compiled anew at every start.
        var (poles, found) = (new Complex[Order], 0);
        for (var k = 0; k < Order; k++)
        {
            var half = Complex.FromPolarCoordinates(bandwidth / 2, Math.PI * ((2 * k) + Order + 1) / (2 * Order));
            var root = Complex.Sqrt((half * half) - center);
            foreach (var s in (ReadOnlySpan<Complex>)[half + root, half - root])
            {
                if (s.Imaginary <= 0) continue;
                if (found == Order) throw new InvalidOperationException("A band-pass of three sections has three conjugate pairs of poles, not more.");
                // In the order of their imaginary parts.
                var place = found++;
                for (; place > 0 && poles[place - 1].Imaginary > s.Imaginary; place--) poles[place] = poles[place - 1];
                poles[place] = s;
            }
        }
        return found == Order ? poles : throw new InvalidOperationException($"A band-pass of three sections has three conjugate pairs of poles, not {found}.");
    }

    private Complex[] BilinearPoles()
    {
        double Warped(double hertz) => Math.Tan(Math.PI * hertz / Rate);
        var (low, high) = (Warped(Band.LowerEdge.Hertz), Warped(Band.UpperEdge.Hertz));
        var (center, bandwidth) = (low * high, high - low);
        var poles = BandPassPoles(center, bandwidth);
        for (var i = 0; i < Order; i++) poles[i] = (1 + poles[i]) / (1 - poles[i]);
        return poles;
    }

    /// <summary>Poles of the analogue filter, rad/s.</summary>
    private Complex[] AnaloguePoles()
    {
        var (middle, width) = (Band.ExactMidband.Hertz, Band.UpperEdge.Hertz - Band.LowerEdge.Hertz);
        return BandPassPoles(Math.Pow(2 * Math.PI * middle, 2), 2 * Math.PI * width);
    }

    private double[] FitNumerator()
    {
        const int points = 600;
        var middle = Band.ExactMidband.Hertz;
        var (from, to) = (middle / 8, Math.Min(8 * middle, Rate / 2.0));
        var analogue = AnaloguePoles();
        double Analogue(double hertz)
        {
            // Of each pair of poles p: |s/((s − p)(s − p*))| = ω/|p·p* − ω² − 2·Re p·iω|.
            var (omega, size) = (2 * Math.PI * hertz, 1.0);
            foreach (var p in analogue) size *= omega / new Phasor((p.Real * p.Real) + (p.Imaginary * p.Imaginary) - (omega * omega), 2 * p.Real * omega).Magnitude;
            return size;
        }
        var atMiddle = Analogue(middle);
        var (u, power, weight) = (new double[points], new double[points], new double[points]);
        for (var i = 0; i < points; i++)
        {
            var f = from * Math.Pow(to / from, i / (points - 1.0));
            var half = Math.Sin(Math.PI * f / Rate);
            u[i] = 2 * half * half;
            var z = Phasor.Of(-2 * Math.PI * f / Rate);
            var allPole = Phasor.One;
            for (var k = 0; k < Order; k++) allPole *= (1 - z) / Phasor.Section(z, Feedback1[k], Feedback2[k]);
            var goal = Analogue(f) / atMiddle;
            power[i] = Math.Pow(goal / allPole.Magnitude, 2);
            // The pass band first; a skirt matters less the lower it lies.
            weight[i] = Math.Pow(goal, 0.7) + 0.001;
        }
        return RationalFit.Fit(u, power, weight, zeros: 2, poles: 0)?.Numerator
            ?? throw new InvalidOperationException($"No numerator was found for the band at {Band} and {Rate} Hz.");
    }
}
