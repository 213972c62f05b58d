using System.Numerics;
using Hushtrial.Quantities;
using Hushtrial.Signals.Filters;
using Hushtrial.Signals.Levels;

namespace Hushtrial.Signals.Rendering;

/// <summary>Finds the curve whose filter changes the band levels of one loop by stated gains.</summary>
/// <remarks>
/// A curve through the midbands alone misses: within a band a tone or a slope of the spectrum decides where its energy lies, and the skirts of a band filter see its neighbours.
/// So the points are corrected by what the filtered spectrum of this loop, seen through the band filters of the analysis, still misses. A correction is at most 6 dB:
/// gains that no smooth curve has are not forced.
/// </remarks>
public sealed class BandGainFit
{
    private const int Rounds = 20;
    private const double MostCorrection = 6;

    /// <summary>Below this the sound is faded out: nothing is heard there, and it would cost the room that the rest needs. Common practice, no source.</summary>
    private const double LowCutHertz = 16;

    private readonly int _rate;
    private readonly List<(double Hertz, double Power)> _spectrum = [];

    /// <summary>Looks at a loop.</summary>
    /// <param name="loop">One turn, full scale = ±1.</param>
    /// <param name="sampleRate">Hz.</param>
    public BandGainFit(IReadOnlyList<double> loop, int sampleRate)
    {
        ArgumentNullException.ThrowIfNull(loop);
        _rate = sampleRate;
        var points = (int)BitOperations.RoundUpToPowerOf2((uint)loop.Count);
        var (real, imaginary) = (new double[points], new double[points]);
        for (var i = 0; i < loop.Count; i++) real[i] = loop[i] * (0.5 - (0.5 * Math.Cos(2 * Math.PI * i / loop.Count)));
        new Fourier(points).Transform(real, imaginary);
        // Lines of 1/96 octave, or as fine as the loop has them: the gain hardly changes within one.
        var ratio = Math.Pow(2, 1 / 96.0);
        for (var k = 1; k <= points / 2;)
        {
            var end = Math.Max(k + 1, (int)(k * ratio));
            var power = 0.0;
            for (var j = k; j < end && j <= points / 2; j++) power += (real[j] * real[j]) + (imaginary[j] * imaginary[j]);
            _spectrum.Add(((k + end - 1) / 2.0 * _rate / points, power));
            k = end;
        }
    }

    /// <summary>The gain of every rendering below what is heard, dB: 24 dB per octave below 16 Hz.</summary>
    public static double LowCut(double hertz) => hertz >= LowCutHertz ? 0 : hertz > 0 ? 80 * Math.Log10(hertz / LowCutHertz) : double.NegativeInfinity;

    /// <summary>A filter that changes the band levels of the loop by these gains.</summary>
    /// <param name="gains">Gain by band, dB; at least one band that can be measured at the rate. Between and beyond them the curve goes on smoothly.</param>
    /// <exception cref="ArgumentException">No band can be measured at this rate.</exception>
    public LinearPhaseFilter Filter(IReadOnlyDictionary<Band, double> gains)
    {
        var curve = Curve(gains);
        return LinearPhaseFilter.Design(f => curve.At(f) + LowCut(f), _rate, LinearPhaseFilter.UsualTaps(_rate));
    }

    /// <summary>The filter that only leaves out what is below hearing.</summary>
    public LinearPhaseFilter Open() => LinearPhaseFilter.Design(LowCut, _rate, LinearPhaseFilter.UsualTaps(_rate));

    private GainCurve Curve(IReadOnlyDictionary<Band, double> gains)
    {
        ArgumentNullException.ThrowIfNull(gains);
        var bands = gains.Keys.Where(b => BandFilter.Find(b, _rate) is not null).Order().ToList();
        if (bands.Count == 0) throw new ArgumentException($"No band can be measured at {_rate} Hz.", nameof(gains));
        var weights = bands.ConvertAll(b => BandFilter.Find(b, _rate)! is var filter ? _spectrum.ConvertAll(s => s.Power * Square(filter.Response(s.Hertz).Magnitude)) : []);
        var before = weights.ConvertAll(w => w.Sum());
        var wanted = bands.ConvertAll(b => gains[b]);
        var points = wanted.ToArray();
        GainCurve Through() => new([.. bands.Select((b, i) => (b.ExactMidband.Hertz, points[i]))]);
        for (var round = 0; round < Rounds; round++)
        {
            var curve = Through();
            var factors = _spectrum.ConvertAll(s => Math.Pow(10, curve.At(s.Hertz) / 10));
            for (var i = 0; i < points.Length; i++)
            {
                if (!(before[i] > 0)) continue;
                var after = 0.0;
                for (var j = 0; j < factors.Count; j++) after += weights[i][j] * factors[j];
                points[i] = Math.Clamp(points[i] + (0.7 * (wanted[i] - (10 * Math.Log10(after / before[i])))), wanted[i] - MostCorrection, wanted[i] + MostCorrection);
            }
        }
        return Through();
    }

    private static double Square(double x) => x * x;
}
