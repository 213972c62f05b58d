using Hushtrial.Quantities;
using Hushtrial.Signals.Filters;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>The levels by the plainest means: one sample after the other, transposed direct form II, no chunks, no vectors.</summary>
/// <remarks>It shares the filters' coefficients with the engine and nothing else; the filters themselves are tested against the standards
/// and against an independent design.</remarks>
internal sealed class ScalarTwin
{
    private readonly List<Cascade> _bands = [];

    internal ScalarTwin(SampleSource samples, int channel, long first, long frames, bool withBands)
    {
        var rate = samples.SampleRate;
        var f = WeightingFilters.At(rate);
        var c = new Cascade(1, [1, -2, 1], f.CLow.Feedback1, f.CLow.Feedback2)
            .Then(f.CHighNumerator, f.CHighFeedback1, f.CHighFeedback2);
        var a = new Cascade(f.AGain, [1, -2, 1], f.ALow.Feedback1, f.ALow.Feedback2);
        var z = new Cascade(f.ZGain, [1, -2, 1], f.ZLow.Feedback1, f.ZLow.Feedback2);
        foreach (var band in withBands ? Band.ThirdOctaves.Concat(Band.Octaves) : [])
        {
            if (BandFilter.Find(band, rate) is not { } filter) continue;
            var cascade = new Cascade(filter.Gain);
            for (var i = 0; i < 3; i++) cascade.Then(filter.Numerator is null ? [1, 0, -1] : [1, -1], filter.Feedback1[i], filter.Feedback2[i]);
            if (filter.Numerator is { } fitted) cascade.Then(fitted, 0, 0);
            cascade.Band = band;
            _bands.Add(cascade);
        }

        var from = Math.Max(0, first - (long)Math.Ceiling(8.0 * rate));
        var block = new double[4096];
        double[] decay = [Math.Exp(-1 / (0.125 * rate)), Math.Exp(-1.0 / rate)];
        var weighted = new double[3, 2];
        for (var start = from; start < first + frames; start += block.Length)
        {
            var part = block.AsSpan(0, (int)Math.Min(block.Length, first + frames - start));
            samples.Read(channel, start, part);
            for (var n = 0; n < part.Length; n++)
            {
                var counts = start + n >= first;
                var vc = c.Next(part[n]);
                ReadOnlySpan<double> values = [a.Next(vc), vc, z.Next(part[n])];
                for (var w = 0; w < 3; w++)
                {
                    var square = values[w] * values[w];
                    for (var t = 0; t < 2; t++)
                    {
                        weighted[w, t] = (decay[t] * weighted[w, t]) + ((1 - decay[t]) * square);
                        if (counts) Max[(2 * w) + t] = Math.Max(Max[(2 * w) + t], weighted[w, t]);
                    }
                    if (counts) MeanSquare[w] += square / frames;
                }
                if (counts)
                {
                    PeakC = Math.Max(PeakC, Math.Abs(vc));
                    Fast.Add(weighted[0, 0]);
                    Slow.Add(weighted[0, 1]);
                }
                foreach (var band in _bands)
                {
                    var y = band.Next(part[n]);
                    if (counts) band.Sum += y * y / frames;
                }
            }
        }
    }

    internal double[] MeanSquare { get; } = new double[3];

    internal double[] Max { get; } = new double[6];

    internal double PeakC { get; }

    /// <summary>AF after every sample.</summary>
    internal List<double> Fast { get; } = [];

    /// <summary>AS after every sample.</summary>
    internal List<double> Slow { get; } = [];

    internal IReadOnlyDictionary<Band, double> Bands => _bands.ToDictionary(b => b.Band, b => b.Sum);

    /// <summary>Sections in transposed direct form II.</summary>
    private sealed class Cascade(double gain)
    {
        private readonly List<(double[] B, double F1, double F2, double[] S)> _sections = [];

        internal Cascade(double gain, double[] numerator, double feedback1, double feedback2) : this(gain) => Then(numerator, feedback1, feedback2);

        internal Band Band { get; set; }

        internal double Sum { get; set; }

        internal Cascade Then(double[] numerator, double feedback1, double feedback2)
        {
            _sections.Add(([.. numerator, .. new double[4 - numerator.Length]], feedback1, feedback2, new double[3]));
            return this;
        }

        internal double Next(double x)
        {
            foreach (var (b, f1, f2, s) in _sections)
            {
                var y = (b[0] * x) + s[0];
                s[0] = (b[1] * x) + (f1 * y) + s[1];
                s[1] = (b[2] * x) + (f2 * y) + s[2];
                s[2] = b[3] * x;
                x = y;
            }
            return x * gain;
        }
    }
}
