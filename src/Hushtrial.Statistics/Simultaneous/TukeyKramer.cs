using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Statistics.Simultaneous;

/// <summary>All pairs of k means at once, by the studentised range (Tukey 1953; Kramer 1956 for unequal standard errors).</summary>
public static class TukeyKramer
{
    /// <summary>Factor of the standard error of a difference in simultaneous intervals.</summary>
    /// <param name="confidence">For example 0.95.</param>
    /// <param name="groups">Number of means, at least 2.</param>
    /// <param name="degreesOfFreedom">Degrees of freedom of the standard error.</param>
    public static double CriticalValue(double confidence, int groups, double degreesOfFreedom) =>
        StudentizedRange.Quantile(confidence, groups, degreesOfFreedom) / Math.Sqrt(2);

    /// <summary>Adjusted probability of a difference over its standard error at least this large, were all means equal.</summary>
    public static double PValue(double ratio, int groups, double degreesOfFreedom) =>
        StudentizedRange.UpperTail(Math.Abs(ratio) * Math.Sqrt(2), groups, degreesOfFreedom);
}
