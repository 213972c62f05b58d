namespace Hushtrial.Trials.Effects;

/// <summary>The prior of the donning scatter from one's own earlier trials instead of the thin published evidence.</summary>
public static class EmpiricalPrior
{
    /// <summary>Fewer earlier trials say less than the published evidence does.</summary>
    public const int FewestTrials = 20;

    // Posterior means are drawn towards the prior they were made with, so their spread understates that of the truth.
    private const double SmallestLogSd = 0.3;

    /// <summary>Settings with a lognormal prior fitted to the posterior means of the donning scatter of earlier trials.</summary>
    /// <param name="settings">The settings to start from.</param>
    /// <param name="earlierScatters">Posterior mean of the donning scatter of every earlier trial, dB, for an over-ear device; above 0.</param>
    /// <returns>The new settings, or null when there are fewer than <see cref="FewestTrials"/>.</returns>
    /// <exception cref="ArgumentOutOfRangeException">A scatter is not a finite number above 0.</exception>
    public static EstimatorSettings? From(EstimatorSettings settings, IReadOnlyList<double> earlierScatters)
    {
        foreach (var scatter in earlierScatters)
            if (scatter is not (> 0 and < double.PositiveInfinity)) throw new ArgumentOutOfRangeException(nameof(earlierScatters), scatter, "A donning scatter is a finite number above 0 dB.");
        if (earlierScatters.Count < FewestTrials) return null;
        var logs = earlierScatters.Select(s => Math.Log(s)).ToArray();
        var mean = logs.Average();
        var sd = Math.Sqrt(logs.Sum(l => (l - mean) * (l - mean)) / (logs.Length - 1));
        return settings with { DonningScatterMedian = Math.Exp(mean), DonningScatterLogSd = Math.Max(sd, SmallestLogSd) };
    }
}
