namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Draws from the joint posterior of the targets, target by target: draw i of every target belongs to the same state of the world.</summary>
public sealed class JointDraws
{
    private readonly double[][] _columns;

    internal JointDraws(double[][] columns) => _columns = columns;

    /// <summary>Number of targets.</summary>
    public int Targets => _columns.Length;

    /// <summary>Number of draws.</summary>
    public int Count => _columns[0].Length;

    /// <summary>All draws of one target.</summary>
    public ReadOnlyMemory<double> this[int target] => _columns[target];

    /// <summary>A combination of targets, one value per draw.</summary>
    /// <param name="combination">One weight per target.</param>
    public double[] Along(ReadOnlySpan<double> combination)
    {
        var result = new double[Count];
        for (var t = 0; t < Targets; t++)
        {
            var weight = combination[t];
            if (weight == 0) continue;
            WeightedSum.Add(result, _columns[t], weight);
        }
        return result;
    }
}
