using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Statistics.Uncertainty;

/// <summary>A distribution known by draws: propagation of distributions by Monte Carlo (JCGM 101:2008).</summary>
public sealed class DrawnDistribution
{
    private readonly double[] _sorted;

    /// <summary>Takes draws; the array given is not changed.</summary>
    /// <exception cref="ArgumentException">No draw, or one that is not a number.</exception>
    public DrawnDistribution(IReadOnlyCollection<double> draws)
    {
        if (draws.Count == 0 || draws.Any(double.IsNaN)) throw new ArgumentException("At least one draw is needed, and every one must be a number.", nameof(draws));
        _sorted = [.. draws];
        Array.Sort(_sorted);
        Mean = _sorted.Average();
        StandardUncertainty = Math.Sqrt(_sorted.Sum(x => (x - Mean) * (x - Mean)) / _sorted.Length);
    }

    /// <summary>Mean of the draws.</summary>
    public double Mean { get; }

    /// <summary>Standard deviation of the draws.</summary>
    public double StandardUncertainty { get; }

    /// <summary>Draws a function of random inputs.</summary>
    /// <param name="count">Number of draws, at least 1.</param>
    /// <param name="seed">Seed; equal seeds give equal draws.</param>
    /// <param name="draw">Makes one draw.</param>
    public static DrawnDistribution Of(int count, ulong seed, Func<SeededGenerator, double> draw)
    {
        var generator = new SeededGenerator(seed);
        var values = new double[count];
        for (var i = 0; i < count; i++) values[i] = draw(generator);
        return new(values);
    }

    /// <summary>The value below which a share <paramref name="p"/> of the draws lies, linear between draws.</summary>
    /// <param name="p">Inside (0, 1).</param>
    public double Quantile(double p)
    {
        QuantileSearch.Probability(p);
        var at = Math.Clamp(p * _sorted.Length - 0.5, 0, _sorted.Length - 1);
        var i = (int)at;
        return i + 1 < _sorted.Length ? _sorted[i] + (at - i) * (_sorted[i + 1] - _sorted[i]) : _sorted[i];
    }

    /// <summary>Share of the draws up to <paramref name="x"/>.</summary>
    public double Cdf(double x)
    {
        int low = 0, high = _sorted.Length;
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (_sorted[middle] <= x) low = middle + 1;
            else high = middle;
        }
        return (double)low / _sorted.Length;
    }
}
