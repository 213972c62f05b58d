using System.Numerics;

namespace Hushtrial.Signals.Filters;

/// <summary>Fits a digital filter to a wanted power response and factors it into a stable, minimum-phase filter.</summary>
/// <remarks>A power response |H|² of a digital filter is a ratio of polynomials in u = 1 − cos ω. The ratio is found by linear least
/// squares on the relative error, repeated with the last denominator as weight (Sanathanan and Koerner 1963, doi 10.1109/TAC.1963.1105517),
/// and each polynomial is factored by its roots: u = 1 − (z + 1/z)/2, of each pair z and 1/z the one inside the unit circle.</remarks>
internal static class RationalFit
{
    private const int Rounds = 30;

    /// <summary>Coefficients of numerator and denominator in rising powers of z⁻¹; the denominator begins with 1, the gain is that of the fit.</summary>
    /// <param name="u">1 − cos ω at the frequencies of the fit.</param>
    /// <param name="power">Wanted |H|² at each.</param>
    /// <param name="weight">Weight of the relative error at each.</param>
    /// <param name="zeros">Order of the numerator.</param>
    /// <param name="poles">Order of the denominator.</param>
    /// <returns>The filter, or null when the fitted power is not positive at every frequency: no filter has it.</returns>
    internal static (double[] Numerator, double[] Denominator)? Fit(
        ReadOnlySpan<double> u, ReadOnlySpan<double> power, ReadOnlySpan<double> weight, int zeros, int poles)
    {
        var unknowns = zeros + 1 + poles;
        var solution = new double[unknowns];
        // Without poles nothing of the weight changes from round to round.
        for (var round = 0; round < (poles == 0 ? 1 : Rounds); round++)
        {
            var normal = new double[unknowns, unknowns + 1];
            var row = new double[unknowns];
            for (var i = 0; i < u.Length; i++)
            {
                var (denominator, factor) = (1.0, 1.0);
                for (var k = 1; k <= poles; k++) denominator += solution[zeros + k] * (factor *= u[i]);
                var w = weight[i] / (power[i] * denominator);
                factor = w;
                for (var k = 0; k <= zeros; k++, factor *= u[i]) row[k] = factor;
                factor = -w * power[i];
                for (var k = 1; k <= poles; k++) row[zeros + k] = factor *= u[i];
                for (var r = 0; r < unknowns; r++)
                {
                    for (var c = 0; c < unknowns; c++) normal[r, c] += row[r] * row[c];
                    normal[r, unknowns] += row[r] * w * power[i];
                }
            }
            Solve(normal, solution);
        }
        double[] above = solution[..(zeros + 1)];
        double[] below = [1, .. solution[(zeros + 1)..]];
        return Factor(above, keepGain: true) is { } up && Factor(below, keepGain: false) is { } down ? (up, down) : null;
    }

    private static double[]? Factor(double[] power, bool keepGain)
    {
        Complex[] product = [Complex.One];
        foreach (var root in Roots(power))
        {
            if (Math.Abs(root.Imaginary) < 1e-12 && root.Real is >= -1e-12 and <= 2 + 1e-12)
                return null;
            var c = 1 - root;
            var z = c + Complex.Sqrt((c * c) - 1);
            if (z.Magnitude > 1) z = 1 / z;
            var next = new Complex[product.Length + 1];
            for (var i = 0; i < product.Length; i++)
            {
                next[i] += product[i];
                next[i + 1] -= product[i] * z;
            }
            product = next;
        }
        var (real, sum) = (new double[product.Length], 0.0);
        for (var i = 0; i < real.Length; i++) sum += real[i] = product[i].Real;
        // At ω = 0, u = 0: the power is the constant term, the filter's gain the sum of its coefficients.
        var gain = keepGain ? Math.Sqrt(power[0]) / sum : 1;
        for (var i = 0; i < real.Length; i++) real[i] *= gain;
        return real;
    }

    /// <summary>All roots by the simultaneous iteration of Weierstrass (Durand and Kerner).</summary>
    private static Complex[] Roots(double[] rising)
    {
        var degree = rising.Length - 1;
        if (degree == 0) return [];
        var roots = new Complex[degree];
        var radius = 1.0;
        for (var i = 0; i < degree; i++) radius = Math.Max(radius, 1 + Math.Abs(rising[i] / rising[degree]));
        for (var i = 0; i < degree; i++) roots[i] = Complex.FromPolarCoordinates(Math.Min(radius, 3), 0.4 + (2 * Math.PI * i / degree));
        for (var round = 0; round < 500; round++)
        {
            var largest = 0.0;
            for (var i = 0; i < degree; i++)
            {
                var value = Complex.Zero;
                for (var k = degree; k >= 0; k--) value = (value * roots[i]) + (rising[k] / rising[degree]);
                for (var j = 0; j < degree; j++)
                    if (j != i) value /= roots[i] - roots[j];
                roots[i] -= value;
                largest = Math.Max(largest, value.Magnitude / (1 + roots[i].Magnitude));
            }
            if (largest < 1e-15) break;
        }
        return roots;
    }

    private static void Solve(double[,] system, double[] solution)
    {
        var n = solution.Length;
        for (var column = 0; column < n; column++)
        {
            var pivot = column;
            for (var r = column + 1; r < n; r++)
                if (Math.Abs(system[r, column]) > Math.Abs(system[pivot, column])) pivot = r;
            for (var c = 0; c <= n; c++) (system[column, c], system[pivot, c]) = (system[pivot, c], system[column, c]);
            for (var r = column + 1; r < n; r++)
            {
                var factor = system[r, column] / system[column, column];
                for (var c = column; c <= n; c++) system[r, c] -= factor * system[column, c];
            }
        }
        for (var r = n - 1; r >= 0; r--)
        {
            var sum = system[r, n];
            for (var c = r + 1; c < n; c++) sum -= system[r, c] * solution[c];
            solution[r] = sum / system[r, r];
        }
    }
}
