using Hushtrial.Statistics.Distributions;
using MathNet.Numerics.LinearAlgebra;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>How far every observation lies from what all the others predict for it.</summary>
/// <param name="Deviations">Observation minus prediction, in the unit of the data; 0 where the others predict nothing.</param>
/// <param name="Scores">The same in standard deviations, as normal scores: the scale is estimated without the observation (external
/// studentisation) and its uncertainty is taken into account.</param>
public sealed record DeletionResiduals(IReadOnlyList<double> Deviations, IReadOnlyList<double> Scores)
{
    /// <summary>Leave-one-out residuals with the ratios of the variances held.</summary>
    /// <param name="design">The design.</param>
    /// <param name="response">The response, one replicate per observation.</param>
    /// <param name="scales">Standard deviations by <see cref="MixedDesign.ScatterNames"/>.</param>
    public static DeletionResiduals Of(MixedDesign design, Response response, IReadOnlyList<double> scales)
    {
        var m = design.Observations;
        var covariance = Matrix<double>.Build.DenseOfDiagonalVector(Vector<double>.Build.DenseOfEnumerable(
            design.Replicates.Counts.Select(c => (scales[^1] * scales[^1] + design.Replicates.KnownVariance) / c)));
        for (var k = 0; k < design.Components.Count; k++)
            covariance += Matrix<double>.Build.DenseOfArray(design.Components[k].Kernel) * (scales[k] * scales[k]);
        var y = Vector<double>.Build.DenseOfArray(design.Centre(response.Means).Residual);
        var fit = new GeneralisedLeastSquares(Matrix<double>.Build.DenseOfArray(design.FactoredColumns()), y, covariance);
        var projection = fit.Projection();
        var py = projection * y;
        var freedom = m - design.Rank;
        var scale = freedom > 0 ? fit.Quadratic / freedom : 0;
        double[] deviations = new double[m], scores = new double[m];
        for (var i = 0; i < m; i++)
        {
            var precision = projection[i, i];
            // 1 / precision is the variance of the deviation; far above the observation's own, the others predict nothing.
            if (precision * covariance[i, i] < 1e-6) continue;
            deviations[i] = py[i] / precision;
            if (freedom < 2 || scale <= 0) continue;
            var squared = py[i] * py[i] / precision / scale;
            var rest = Math.Max(freedom - squared, 1e-9 * freedom);
            var t = Math.Sqrt(squared * (freedom - 1) / rest);
            scores[i] = -Math.Sign(py[i]) * Gaussian.Quantile(Math.Max(StudentT.UpperTail(t, freedom - 1), 1e-300));
        }
        return new(deviations, scores);
    }
}
