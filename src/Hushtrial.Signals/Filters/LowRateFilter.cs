using System.Collections.Concurrent;
using System.Numerics;
using Hushtrial.Quantities;

namespace Hushtrial.Signals.Filters;

/// <summary>A band filter that gives the output of its <see cref="BandFilter"/> at every 2nd, 4th, … frame, from a signal whose rate was halved as often.</summary>
/// <remarks>
/// The poles are those of the full-rate filter, to the power of the factor. The numerator (1 − z⁻²)³ is that of all bands and follows the first halving,
/// as (1 − z⁻¹)³. Three coefficients are fitted by least squares to the complex response of the full-rate filter divided by that of the halvings
/// (<see cref="HalvingFilter"/>): amplitude and phase, so that steps begin and end at the same instant. The error that counts is what a lone tone could
/// change of a level 60 dB below it; a design that exceeds it is not used.
/// </remarks>
internal sealed class LowRateFilter
{
    /// <summary>Error allowed where the filter passes more than −60 dB, as a part of the response: 0.0004 dB.</summary>
    internal const double Allowed = 5e-5;

    private const int Taps = 3;
    private const int Rounds = 8;
    // Lowest reduced rate, Hz; lower ones would save next to nothing, and know a jump too early (decision 0045).
    private const double LowestRate = 2700;
    // What a band may pass of a tone at half the reduced rate: sampled there, its power comes out as anything between nothing and twice what it is.
    private const double MostAtHalfRate = 1.3e-5;
    // Share of the error that a design may use up.
    private const double Enough = 0.85;
    private static readonly ConcurrentDictionary<BandFilter.Key, LowRateFilter?> _known = new();

    private LowRateFilter(BandFilter filter, int factor)
    {
        (Full, Factor) = (filter, factor);
        var sections = filter.Poles.Length;
        (Feedback1, Feedback2) = (new double[sections], new double[sections]);
        for (var i = 0; i < sections; i++)
        {
            var p = Complex.Pow(filter.Poles[i], factor);
            (Feedback1[i], Feedback2[i]) = (2 * p.Real, -((p.Real * p.Real) + (p.Imaginary * p.Imaginary)));
        }
        Numerator = Fit();
        Gain = Numerator[0] * filter.Gain;
        for (var i = 0; i < Numerator.Length; i++) Numerator[i] = Numerator[i] * filter.Gain / Gain;
    }

    /// <summary>The full-rate filter it stands for.</summary>
    internal BandFilter Full { get; }

    /// <summary>Frames per value: 2, 4, 8, …</summary>
    internal int Factor { get; }

    internal double[] Feedback1 { get; }

    internal double[] Feedback2 { get; }

    /// <summary>Three coefficients in rising powers of z⁻¹, the first of them 1.</summary>
    internal double[] Numerator { get; }

    /// <summary>Factor that turns the output into the band's.</summary>
    internal double Gain { get; }

    /// <summary>Halvings that pay at a sampling rate.</summary>
    internal static int Halvings(int rate) => Math.Max(0, (int)Math.Log2(rate / LowestRate));

    /// <summary>The reduced filter for a band, or null where it has to run at the full rate.</summary>
    internal static LowRateFilter? Find(BandFilter filter) => _known.GetOrAdd(new(filter.Band, filter.Rate), (_, f) =>
    {
        if (f.Numerator is not null) return null;
        for (var halvings = Halvings(f.Rate); halvings > 0; halvings--)
        {
            var half = f.Rate / (2.0 * (1 << halvings));
            if (half < 2 * f.Band.UpperEdge.Hertz || f.At(half).Magnitude > MostAtHalfRate) continue;
            var low = new LowRateFilter(f, 1 << halvings);
            if (low.WorstTone() <= Enough) return low;
        }
        return null;
    }, filter);

    /// <summary>Complex response from the full-rate input to the output, at a frequency up to half the full rate; above half the reduced rate that of the folded tone.</summary>
    internal Complex Response(double hertz) => At(hertz).ToComplex();

    private Phasor At(double hertz)
    {
        var z = Phasor.Of(-2 * Math.PI * hertz * Factor / Full.Rate);
        return AllPole(z) * (Numerator[0] + (z * (Numerator[1] + (z * Numerator[2])))) * Chain(hertz) * Gain;
    }

    /// <summary>The common numerator and the halvings.</summary>
    private Phasor Chain(double hertz)
    {
        var cycles = hertz / Full.Rate;
        var zero = 1 - Phasor.Of(-4 * Math.PI * cycles);
        var response = zero * zero * zero * HalvingFilter.First.At(cycles);
        for (var f = 2; f < Factor; f *= 2) response *= HalvingFilter.Later.At(cycles * f);
        return response;
    }

    private Phasor AllPole(Phasor z)
    {
        var response = Phasor.One;
        for (var i = 0; i < Feedback1.Length; i++) response /= Phasor.Section(z, Feedback1[i], Feedback2[i]);
        return response;
    }

