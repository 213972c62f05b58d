using System.Numerics;
using System.Runtime.InteropServices;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Sums of weighted columns, several numbers at a time.</summary>
internal static class WeightedSum
{
    /// <summary>to += weight × from.</summary>
    public static void Add(Span<double> to, ReadOnlySpan<double> from, double weight)
    {
        var sums = MemoryMarshal.Cast<double, Vector<double>>(to);
        var values = MemoryMarshal.Cast<double, Vector<double>>(from[..to.Length]);
        for (var v = 0; v < sums.Length; v++) sums[v] += weight * values[v];
        for (var i = sums.Length * Vector<double>.Count; i < to.Length; i++) to[i] += weight * from[i];
    }
}
