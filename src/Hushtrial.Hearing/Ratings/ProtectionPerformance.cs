using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Hearing.Ratings;

/// <summary>The share of wearers who reach at least the stated protection, and the number of standard deviations that goes with it.</summary>
/// <remarks>Source: ISO 4869-2:2018, Table 1. Its factors are the normal quantiles to two decimals, except 84 % (1.00) and 98 % (2.00), which it rounds.</remarks>
public readonly record struct ProtectionPerformance
{
    private static readonly (double Percent, double Alpha)[] _table = [(50, 0), (75, 0.67), (80, 0.84), (84, 1.00), (90, 1.28), (95, 1.64), (98, 2.00)];

    private ProtectionPerformance(double percent, double alpha) => (Percent, Alpha) = (percent, alpha);

    /// <summary>Percent of wearers, 50 for the mean.</summary>
    public double Percent { get; }

    /// <summary>Standard deviations taken off the mean.</summary>
    public double Alpha { get; }

    /// <summary>The usual 84 %: mean minus one standard deviation.</summary>
    public static ProtectionPerformance Usual { get; } = OfPercent(84);

    /// <summary>A performance. The standard's seven percentages take the standard's factor, others the normal quantile.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The percentage is outside 1…99.9.</exception>
    public static ProtectionPerformance OfPercent(double percent)
    {
        if (percent is not (>= 1 and <= 99.9)) throw new ArgumentOutOfRangeException(nameof(percent), percent, "A protection performance lies in 1…99.9 %.");
        var row = Array.Find(_table, r => r.Percent == percent);
        return new(percent, row.Percent == 0 ? Gaussian.Quantile(percent / 100) : row.Alpha);
    }
}
