using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Hearing.Claims;

/// <summary>What a trial knows of one loss: its mean, its standard deviation and its quantiles. How it was estimated does not matter here.</summary>
public sealed class MeasuredLoss
{
    private readonly Func<double, double> _quantile;
    private readonly Func<double, double> _cdf;

    private MeasuredLoss(double mean, double deviation, Func<double, double> quantile, Func<double, double> cdf) =>
        (Mean, StandardDeviation, _quantile, _cdf) = (LevelDifference.FromDecibels(mean), LevelDifference.FromDecibels(deviation), quantile, cdf);

    /// <summary>Mean.</summary>
    public LevelDifference Mean { get; }

    /// <summary>Standard deviation.</summary>
    public LevelDifference StandardDeviation { get; }

    /// <summary>A normal distribution.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The standard deviation is not above 0.</exception>
    public static MeasuredLoss Normal(LevelDifference mean, LevelDifference standardDeviation)
    {
        var (m, s) = (mean.Decibels, Positive(standardDeviation));
        return new(m, s, p => m + (s * Gaussian.Quantile(p)), x => Gaussian.Cdf((x - m) / s));
    }

    /// <summary>A mean with a standard error and its degrees of freedom.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The standard error or the degrees of freedom are not above 0.</exception>
    public static MeasuredLoss Student(LevelDifference mean, LevelDifference standardError, double degreesOfFreedom)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(degreesOfFreedom);
        var (m, s) = (mean.Decibels, Positive(standardError));
        return new(m, s, p => m + (s * StudentT.Quantile(p, degreesOfFreedom)), x => StudentT.Cdf((x - m) / s, degreesOfFreedom));
    }

    /// <summary>Any distribution by its quantile and cumulative functions, in dB.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The standard deviation is not above 0.</exception>
    public static MeasuredLoss Of(LevelDifference mean, LevelDifference standardDeviation, Func<double, double> quantile, Func<double, double> cdf) =>
        new(mean.Decibels, Positive(standardDeviation), quantile, cdf);

    /// <summary>The loss that is not reached with this probability.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The probability is not inside (0, 1).</exception>
    public LevelDifference Quantile(double probability) => probability is > 0 and < 1 ? LevelDifference.FromDecibels(_quantile(probability))
        : throw new ArgumentOutOfRangeException(nameof(probability), probability, "A probability inside (0, 1) is needed.");

    /// <summary>Probability of a loss of at most this.</summary>
    public double ProbabilityUpTo(LevelDifference value) => _cdf(value.Decibels);

    /// <summary>Lower and upper limit of the central interval.</summary>
    public (LevelDifference Low, LevelDifference High) Interval(double confidence) => (Quantile((1 - confidence) / 2), Quantile((1 + confidence) / 2));

    /// <summary>The same with a further independent uncertainty: the distribution stretched about its mean (exact for normal ones).</summary>
    /// <exception cref="ArgumentOutOfRangeException">The uncertainty is negative.</exception>
    public MeasuredLoss Widened(LevelDifference standardUncertainty)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(standardUncertainty.Decibels, nameof(standardUncertainty));
        var (m, s) = (Mean.Decibels, StandardDeviation.Decibels);
        var wider = Math.Sqrt((s * s) + (standardUncertainty.Decibels * standardUncertainty.Decibels));
        var stretch = wider / s;
        return new(m, wider, p => m + (stretch * (_quantile(p) - m)), x => _cdf(m + ((x - m) / stretch)));
    }

    private static double Positive(LevelDifference deviation) => deviation.Decibels > 0 ? deviation.Decibels
        : throw new ArgumentOutOfRangeException(nameof(deviation), deviation.Decibels, "A standard deviation above 0 is needed: no measurement is exact.");
}
