namespace Hushtrial.Statistics.Segmentation;

/// <summary>Where the mean of a series, or of several side by side, changes: the segmentation of least penalised squares, found exactly.</summary>
/// <remarks>Minimises Σ over segments of (weighted squared deviations from the segment's means) + penalty · (changes). The search is the
/// optimal partitioning of Jackson et al., IEEE Signal Processing Letters 12 (2005) 105, with the pruning of Killick, Fearnhead and Eckley,
/// Journal of the American Statistical Association 107 (2012) 1590: a start that cannot win now, penalty included, can never win later. The
/// result is the exact minimum, not an approximation; the time grows with the number of values as long as changes keep coming.</remarks>
public static class MeanShifts
{
    /// <summary>Finds the changes.</summary>
    /// <param name="series">One or several series of the same length n, finite values.</param>
    /// <param name="weights">Weight of each series' squared deviations, positive: one over its variance.</param>
    /// <param name="penalty">Cost of one more change, above 0, in the weighted squares.</param>
    /// <param name="shortest">Fewest values in a segment, from 1.</param>
    /// <returns>The first index of every segment but the first, rising; empty when nothing changes or n is below 2·<paramref name="shortest"/>.</returns>
    /// <exception cref="ArgumentException">No series, unequal lengths, or weights that do not belong to them.</exception>
    /// <exception cref="ArgumentOutOfRangeException">The penalty or the shortest segment is out of range.</exception>
    public static IReadOnlyList<int> Find(IReadOnlyList<double[]> series, IReadOnlyList<double> weights, double penalty, int shortest = 1)
    {
        Check(series, weights, penalty, shortest);
        var n = series[0].Length;
        if (n < 2 * shortest) return [];
        var sums = new RunningSums(series, weights);
        var best = new double[n + 1];
        var from = new int[n + 1];
        best[0] = -penalty;
        for (var t = 1; t < shortest; t++) best[t] = double.PositiveInfinity;
        var starts = new List<(int Start, int Until)> { (0, int.MaxValue) };
        var costs = new List<double>();
        for (var t = shortest; t <= n; t++)
        {
            if (t - shortest >= shortest) starts.Add((t - shortest, int.MaxValue));
            starts.RemoveAll(s => s.Until <= t);
            costs.Clear();
            var (least, at) = (double.PositiveInfinity, 0);
            foreach (var (s, _) in starts)
            {
                var cost = best[s] + sums.Cost(s, t);
                costs.Add(cost);
                if (cost < least) (least, at) = (cost, s);
            }
            best[t] = least + penalty;
            from[t] = at;
            // What costs more now than a change at t loses to that change for every end which leaves it the shortest segment.
            for (var i = 0; i < starts.Count; i++)
                if (costs[i] > best[t] && starts[i].Until == int.MaxValue) starts[i] = (starts[i].Start, t + shortest);
        }
        var changes = new List<int>();
        for (var t = from[n]; t > 0; t = from[t]) changes.Add(t);
        changes.Reverse();
        return changes;
    }

    /// <summary>Weighted squared deviations of one stretch from its own means: the cost of a segment.</summary>
    /// <param name="series">The series.</param>
    /// <param name="weights">Their weights.</param>
    /// <param name="first">First index.</param>
    /// <param name="end">Index behind the last.</param>
    public static double SquaresWithin(IReadOnlyList<double[]> series, IReadOnlyList<double> weights, int first, int end) => new RunningSums(series, weights).Cost(first, end);

    private static void Check(IReadOnlyList<double[]> series, IReadOnlyList<double> weights, double penalty, int shortest)
    {
        if (series.Count == 0) throw new ArgumentException("At least one series is needed.", nameof(series));
        if (series.Any(s => s.Length != series[0].Length)) throw new ArgumentException("All series need the same length.", nameof(series));
        if (weights.Count != series.Count || weights.Any(w => !(w > 0 && double.IsFinite(w)))) throw new ArgumentException("Every series needs one positive weight.", nameof(weights));
        if (!(penalty > 0 && double.IsFinite(penalty))) throw new ArgumentOutOfRangeException(nameof(penalty), penalty, "A penalty is above 0.");
        ArgumentOutOfRangeException.ThrowIfLessThan(shortest, 1);
    }

    // Sums of the values less the series' mean (so that squares keep their digits), index by series and time in one array.
    private sealed class RunningSums
    {
        private readonly int _count;
        private readonly double[] _values;
        private readonly double[] _squares;

        public RunningSums(IReadOnlyList<double[]> series, IReadOnlyList<double> weights)
        {
            _count = series.Count;
            var n = series[0].Length;
            _values = new double[(n + 1) * _count];
            _squares = new double[n + 1];
            for (var g = 0; g < _count; g++)
            {
                var mean = n > 0 ? series[g].Average() : 0;
                var root = Math.Sqrt(weights[g]);
                for (var t = 0; t < n; t++)
                {
                    var x = root * (series[g][t] - mean);
                    if (!double.IsFinite(x)) throw new ArgumentException($"Series {g} holds {series[g][t]} at {t}.", nameof(series));
                    _values[((t + 1) * _count) + g] = _values[(t * _count) + g] + x;
                    _squares[t + 1] += x * x;
                }
            }
            for (var t = 0; t < n; t++) _squares[t + 1] += _squares[t];
        }

        public double Cost(int first, int end)
        {
            var length = end - first;
            if (length == 0) return 0;
            var a = _values.AsSpan(first * _count, _count);
            var b = _values.AsSpan(end * _count, _count);
            var means = 0.0;
            for (var g = 0; g < a.Length; g++) { var sum = b[g] - a[g]; means += sum * sum; }
            return Math.Max(0, _squares[end] - _squares[first] - (means / length));
        }
    }
}
