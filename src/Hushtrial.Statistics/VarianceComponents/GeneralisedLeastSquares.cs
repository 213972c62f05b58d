using MathNet.Numerics.LinearAlgebra;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Least squares with a known covariance.</summary>
internal sealed class GeneralisedLeastSquares
{
    private readonly Matrix<double> _x;
    private readonly Matrix<double> _inverse;

    public GeneralisedLeastSquares(Matrix<double> x, Vector<double> y, Matrix<double> covariance)
    {
        _x = x;
        var factor = covariance.Cholesky();
        _inverse = factor.Solve(Matrix<double>.Build.DenseIdentity(covariance.RowCount));
        var normal = (x.TransposeThisAndMultiply(_inverse) * x).Cholesky();
        CoefficientCovariance = normal.Solve(Matrix<double>.Build.DenseIdentity(x.ColumnCount));
        Coefficients = CoefficientCovariance * x.TransposeThisAndMultiply(_inverse * y);
        var rest = y - x * Coefficients;
        Quadratic = rest * (_inverse * rest);
        LogDeterminants = factor.DeterminantLn + normal.DeterminantLn;
    }

    public Matrix<double> Inverse => _inverse;

    public Matrix<double> CoefficientCovariance { get; }

    public Vector<double> Coefficients { get; }

    /// <summary>r'V⁻¹r.</summary>
    public double Quadratic { get; }

    /// <summary>ln|V| + ln|X'V⁻¹X|.</summary>
    public double LogDeterminants { get; }

    public double MinusTwiceLog() => LogDeterminants + Quadratic;

    /// <summary>P = V⁻¹ − V⁻¹X(X'V⁻¹X)⁻¹X'V⁻¹.</summary>
    public Matrix<double> Projection()
    {
        var vx = _inverse * _x;
        return _inverse - vx * CoefficientCovariance * vx.Transpose();
    }
}
