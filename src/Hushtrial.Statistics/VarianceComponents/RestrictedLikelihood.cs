using MathNet.Numerics;
using MathNet.Numerics.LinearAlgebra;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>A random effect of the prior-free model: its name and its kernel (observations × observations).</summary>
public sealed record RandomEffect(string Name, double[,] Kernel);

/// <summary>Restricted maximum likelihood of a linear mixed model on collapsed replicates: Var y = Σ θ_k K_k + θ_res diag(1/counts), plus the replicates about their means.</summary>
/// <remarks>The fixed part must be constant inside every observation's replicates, as it is here by construction; then the collapse loses nothing
/// and the criterion equals that of the full table.</remarks>
public sealed class RestrictedLikelihood
{
    private readonly Matrix<double> _x;
    private readonly Vector<double> _y;
    private readonly Matrix<double>[] _kernels;
    private readonly MixedDesign _design;
    private readonly double[] _fitted;
    private readonly double _withinSquares;
    private readonly int _within;

    static RestrictedLikelihood() => Control.UseSingleThread();     // sums must not depend on the number of cores

    private RestrictedLikelihood(MixedDesign design, Response response, IReadOnlyList<RandomEffect> effects)
    {
        _design = design;
        (_fitted, var rest) = design.Centre(response.Means);
        _y = Vector<double>.Build.DenseOfArray(rest);
        _x = Matrix<double>.Build.DenseOfArray(design.FactoredColumns());
        _kernels = [.. effects.Select(e => Matrix<double>.Build.DenseOfArray(e.Kernel)),
            Matrix<double>.Build.DenseOfDiagonalVector(Vector<double>.Build.DenseOfEnumerable(design.Replicates.Counts.Select(c => 1.0 / c)))];
        _withinSquares = response.WithinSumOfSquares;
        _within = design.WithinDegreesOfFreedom;
        Names = [.. effects.Select(e => e.Name), "residual"];
        Variances = new double[_kernels.Length];
    }

    /// <summary>Names of the variance components, the residual last.</summary>
    public IReadOnlyList<string> Names { get; }

    /// <summary>Estimated variances, in the order of <see cref="Names"/>; 0 where the likelihood is highest there.</summary>
    public double[] Variances { get; private set; }

    /// <summary>Estimated standard deviations.</summary>
    public IReadOnlyList<double> StandardDeviations => [.. Variances.Select(Math.Sqrt)];

    /// <summary>−2 × restricted log likelihood, all constants included.</summary>
    public double Criterion { get; private set; }

    /// <summary>Replicates minus fixed columns.</summary>
    public int ResidualDegreesOfFreedom => _design.Observations + _within - _design.Rank;

    internal MixedDesign Design => _design;

    internal IReadOnlyList<double> FittedTargets => _fitted;

    /// <summary>Fits; null when nothing is left to estimate variances from.</summary>
    /// <param name="design">Fixed columns, counts and targets; its components and priors are not used.</param>
    /// <param name="response">The response.</param>
    /// <param name="effects">Random effects, none of which may equal the residual.</param>
    public static RestrictedLikelihood? Fit(MixedDesign design, Response response, IReadOnlyList<RandomEffect> effects)
    {
        var model = new RestrictedLikelihood(design, response, effects);
        if (model.ResidualDegreesOfFreedom < 1) return null;
        model.Maximise();
        return model;
    }

    private void Maximise()
    {
        var ratios = new double[_kernels.Length - 1];
        var best = Profile(ratios).Value;
        for (var sweep = 0; sweep < 50; sweep++)
        {
            var before = best;
            for (var k = 0; k < ratios.Length; k++) best = ImproveOne(ratios, k);
            if (before - best < 1e-10 * Math.Abs(best) + 1e-12) break;
        }
        var residual = Profile(ratios).Residual;
        Variances = [.. ratios.Select(r => r * residual), residual];
        for (var step = 0; step < 50 && ScoreStep(); step++) { }
        var logCounts = _design.Replicates.Counts.Sum(c => Math.Log(c));
        Criterion = new GeneralisedLeastSquares(_x, _y, Covariance(Variances)).MinusTwiceLog() + logCounts
            + _within * Math.Log(Variances[^1]) + _withinSquares / Variances[^1] + ResidualDegreesOfFreedom * Math.Log(2 * Math.PI);
    }

