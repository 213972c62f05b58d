namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>A linear mixed model without its data: fixed columns, what is asked of them, and the sources of scatter.</summary>
/// <remarks>y = X b + scatter, Var y = Σ sd_k² K_k + (sd² + known) diag(1 / counts). Several responses may share one design.
/// Columns that depend on earlier ones are dropped: put first what must stay.</remarks>
public sealed class MixedDesign
{
    private readonly ColumnReduction _reduction;
    private readonly double[,] _columns;
    private readonly double[,] _targets;

    /// <summary>Lays out a design.</summary>
    /// <param name="columns">Fixed columns, observations × columns, the most important ones first.</param>
    /// <param name="targets">Linear functions of the coefficients that are wanted, targets × columns.</param>
    /// <param name="components">Sources of scatter shared by or particular to observations; may be empty.</param>
    /// <param name="replicates">Scatter of the replicates.</param>
    /// <exception cref="ArgumentException">Sizes do not fit, or there is no observation.</exception>
    public MixedDesign(double[,] columns, double[,] targets, IReadOnlyList<VarianceComponent> components, ReplicateScatter replicates)
    {
        var m = columns.GetLength(0);
        if (m == 0) throw new ArgumentException("A design needs at least one observation.", nameof(columns));
        if (targets.GetLength(1) != columns.GetLength(1)) throw new ArgumentException("Targets and columns differ in number.", nameof(targets));
        if (replicates.Counts.Count != m) throw new ArgumentException("Counts and observations differ in number.", nameof(replicates));
        foreach (var component in components)
            if (component.Kernel.GetLength(0) != m || component.Kernel.GetLength(1) != m)
                throw new ArgumentException($"The kernel of '{component.Name}' is not {m} × {m}.", nameof(components));
        _columns = columns;
        _targets = targets;
        Components = components;
        Replicates = replicates;
        _reduction = new ColumnReduction(columns);
        Factored = FactorOrder();
        Blocks = DesignBlock.Split(columns, Factored, components, replicates);
    }

    /// <summary>Number of observations.</summary>
    public int Observations => _columns.GetLength(0);

    /// <summary>Number of targets.</summary>
    public int Targets => _targets.GetLength(0);

    /// <summary>Number of columns that could be kept.</summary>
    public int Rank => _reduction.Kept.Count;

    /// <summary>Columns left out because they depend on earlier ones.</summary>
    public IReadOnlyList<int> DroppedColumns => _reduction.Dropped;

    /// <summary>Sources of scatter.</summary>
    public IReadOnlyList<VarianceComponent> Components { get; }

    /// <summary>Scatter of the replicates.</summary>
    public ReplicateScatter Replicates { get; }

    /// <summary>Degrees of freedom of the replicates about their means.</summary>
    public int WithinDegreesOfFreedom => Replicates.Counts.Sum() - Observations;

    /// <summary>Names of all scatters, the replicates' last.</summary>
    public IReadOnlyList<string> ScatterNames => [.. Components.Select(c => c.Name), Replicates.Name];

    /// <summary>Kept columns in the order in which they are factored: those that no target needs first.</summary>
    internal int[] Factored { get; }

    /// <summary>Groups of observations that no kernel connects.</summary>
    internal IReadOnlyList<DesignBlock> Blocks { get; }

    /// <summary>Target <paramref name="target"/> on the factored columns.</summary>
    internal double[] TargetRow(int target) => [.. Factored.Select(c => _targets[target, c])];

    /// <summary>Whether a combination of targets can be estimated from this design.</summary>
    /// <param name="weights">One weight per target.</param>
    public bool IsEstimable(ReadOnlySpan<double> weights)
    {
        var size = 0.0;
        var combined = new double[_columns.GetLength(1)];
        for (var t = 0; t < weights.Length; t++)
            for (var c = 0; c < combined.Length; c++)
            {
                combined[c] += weights[t] * _targets[t, c];
                size = Math.Max(size, Math.Abs(weights[t] * _targets[t, c]));
            }
        for (var d = 0; d < _reduction.Dropped.Count; d++)
        {
            if (!IsNeeded(_reduction.Dropped[d])) continue;     // left out of the model altogether
            var product = 0.0;
            for (var c = 0; c < combined.Length; c++) product += combined[c] * _reduction.NullVectors[d][c];
            if (Math.Abs(product) > 1e-8 * size) return false;
        }
        return true;
    }

    /// <summary>Splits a response into a least-squares part and the rest, so that no digits are lost on a large mean.</summary>
    internal (double[] Fitted, double[] Residual) Centre(double[] y)
    {
        var coefficients = _reduction.LeastSquares(y);
        var rest = (double[])y.Clone();
        for (var i = 0; i < rest.Length; i++)
            for (var c = 0; c < coefficients.Length; c++) rest[i] -= _columns[i, c] * coefficients[c];
        var fitted = new double[Targets];
        for (var t = 0; t < fitted.Length; t++)
            for (var c = 0; c < coefficients.Length; c++) fitted[t] += _targets[t, c] * coefficients[c];
        return (fitted, rest);
    }

    /// <summary>The factored columns, observations × rank.</summary>
    internal double[,] FactoredColumns()
    {
        var kept = new double[Observations, Factored.Length];
        for (var i = 0; i < Observations; i++)
            for (var c = 0; c < Factored.Length; c++) kept[i, c] = _columns[i, Factored[c]];
        return kept;
    }

    private int[] FactorOrder() => [.. _reduction.Kept.Where(c => !IsNeeded(c)), .. _reduction.Kept.Where(IsNeeded)];

    private bool IsNeeded(int column)
    {
        for (var t = 0; t < Targets; t++)
            if (_targets[t, column] != 0) return true;
        return false;
    }
}
