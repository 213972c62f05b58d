namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>One source of scatter: observations i and j share sd² × Kernel[i, j] of covariance through it.</summary>
/// <param name="Name">Name, unique in a model.</param>
/// <param name="Prior">Prior of its standard deviation.</param>
/// <param name="Kernel">Symmetric, non-negative definite, as large as the number of observations.</param>
/// <param name="Nodes">Nodes of the fine grid in this direction, at least 2.</param>
public sealed record VarianceComponent(string Name, ScalePrior Prior, double[,] Kernel, int Nodes);

/// <summary>The scatter of single replicates: observation i is the mean of Counts[i] of them.</summary>
/// <param name="Name">Name, unique in a model.</param>
/// <param name="Prior">Prior of the standard deviation of one replicate.</param>
/// <param name="Counts">Replicates behind each observation, at least 1.</param>
/// <param name="Nodes">Nodes of the fine grid in this direction, at least 2.</param>
/// <param name="KnownVariance">Variance that every replicate has in addition and that is known, for example step²/12 of rounded readings.</param>
public sealed record ReplicateScatter(string Name, ScalePrior Prior, IReadOnlyList<int> Counts, int Nodes, double KnownVariance = 0);

/// <summary>One set of observations on a design.</summary>
/// <param name="Means">Means of the replicates, one per observation.</param>
/// <param name="WithinSumOfSquares">Sum of squares of the replicates about these means.</param>
/// <param name="ReplicateFloor">Lower bound of the replicate standard deviation known from elsewhere, or 0: the prior is multiplied by exp(−32 max(0, ln(floor/sd))²).</param>
public sealed record Response(double[] Means, double WithinSumOfSquares, double ReplicateFloor = 0);
