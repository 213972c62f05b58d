namespace Hushtrial.Trials.Screening;

/// <summary>Medians and kin, which a few wrong values do not move.</summary>
internal static class Robust
{
    /// <summary>The quantile of a share, 0…1, linear between neighbours. At least one value.</summary>
    public static double Quantile(IEnumerable<double> values, double share)
    {
        var sorted = values.Order().ToArray();
        var place = share * (sorted.Length - 1);
        var below = (int)place;
        return below + 1 < sorted.Length ? sorted[below] + ((place - below) * (sorted[below + 1] - sorted[below])) : sorted[below];
    }

    public static double Median(IEnumerable<double> values) => Quantile(values, 0.5);

    public static double Decibels(double meanSquare) => meanSquare > 0 ? 10 * Math.Log10(meanSquare) : -200;

    public static double StandardDeviation(IReadOnlyList<double> values)
    {
        var mean = values.Average();
        return values.Count < 2 ? 0 : Math.Sqrt(values.Sum(v => (v - mean) * (v - mean)) / (values.Count - 1));
    }
}
