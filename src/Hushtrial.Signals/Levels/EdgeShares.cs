namespace Hushtrial.Signals.Levels;

/// <summary>How much of the values of a reduced rate around an edge belongs to the time before it.</summary>
/// <remarks>
/// The squares of a band's output are so smooth that every n-th of them, times n, adds up to the same as all of them, but for what is cut off at
/// the two ends. There, eight values are shared out so that the sum over the frames before the edge, the frame on the edge by its overlap, comes out
/// exact for every polynomial up to the seventh degree (the sums of powers by the formula of Euler and Maclaurin).
/// </remarks>
internal sealed class EdgeShares
{
    /// <summary>Values shared out.</summary>
    internal const int Count = 8;

    /// <summary>Of these, values before the one at or before the edge.</summary>
    internal const int Before = 3;

    private readonly int _factor;
    private readonly Dictionary<int, double[]> _known = [];

    /// <param name="factor">Frames per value: value k stands for the frame k times the factor.</param>
    internal EdgeShares(int factor) => _factor = factor;

    /// <summary>The shares at an edge.</summary>
    /// <param name="milliframes">Place of the edge in thousandths of a frame; frame n lasts from n to n + 1.</param>
    /// <returns>The first of the eight values, and the share of each that lies before the edge; values before the first belong there whole.</returns>
    internal (long First, double[] Shares) At(long milliframes)
    {
        // The middle of frame n lies at n + ½: value k at milliframe (k·factor + ½)·1000.
        var value = Math.DivRem(milliframes - 500, 1000L * _factor, out var beyond);
        if (beyond < 0) (value, beyond) = (value - 1, beyond + (1000L * _factor));
        if (!_known.TryGetValue((int)beyond, out var shares)) _known[(int)beyond] = shares = Solve((int)beyond);
        return (value - Before, shares);
    }

    private double[] Solve(int beyond)
    {
        var h = 1.0 / _factor;
        var inFrame = (beyond + 500) % 1000 / 1000.0;
        var edge = ((beyond / 1000.0) - inFrame) * h;
        var matrix = new double[Count, Count + 1];
        for (var power = 0; power < Count; power++)
        {
            for (var j = 0; j < Count; j++) matrix[power, j] = Math.Pow(j - Before, power);
            matrix[power, Count] = SumOfPowers(edge, h, power) + (inFrame * h * Math.Pow(edge + (h / 2), power)) - SumOfPowers(-Before - 0.5, 1, power);
        }
        for (var c = 0; c < Count; c++)
        {
            var pivot = c;
            for (var r = c + 1; r < Count; r++)
                if (Math.Abs(matrix[r, c]) > Math.Abs(matrix[pivot, c])) pivot = r;
            for (var k = 0; k <= Count; k++) (matrix[c, k], matrix[pivot, k]) = (matrix[pivot, k], matrix[c, k]);
            for (var r = 0; r < Count; r++)
            {
                if (r == c) continue;
                var factor = matrix[r, c] / matrix[c, c];
                for (var k = c; k <= Count; k++) matrix[r, k] -= factor * matrix[c, k];
            }
        }
        var shares = new double[Count];
        for (var j = 0; j < Count; j++) shares[j] = matrix[j, Count] / matrix[j, j];
        return shares;
    }

    /// <summary>Step times the sum of x^power at midpoints one step apart, up to an edge, but for a constant.</summary>
    private static double SumOfPowers(double edge, double step, int power)
    {
        double Derivative(int order)
        {
            var factor = 1.0;
            for (var i = 0; i < order; i++) factor *= power - i;
            return factor == 0 ? 0 : factor * Math.Pow(edge, power - order);
        }
        return (Math.Pow(edge, power + 1) / (power + 1)) - (Math.Pow(step, 2) / 24 * Derivative(1)) + (7 * Math.Pow(step, 4) / 5760 * Derivative(3))
            - (31 * Math.Pow(step, 6) / 967_680 * Derivative(5)) + (127 * Math.Pow(step, 8) / 154_828_800 * Derivative(7));
    }
}
