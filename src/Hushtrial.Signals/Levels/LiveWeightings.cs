using Hushtrial.Quantities;
using Hushtrial.Signals.Filters;

namespace Hushtrial.Signals.Levels;

/// <summary>A, C and Z with F and S for samples that arrive one after the other.</summary>
internal sealed class LiveWeightings
{
    private readonly WeightingFilters _filters;
    private readonly double _fastDecay;
    private readonly double _slowDecay;
    private readonly double[] _s = new double[9];

    internal LiveWeightings(FilterSet set) => (_filters, _fastDecay, _slowDecay) = (set.Weightings, set.FastDecay, set.SlowDecay);

    /// <summary>Energies of the frames of the last call: A, C, Z.</summary>
    internal double[] Energies { get; } = new double[3];

    /// <summary>AF, AS, CF, CS, ZF, ZS after the last frame.</summary>
    internal double[] Weighted { get; } = new double[6];

    /// <summary>The largest of each since they were last set to 0.</summary>
    internal double[] Largest { get; } = new double[6];

    /// <summary>Largest magnitude of C since it was last set to 0.</summary>
    internal double PeakC { get; set; }

    internal static int Place(FrequencyWeighting weighting, TimeWeighting time) => (2 * (int)weighting) + (int)time;

    internal void Run(ReadOnlySpan<double> frames)
    {
        var (f, s, y, m) = (_filters, _s, Weighted, Largest);
        var h = f.CHighNumerator;
        double gainA = f.AGain * f.AGain, gainZ = f.ZGain * f.ZGain, sumA = 0, sumC = 0, sumZ = 0;
        double riseF = 1 - _fastDecay, riseS = 1 - _slowDecay;
        foreach (var x in frames)
        {
            var w = x + (f.CLow.Feedback1 * s[0]) + (f.CLow.Feedback2 * s[1]);
            var low = w - (2 * s[0]) + s[1];
            (s[1], s[0]) = (s[0], w);
            w = low + (f.CHighFeedback1 * s[2]) + (f.CHighFeedback2 * s[3]);
            var c = (h[0] * w) + (h[1] * s[2]) + (h[2] * s[3]) + (h[3] * s[4]);
            (s[4], s[3], s[2]) = (s[3], s[2], w);
            w = c + (f.ALow.Feedback1 * s[5]) + (f.ALow.Feedback2 * s[6]);
            var a = w - (2 * s[5]) + s[6];
            (s[6], s[5]) = (s[5], w);
            w = x + (f.ZLow.Feedback1 * s[7]) + (f.ZLow.Feedback2 * s[8]);
            var z = w - (2 * s[7]) + s[8];
            (s[8], s[7]) = (s[7], w);

            (a, z) = (a * a * gainA, z * z * gainZ);
            PeakC = Math.Max(PeakC, Math.Abs(c));
            c *= c;
            (sumA, sumC, sumZ) = (sumA + a, sumC + c, sumZ + z);
            y[0] += riseF * (a - y[0]);
            y[1] += riseS * (a - y[1]);
            y[2] += riseF * (c - y[2]);
            y[3] += riseS * (c - y[3]);
            y[4] += riseF * (z - y[4]);
            y[5] += riseS * (z - y[5]);
            for (var i = 0; i < 6; i++) m[i] = Math.Max(m[i], y[i]);
        }
        (Energies[0], Energies[1], Energies[2]) = (sumA, sumC, sumZ);
        // Recursions that ring out in digital silence stop before subnormal numbers slow them down.
        foreach (ref var state in s.AsSpan())
            if (Math.Abs(state) < Stillness.Below) state = 0;
        foreach (ref var level in y.AsSpan())
            if (level < Stillness.Below) level = 0;
    }
}
