namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Draws from the joint posterior of the targets.</summary>
public sealed class JointDraws
{
    private readonly double[] _values;

    internal JointDraws(int targets, double[] values)
    {
        Targets = targets;
        _values = values;
    }

    /// <summary>Number of targets.</summary>
    public int Targets { get; }

    /// <summary>Number of draws.</summary>
    public int Count => _values.Length / Targets;

    /// <summary>The targets of one draw.</summary>
    public ReadOnlySpan<double> this[int draw] => _values.AsSpan(draw * Targets, Targets);

    /// <summary>A combination of targets, one value per draw.</summary>
    /// <param name="combination">One weight per target.</param>
    public double[] Along(ReadOnlySpan<double> combination)
    {
        var result = new double[Count];
        for (var t = 0; t < Targets; t++)
        {
            var weight = combination[t];
            if (weight == 0) continue;
            for (var i = 0; i < result.Length; i++) result[i] += weight * _values[i * Targets + t];
        }
        return result;
    }
}
