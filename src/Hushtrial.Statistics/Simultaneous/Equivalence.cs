using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Statistics.Simultaneous;

/// <summary>Two one-sided tests of equivalence (Schuirmann 1987).</summary>
public static class Equivalence
{
    /// <summary>Larger of the two one-sided probabilities: at most α means the (1 − 2α) interval lies inside ± margin.</summary>
    /// <param name="estimate">The estimated difference.</param>
    /// <param name="standardError">Its standard error.</param>
    /// <param name="degreesOfFreedom">Degrees of freedom of the standard error.</param>
    /// <param name="margin">The margin, above 0.</param>
    public static double PValue(double estimate, double standardError, double degreesOfFreedom, double margin) => Math.Max(
        StudentT.UpperTail((estimate + margin) / standardError, degreesOfFreedom),
        StudentT.UpperTail((margin - estimate) / standardError, degreesOfFreedom));
}
