namespace Hushtrial.Signals.Filters;

/// <summary>A symmetric low-pass before a rate is halved: value k of the half rate is its output for frame 2k, three frames late.</summary>
/// <remarks>
/// A band-pass 1/D(z) gives every second value of itself as D(−z)/D₂(z²): short and without a pass band, but with a skirt that folds to where the band's own
/// skirt has the same height. These two stand for the D(−z) of all bands at once; what differs from one band to the next is left to three coefficients
/// of the band's own (<see cref="LowRateFilter"/>). With q = sin² πf, f in cycles per frame, their gains are
/// (1 − q/0.98)³(1 − 0.2q²), in front of the common numerator, and (1 − q)⁴(1 + 0.943q + 0.8q²) behind it, where a tone near half the rate has
/// grown and has to be held down more. The numbers were searched: they leave least to the three coefficients.
/// </remarks>
internal sealed class HalvingFilter
{
    /// <summary>Frames that every value is late: those of the six zeros of D(−z).</summary>
    internal const int Delay = 3;

    private HalvingFilter(double[] weights) => Weights = weights;

    /// <summary>The first: it is followed by (1 − z⁻¹)³. Eleven taps.</summary>
    internal static HalvingFilter First { get; } = Of(first: true);

    /// <summary>All that follow. Thirteen taps.</summary>
    internal static HalvingFilter Later { get; } = Of(first: false);

    /// <summary>Weight of the frame in the middle, then of those at the distances 1, 2, 3 … on each side.</summary>
    internal double[] Weights { get; }

    /// <summary>Frames it reaches to each side of the middle.</summary>
    internal int Reach => Weights.Length - 1;

    /// <summary>Response at a frequency in cycles per frame before halving, delay and all.</summary>
    internal Phasor At(double frequency)
    {
        // cos 2x, cos 3x, … from the two before.
        var (step, before, cosine) = (2 * Math.Cos(2 * Math.PI * frequency), 1.0, Math.Cos(2 * Math.PI * frequency));
        var gain = Weights[0];
        for (var i = 1; i < Weights.Length; i++)
        {
            gain += 2 * Weights[i] * cosine;
            (before, cosine) = (cosine, (step * cosine) - before);
        }
        return Phasor.Of(-2 * Math.PI * frequency * Delay) * gain;
    }

    private static HalvingFilter Of(bool first)
    {
        // As polynomials in q; q itself has the weights ½ and −¼.
        var polynomial = first ? Product(Power(1 / 0.98, 3), [1, 0, -0.2]) : Product(Power(1, 4), [1, 0.943, 0.8]);
        var weights = new double[polynomial.Length];
        double[] power = [1];
        foreach (var factor in polynomial)
        {
            for (var i = 0; i < power.Length; i++) weights[i] += factor * power[i];
            var next = new double[power.Length + 1];
            for (var i = 0; i < next.Length; i++)
                next[i] = (0.5 * At(power, i)) - (0.25 * (At(power, i + 1) + At(power, Math.Abs(i - 1))));
            power = next;
        }
        return new(weights);
    }

    private static double At(double[] values, int i) => i < values.Length ? values[i] : 0;

    /// <summary>(1 − slope·q) to a power.</summary>
    private static double[] Power(double slope, int exponent)
    {
        double[] power = [1];
        for (var i = 0; i < exponent; i++) power = Product(power, [1, -slope]);
        return power;
    }

    private static double[] Product(double[] a, double[] b)
    {
        var product = new double[a.Length + b.Length - 1];
        for (var i = 0; i < a.Length; i++)
            for (var k = 0; k < b.Length; k++) product[i + k] += a[i] * b[k];
        return product;
    }
}
