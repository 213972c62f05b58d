using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Finding;

/// <summary>What is known of a condition's loss in the band groups: an expectation and how far the truth and one donning lie from it.</summary>
/// <remarks>Losses are kept as coefficients of an orthonormal cosine basis over the groups (overall, tilt, bend …), in which the scatter of
/// donnings and the ignorance of a device are near enough independent. Typical losses by kind of device: common practice, no source; they
/// only have to be right within some 6 dB, for the trial's own spans soon outweigh them.</remarks>
internal sealed class LossSignature
{
    private const double TailDegrees = 6;
    private static readonly int _n = BandGroups.Octaves.Count;
    private static readonly double[][] _basis = [.. Enumerable.Range(0, _n).Select(k => Enumerable.Range(0, _n)
        .Select(g => Math.Sqrt((k == 0 ? 1.0 : 2.0) / _n) * Math.Cos(Math.PI * k * (g + 0.5) / _n)).ToArray())];

    // Standard deviations of the coefficients, dB·√8: one donning about its condition's mean (1.5 dB overall, 1 dB of tilt and wander),
    // a condition about the typical loss of its kind (6 dB overall), and anything at all.
    private static readonly double[] _donning = [4.2, 2.6, 1.7, 1.3, 1.1, 1, 1, 1];
    private static readonly double[] _kind = [17, 12, 7, 5, 4, 3, 3, 3];
    private static readonly double[] _anything = [35, 22, 12, 8, 6, 5, 5, 5];
    private static readonly double[] _open = [4, 3, 2, 1.5, 1.2, 1, 1, 1];

    private readonly double[] _expected;
    private readonly double[] _ignorance;
    private readonly double[] _scatter;

    private LossSignature(double[] expected, double[] ignorance, double[] scatter) => (_expected, _ignorance, _scatter) = (expected, ignorance, scatter);

    /// <summary>The open ear: no loss.</summary>
    public static LossSignature Open { get; } = new(new double[_n], new double[_n], _open);

    /// <summary>Whatever it is: a cushion lifted, another state of the vehicle.</summary>
    public static LossSignature Anything { get; } = new(Coefficients([8, 9, 12, 15, 17, 18, 19, 19]), new double[_n], _anything);

    /// <summary>One more device, which the trial does not know: the crew's own headset.</summary>
    public static LossSignature Stranger { get; } = new(Coefficients([7, 11, 16, 23, 29, 32, 36, 35]), _kind, _donning);

    /// <summary>A condition of which only the kind of device is known.</summary>
    public static LossSignature Of(TrialDocument document, Condition condition)
    {
        var kind = document.Devices.First(d => d.Id == condition.Device).Kind;
        double[] typical = (kind, condition.Mode != "passive") switch
        {
            (DeviceKind.InCanal, _) => [18, 20, 22, 25, 28, 32, 36, 38],
            (DeviceKind.OnEar, false) => [2, 4, 8, 15, 22, 26, 30, 29],
            (DeviceKind.OnEar, true) => [14, 18, 20, 21, 23, 26, 30, 29],
            (DeviceKind.Helmet, false) => [3, 6, 12, 20, 28, 32, 35, 34],
            (_, true) => [17, 21, 23, 25, 26, 30, 34, 33],
            _ => [6, 10, 16, 24, 30, 33, 36, 35],
        };
        // Temples lift the cushion: low frequencies leak first (domain: 1 to 12 dB).
        if (condition.WornWith.Count > 0 && kind != DeviceKind.InCanal) typical = [.. typical.Select((t, g) => t - Math.Max(0, 4 - (0.7 * g)))];
        return new(Coefficients(typical), _kind, _donning);
    }

    /// <summary>Coefficients of losses by group, dB.</summary>
    public static double[] Coefficients(IReadOnlyList<double> losses) => [.. _basis.Select(b => b.Zip(losses, (x, y) => x * y).Sum())];

    /// <summary>The expected losses by group, dB.</summary>
    public double[] Losses() => [.. Enumerable.Range(0, _n).Select(g => Enumerable.Range(0, _n).Sum(k => _basis[k][g] * _expected[k]))];

    /// <summary>What is known after spans of this condition were seen.</summary>
    /// <param name="sums">Sums of their coefficients, each span weighed by the probability that it was one.</param>
    /// <param name="total">Sum of these probabilities.</param>
    public LossSignature After(double[] sums, double total)
    {
        var (expected, ignorance) = ((double[])_expected.Clone(), (double[])_ignorance.Clone());
        if (total <= 1e-9) return this;
        for (var k = 0; k < _n; k++)
        {
            if (_ignorance[k] <= 0) continue;
            var (prior, data) = (1 / (_ignorance[k] * _ignorance[k]), 1 / (_scatter[k] * _scatter[k]));
            var precision = prior + (total * data);
            expected[k] = ((prior * _expected[k]) + (data * sums[k])) / precision;
            ignorance[k] = Math.Sqrt(1 / precision);
        }
        return new(expected, ignorance, _scatter);
    }

    /// <summary>Logarithm of the density of a span's coefficients, with the tails of Student's t for 6 degrees of freedom.</summary>
    public double LogDensity(double[] x)
    {
        var (squares, scale) = (0.0, 0.0);
        for (var k = 0; k < _n; k++)
        {
            var variance = (_scatter[k] * _scatter[k]) + (_ignorance[k] * _ignorance[k]);
            squares += (x[k] - _expected[k]) * (x[k] - _expected[k]) / variance;
            scale += 0.5 * Math.Log(variance);
        }
        return -scale - (0.5 * (TailDegrees + _n) * Math.Log(1 + (squares / TailDegrees)));
    }
}
