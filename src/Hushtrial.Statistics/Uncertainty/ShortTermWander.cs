namespace Hushtrial.Statistics.Uncertainty;

/// <summary>How a quantity wanders inside readings: a correlated process (Ornstein–Uhlenbeck) and an uncorrelated part, estimated from short-term values.</summary>
/// <param name="Sd">Standard deviation of the correlated part.</param>
/// <param name="CorrelationSeconds">Its correlation time, s.</param>
/// <param name="WhiteSd">Standard deviation of the uncorrelated part of one short-term value.</param>
/// <param name="BinSeconds">Length of a short-term value, s.</param>
/// <remarks>Own method: the pooled autocovariance of the values about their reading's mean is fitted by its expectation, which accounts for the
/// mean that was removed. The naive s/√n is too small by a factor of 2.5 to 8 in variance where the correlation time is 2 s.</remarks>
public sealed record ShortTermWander(double Sd, double CorrelationSeconds, double WhiteSd, double BinSeconds)
{
    private const int FewestBins = 8;
    private const double ShareOfLags = 0.6;
    private static readonly double[] _grid = [.. Enumerable.Range(0, 25).Select(i => 0.2 * Math.Pow(100, i / 24.0))];

    /// <summary>Estimates the wander from several readings.</summary>
    /// <param name="readings">Short-term values of each reading, in order of time; readings with fewer than 8 are left out.</param>
    /// <param name="binSeconds">Length of a short-term value, s.</param>
    /// <returns>Null when no reading is long enough or nothing varies.</returns>
    public static ShortTermWander? Estimate(IReadOnlyList<IReadOnlyList<double>> readings, double binSeconds)
    {
        var used = readings.Where(r => r.Count >= FewestBins).ToList();
        if (used.Count == 0) return null;
        var lags = 1 + (int)(ShareOfLags * used.Min(r => r.Count));
        var moments = new double[lags];
        foreach (var reading in used)
        {
            var mean = reading.Average();
            for (var k = 0; k < lags; k++)
                for (var i = 0; i + k < reading.Count; i++) moments[k] += (reading[i] - mean) * (reading[i + k] - mean) / reading.Count;
        }
        if (!(moments[0] > 0)) return null;
        var byLength = used.GroupBy(r => r.Count).Select(g => (Bins: g.Key, Readings: g.Count())).ToList();
        var white = Expected(byLength, lags, k => k == 0 ? 1 : 0);
        var best = (Misfit: double.PositiveInfinity, Tau: 0.0, Process: 0.0, White: 0.0);
        foreach (var tau in _grid)
        {
            var process = Expected(byLength, lags, k => Covariance(tau, binSeconds, k));
            var (p, w, misfit) = Fit(moments, process, white);
            if (misfit < best.Misfit) best = (misfit, tau, p, w);
        }
        return new(Math.Sqrt(best.Process), best.Tau, Math.Sqrt(best.White), binSeconds);
    }

    /// <summary>Standard deviation of the mean over a reading, about what an endless reading would give.</summary>
    /// <param name="seconds">Length of the reading, s.</param>
    public double SdOfMean(double seconds) =>
        Math.Sqrt((Sd * Sd * Averaged(CorrelationSeconds, seconds)) + (WhiteSd * WhiteSd * BinSeconds / seconds));

    // Variance of the mean over a time of a process of unit variance.
    private static double Averaged(double tau, double seconds) => 2 * tau / seconds * (1 - (tau / seconds * (1 - Math.Exp(-seconds / tau))));

    // Covariance of two bin means of a process of unit variance, some bins apart.
    private static double Covariance(double tau, double bin, int apart) => apart == 0 ? Averaged(tau, bin)
        : Math.Pow(tau / bin * (1 - Math.Exp(-bin / tau)), 2) * Math.Exp(-(apart - 1) * bin / tau);

    /// <summary>Expectation of the pooled moments, (1/n) trace_k(M S M) summed over readings, with M = I − 11′/n.</summary>
    private static double[] Expected(List<(int Bins, int Readings)> byLength, int lags, Func<int, double> covariance)
    {
        var expected = new double[lags];
        foreach (var (n, readings) in byLength)
        {
            var s = Enumerable.Range(0, n).Select(covariance).ToArray();
            var row = new double[n];
            for (var i = 0; i < n; i++)
                for (var j = 0; j < n; j++) row[i] += s[Math.Abs(i - j)] / n;
            var all = row.Average();
            for (var k = 0; k < lags; k++)
                for (var i = 0; i + k < n; i++) expected[k] += readings * (s[k] - row[i] - row[i + k] + all) / n;
        }
        return expected;
    }

    /// <summary>Two variances, not negative, by least squares with weights 1/√(1 + lag).</summary>
    private static (double Process, double White, double Misfit) Fit(double[] moments, double[] process, double[] white)
    {
        double pp = 0, pw = 0, ww = 0, mp = 0, mw = 0;
        for (var k = 0; k < moments.Length; k++)
        {
            var weight = 1.0 / (1 + k);
            pp += weight * process[k] * process[k];
            pw += weight * process[k] * white[k];
            ww += weight * white[k] * white[k];
            mp += weight * moments[k] * process[k];
            mw += weight * moments[k] * white[k];
        }
        var determinant = (pp * ww) - (pw * pw);
        var candidates = new List<(double P, double W)> { (Math.Max(0, mp / pp), 0), (0, Math.Max(0, mw / ww)) };
        if (determinant > 1e-12 * pp * ww)
        {
            var (p, w) = (((mp * ww) - (mw * pw)) / determinant, ((mw * pp) - (mp * pw)) / determinant);
            if (p >= 0 && w >= 0) candidates.Add((p, w));
        }
        return candidates.Select(c => (c.P, c.W, Misfit: moments.Select((m, k) => Math.Pow(m - (c.P * process[k]) - (c.W * white[k]), 2) / (1 + k)).Sum())).MinBy(c => c.Misfit);
    }
}