    // Along one ratio to the residual: a logarithmic grid with 0, then golden section around the best point.
    private double ImproveOne(double[] ratios, int k)
    {
        double At(double log)
        {
            ratios[k] = log <= -20 ? 0 : Math.Exp(log);
            return Profile(ratios).Value;
        }
        double bestLog = -20, best = At(-20);
        for (var log = -9.0; log <= 9; log += 0.75)
            if (At(log) is var value && value < best) (best, bestLog) = (value, log);
        if (bestLog > -20)
        {
            double low = bestLog - 0.75, high = bestLog + 0.75, golden = (Math.Sqrt(5) - 1) / 2;
            double a = high - golden * (high - low), b = low + golden * (high - low), atA = At(a), atB = At(b);
            while (high - low > 1e-7)
            {
                if (atA < atB)
                {
                    (high, b, atB) = (b, a, atA);
                    atA = At(a = high - golden * (high - low));
                }
                else
                {
                    (low, a, atA) = (a, b, atB);
                    atB = At(b = low + golden * (high - low));
                }
            }
            bestLog = 0.5 * (low + high);
        }
        return At(bestLog);
    }

    private (double Value, double Residual) Profile(double[] ratios)
    {
        var fit = new GeneralisedLeastSquares(_x, _y, Covariance([.. ratios, 1]));
        var freedom = ResidualDegreesOfFreedom;
        var residual = Math.Max((fit.Quadratic + _withinSquares) / freedom, 1e-300);
        return (freedom * Math.Log(residual) + fit.LogDeterminants, residual);
    }

    // Fisher scoring on the components that are not 0: line searches stop at 1e-8, the score does not.
    private bool ScoreStep()
    {
        var free = Enumerable.Range(0, Variances.Length).Where(k => Variances[k] > 0).ToArray();
        var fit = new GeneralisedLeastSquares(_x, _y, Covariance(Variances));
        var projection = fit.Projection();
        var py = projection * _y;
        var products = free.Select(k => projection * _kernels[k]).ToArray();
        var score = Vector<double>.Build.Dense(free.Length);
        var information = Matrix<double>.Build.Dense(free.Length, free.Length);
        for (var i = 0; i < free.Length; i++)
        {
            score[i] = -0.5 * (products[i].Trace() - py * (_kernels[free[i]] * py));
            for (var j = 0; j < free.Length; j++) information[i, j] = 0.5 * TraceOfProduct(products[i], products[j]);
        }
        var residual = Variances[^1];
        var last = free.Length - 1;
        score[last] -= 0.5 * (_within / residual - _withinSquares / (residual * residual));
        information[last, last] += 0.5 * _within / (residual * residual);
        var step = information.Solve(score);
        if (!step.All(double.IsFinite)) return false;
        // A residual that is to be 0 (replicates that agree to the last bit) is approached: the component between follows it, and a step beyond 0 is no step.
        if (step[last] < -0.9 * residual) step *= -0.9 * residual / step[last];
        var next = (double[])Variances.Clone();
        for (var i = 0; i < free.Length; i++)
        {
            next[free[i]] += step[i];
            if (next[free[i]] <= 0) return false;               // the line search has already found the boundary
        }
        // At some point on the way to 0 the matrix can be factored no more: there is the boundary.
        if (!CanFactor(next)) return false;
        var change = free.Select((k, i) => Math.Abs(step[i]) / Variances[k]).Max();
        Variances = next;
        return change > 1e-13;
    }

    private bool CanFactor(double[] variances)
    {
        try
        {
            return double.IsFinite(new GeneralisedLeastSquares(_x, _y, Covariance(variances)).LogDeterminants);
        }
        catch (ArgumentException)
        {
            // The library has no factorisation that says so without throwing.
            return false;
        }
    }

    internal Matrix<double> Covariance(IReadOnlyList<double> variances)
    {
        var v = _kernels[^1] * variances[^1];
        for (var k = 0; k < _kernels.Length - 1; k++)
            if (variances[k] != 0) v += _kernels[k] * variances[k];
        return v;
    }

    internal (Matrix<double> X, Vector<double> Y, IReadOnlyList<Matrix<double>> Kernels, int Within) Parts => (_x, _y, _kernels, _within);

    internal static double TraceOfProduct(Matrix<double> a, Matrix<double> b) => a.PointwiseMultiply(b.Transpose()).Enumerate().Sum();
}
