using System.Numerics;
using System.Runtime.InteropServices;
using Hushtrial.Statistics.VarianceComponents;

namespace Hushtrial.Statistics.Simultaneous;

/// <summary>One number of a family: a combination of drawn columns, its mean and its standard deviation.</summary>
/// <param name="Parts">Columns and the weight of each; all of one length.</param>
/// <param name="Mean">Mean of the combination.</param>
/// <param name="Sd">Its standard deviation, above 0.</param>
public sealed record FamilyMember(IReadOnlyList<(ReadOnlyMemory<double> Column, double Weight)> Parts, double Mean, double Sd);

/// <summary>Simultaneous critical values of a family of numbers from joint draws.</summary>
public static class MaxDeviation
{
    // Draws worked on at a time: a few columns of them stay in the first cache.
    private const int Block = 1024;

    /// <summary>Quantiles of max_j |d_j − m_j| / s_j over draws d, linear between draws.</summary>
    /// <param name="family">Its members.</param>
    /// <param name="probabilities">Wanted probabilities, inside (0, 1).</param>
    /// <returns>One critical value per probability: intervals m_j ± c s_j hold all at once with that probability.</returns>
    public static double[] CriticalValues(IReadOnlyList<FamilyMember> family, params double[] probabilities)
    {
        if (family.Count == 0) throw new ArgumentException("A family has at least one member.", nameof(family));
        var largest = Largest(family);
        var places = probabilities.Select(p => Math.Clamp(p * largest.Length - 0.5, 0, largest.Length - 1)).ToArray();
        // Only what lies above the lowest wanted quantile need be in order.
        var from = (int)places.Min();
        Selection.Part(largest, from);
        Array.Sort(largest, from, largest.Length - from);
        return [.. places.Select(at =>
        {
            var i = (int)at;
            return i + 1 < largest.Length ? largest[i] + (at - i) * (largest[i + 1] - largest[i]) : largest[i];
        })];
    }

    private static double[] Largest(IReadOnlyList<FamilyMember> family)
    {
        var largest = new double[family[0].Parts[0].Column.Length];
        var standardised = new double[Block];
        for (var start = 0; start < largest.Length; start += Block)
        {
            var most = largest.AsSpan(start, Math.Min(Block, largest.Length - start));
            var value = standardised.AsSpan(0, most.Length);
            foreach (var member in family)
            {
                var scale = 1 / member.Sd;
                value.Fill(-member.Mean * scale);
                foreach (var (column, weight) in member.Parts) WeightedSum.Add(value, column.Span.Slice(start, most.Length), weight * scale);
                TakeLarger(most, value);
            }
        }
        return largest;
    }

    private static void TakeLarger(Span<double> most, ReadOnlySpan<double> value)
    {
        var larger = MemoryMarshal.Cast<double, Vector<double>>(most);
        var values = MemoryMarshal.Cast<double, Vector<double>>(value[..most.Length]);
        for (var v = 0; v < larger.Length; v++) larger[v] = Vector.Max(larger[v], Vector.Abs(values[v]));
        for (var i = larger.Length * Vector<double>.Count; i < most.Length; i++) most[i] = Math.Max(most[i], Math.Abs(value[i]));
    }
}
