using System.Collections.Concurrent;
using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Columns of standard normal deviates, made when first asked for and shared by all who draw with them.</summary>
/// <remarks>Every column has a sequence of its own, so posteriors drawn with the same deviates differ by what they are and not by chance, and no deviate is made twice.</remarks>
/// <param name="count">Length of a column, at least 1.</param>
/// <param name="seed">Seed; equal seeds give equal columns.</param>
public sealed class NormalDeviates(int count, ulong seed)
{
    private readonly ConcurrentDictionary<int, Lazy<double[]>> _columns = new();

    /// <summary>Length of a column.</summary>
    public int Count { get; } = count > 0 ? count : throw new ArgumentOutOfRangeException(nameof(count), count, "At least one deviate is needed.");

    /// <summary>One column.</summary>
    /// <param name="number">Its number, from 0.</param>
    public ReadOnlyMemory<double> Column(int number) => _columns.GetOrAdd(number, n => new(() => Make(n))).Value;

    /// <summary>A uniform number in [0, 1) that belongs to the same seed.</summary>
    public double Uniform { get; } = new SeededGenerator(seed).NextUniform();

    private double[] Make(int number)
    {
        // The odd constant of SplitMix64 keeps the seeds of neighbouring columns far apart.
        var generator = new SeededGenerator(seed + unchecked((ulong)(number + 1) * 0x9E3779B97F4A7C15UL));
        var column = new double[Count];
        for (var i = 0; i < column.Length; i++) column[i] = generator.NextNormal();
        return column;
    }
}
