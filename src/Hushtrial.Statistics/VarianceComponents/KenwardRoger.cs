using MathNet.Numerics.LinearAlgebra;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>A contrast with its adjusted standard error and degrees of freedom.</summary>
public sealed record AdjustedContrast(double Estimate, double StandardError, double DegreesOfFreedom);

/// <summary>Small-sample adjustment of a restricted-likelihood fit (Kenward and Roger 1997; for one contrast their scale is exactly 1).</summary>
public sealed class KenwardRoger
{
    private readonly RestrictedLikelihood _fit;
    private readonly Matrix<double> _phi;
    private readonly Matrix<double> _adjusted;
    private readonly Matrix<double> _w;
    private readonly Matrix<double>[] _p;
    private readonly Vector<double> _coefficients;

    /// <summary>Adjusts a fit.</summary>
    public KenwardRoger(RestrictedLikelihood fit)
    {
        _fit = fit;
        var (x, y, kernels, within) = fit.Parts;
        var gls = new GeneralisedLeastSquares(x, y, fit.Covariance(fit.Variances));
        _phi = gls.CoefficientCovariance;
        _coefficients = gls.Coefficients;
        var k = kernels.Count;
        var products = kernels.Select(v => gls.Inverse * v).ToArray();                      // V⁻¹V_i
        var right = gls.Inverse * x;
        _p = [.. kernels.Select(v => -(right.TransposeThisAndMultiply(v) * right))];
        var q = new Matrix<double>[k, k];
        var information = Matrix<double>.Build.Dense(k, k);
        for (var i = 0; i < k; i++)
            for (var j = 0; j < k; j++)
            {
                q[i, j] = right.TransposeThisAndMultiply(kernels[i]) * products[j] * right;
                information[i, j] = 0.5 * (RestrictedLikelihood.TraceOfProduct(products[i], products[j])
                    - 2 * RestrictedLikelihood.TraceOfProduct(_phi, q[i, j]) + RestrictedLikelihood.TraceOfProduct(_phi * _p[i], _phi * _p[j]));
            }
        var residual = fit.Variances[^1];
        information[k - 1, k - 1] += 0.5 * within / (residual * residual);
        _w = information.Inverse();
        var sum = Matrix<double>.Build.Dense(x.ColumnCount, x.ColumnCount);
        for (var i = 0; i < k; i++)
            for (var j = 0; j < k; j++) sum += _w[i, j] * (q[i, j] - _p[i] * _phi * _p[j]);
        _adjusted = _phi + 2 * _phi * sum * _phi;
    }

    /// <summary>A combination of targets; null when the design cannot estimate it or no variance is left.</summary>
    /// <param name="combination">One weight per target.</param>
    public AdjustedContrast? Contrast(ReadOnlySpan<double> combination)
    {
        if (!_fit.Design.IsEstimable(combination)) return null;
        var l = OnColumns(combination);
        double variance = l * (_phi * l), adjusted = l * (_adjusted * l), estimate = l * _coefficients;
        for (var t = 0; t < combination.Length; t++) estimate += combination[t] * _fit.FittedTargets[t];
        var phiL = _phi * l;
        var g = Vector<double>.Build.DenseOfEnumerable(_p.Select(p => phiL * (p * phiL)));
        var df = 2 * variance * variance / (g * (_w * g));
        return adjusted > 0 && double.IsFinite(df) && df > 0 ? new(estimate, Math.Sqrt(adjusted), df) : null;
    }

    /// <summary>Rows whose products are the adjusted covariances of several combinations, for simultaneous intervals.</summary>
    public double[,] CovarianceFactor(IReadOnlyList<double[]> combinations)
    {
        // By eigenvalues: the adjustment may leave a direction without variance, which a Cholesky factor would refuse.
        var eigen = _adjusted.Evd(Symmetricity.Symmetric);
        var factor = eigen.EigenVectors * Matrix<double>.Build.DenseOfDiagonalArray([.. eigen.EigenValues.Select(v => Math.Sqrt(Math.Max(0, v.Real)))]);
        var rows = Matrix<double>.Build.DenseOfRowVectors(combinations.Select(c => OnColumns(c)));
        return (rows * factor).ToArray();
    }

    private Vector<double> OnColumns(ReadOnlySpan<double> combination)
    {
        var l = Vector<double>.Build.Dense(_phi.RowCount);
        for (var t = 0; t < combination.Length; t++)
            if (combination[t] != 0) l += combination[t] * Vector<double>.Build.DenseOfArray(_fit.Design.TargetRow(t));
        return l;
    }
}