    /// <summary>The largest change by a lone tone of its own level, or of one 60 dB below it, as a part of 0.001 dB.</summary>
    private double WorstTone()
    {
        var (worst, half) = (0.0, Full.Rate / (2.0 * Factor));
        void Look(double hertz)
        {
            var (wanted, got) = (Full.At(hertz), At(hertz));
            var power = (wanted.Re * wanted.Re) + (wanted.Im * wanted.Im);
            // Below half the reduced rate amplitude and phase count; above it a tone comes out folded, and its power counts.
            var error = hertz < half ? 2 * new Phasor(got.Re - wanted.Re, got.Im - wanted.Im).Magnitude * wanted.Magnitude
                : Math.Abs((got.Re * got.Re) + (got.Im * got.Im) - power);
            // 10^(0.001/10) − 1 of a power, not below that of 60 dB under the tone.
            worst = Math.Max(worst, error / (2.3e-4 * Math.Max(power, 1e-6)));
        }
        foreach (var f in Frequencies()) Look(f);
        // What folds onto the band and its skirts.
        for (var image = 2 * half; image < Full.Rate / 2.0 + half; image += 2 * half)
            foreach (var f in (ReadOnlySpan<double>)[Full.Band.LowerEdge.Hertz, Full.Band.ExactMidband.Hertz, Full.Band.UpperEdge.Hertz, half / 2])
            {
                if (image - f < Full.Rate / 2.0) Look(image - f);
                if (image + f < Full.Rate / 2.0) Look(image + f);
            }
        return worst;
    }

    private double[] Fit()
    {
        var frequencies = Frequencies();
        var rows = 2 * frequencies.Length;
        var (columns, goal, weight) = (new double[Taps][], new double[rows], new double[frequencies.Length]);
        for (var c = 0; c < Taps; c++) columns[c] = new double[rows];
        for (var i = 0; i < frequencies.Length; i++)
        {
            var f = frequencies[i];
            var (full, chain) = (Full.At(f), Chain(f));
            var size = full.Magnitude;
            var allowed = Allowed * Math.Max(size, 1e-3) * (size > 1e-3 ? 1 : 1e-3 / Math.Max(size, 1e-9));
            weight[i] = 1;
            var scale = 1 / allowed;
            var wanted = full * (scale / Full.Gain);
            (goal[2 * i], goal[(2 * i) + 1]) = (wanted.Re, wanted.Im);
            var z = Phasor.Of(-2 * Math.PI * f * Factor / Full.Rate);
            var value = AllPole(z) * chain * scale;
            // Powers of 1 − z⁻¹ are far less alike than those of z⁻¹.
            for (var c = 0; c < Taps; c++, value *= 1 - z) (columns[c][2 * i], columns[c][(2 * i) + 1]) = (value.Re, value.Im);
        }
        var solution = new double[Taps];
        for (var round = 0; round < Rounds; round++)
        {
            solution = LeastSquares(columns, goal, weight);
            // Weight grows where the error is largest (Lawson), so that the largest error falls.
            var errors = new double[frequencies.Length];
            for (var i = 0; i < errors.Length; i++)
            {
                var (re, im) = (-goal[2 * i], -goal[(2 * i) + 1]);
                for (var c = 0; c < Taps; c++)
                {
                    re += solution[c] * columns[c][2 * i];
                    im += solution[c] * columns[c][(2 * i) + 1];
                }
                errors[i] = Math.Sqrt((re * re) + (im * im));
            }
            var largest = 0.0;
            foreach (var error in errors) largest = Math.Max(largest, error);
            if (largest == 0) break;
            for (var i = 0; i < errors.Length; i++) weight[i] = Math.Max(1e-6, weight[i] * (0.2 + (errors[i] / largest)));
        }
        // From powers of 1 − z⁻¹ to powers of z⁻¹.
        var (a, b, d) = (solution[0], solution[1], solution[2]);
        return [a + b + d, -b - (2 * d), d];
    }

    private double[] Frequencies()
    {
        var (middle, top) = (Full.Band.ExactMidband.Hertz, Full.Rate / (2.0 * Factor));
        var (list, n) = (new double[200], 0);
        for (var i = 0; i < 120; i++) list[n++] = middle / 30 * Math.Pow(30 * top / middle, (i + 0.5) / 120);
        for (var i = 0; i < 40; i++) list[n++] = top * (i + 1) / 40;
        for (var i = 0; i < 40; i++) list[n++] = middle * Math.Pow(2, (i - 19.5) / 60);
        return list;
    }

    /// <summary>Weighted least squares by orthogonal columns (Gram and Schmidt, each twice).</summary>
    private static double[] LeastSquares(double[][] columns, double[] goal, double[] weight)
    {
        var root = Array.ConvertAll(weight, Math.Sqrt);
        double[] Weighted(double[] column)
        {
            var weighted = new double[column.Length];
            for (var row = 0; row < weighted.Length; row++) weighted[row] = column[row] * root[row / 2];
            return weighted;
        }
        var basis = Array.ConvertAll(columns, Weighted);
        var rest = Weighted(goal);
        var triangle = new double[Taps, Taps];
        var right = new double[Taps];
        static double Dot(double[] x, double[] y)
        {
            var sum = 0.0;
            for (var i = 0; i < x.Length; i++) sum += x[i] * y[i];
            return sum;
        }
        static void Subtract(double[] x, double factor, double[] y)
        {
            for (var i = 0; i < x.Length; i++) x[i] -= factor * y[i];
        }
        for (var c = 0; c < Taps; c++)
        {
            for (var again = 0; again < 2; again++)
                for (var k = 0; k < c; k++)
                {
                    var part = Dot(basis[k], basis[c]);
                    triangle[k, c] += part;
                    Subtract(basis[c], part, basis[k]);
                }
            triangle[c, c] = Math.Sqrt(Dot(basis[c], basis[c]));
            for (var i = 0; i < basis[c].Length; i++) basis[c][i] /= triangle[c, c];
            right[c] = Dot(basis[c], rest);
            Subtract(rest, right[c], basis[c]);
        }
        var solution = new double[Taps];
        for (var c = Taps - 1; c >= 0; c--)
        {
            solution[c] = right[c];
            for (var k = c + 1; k < Taps; k++) solution[c] -= triangle[c, k] * solution[k];
            solution[c] /= triangle[c, c];
        }
        return solution;
    }
}
