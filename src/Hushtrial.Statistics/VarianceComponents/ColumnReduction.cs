namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Finds, in the order given, which columns of a design add something to those before them.</summary>
internal sealed class ColumnReduction
{
    // Columns are scaled to length 1 first: what is left of a dependent one is rounding, some 1e-15.
    private const double Tolerance = 1e-9;

    private readonly List<double[]> _orthonormal = [];
    private readonly List<double[]> _coefficients = [];
    private readonly double[,] _columns;

    public ColumnReduction(double[,] columns)
    {
        _columns = columns;
        int m = columns.GetLength(0), p = columns.GetLength(1);
        for (var j = 0; j < p; j++)
        {
            var rest = new double[m];
            for (var i = 0; i < m; i++) rest[i] = columns[i, j];
            var length = Norm(rest);
            var onto = new double[Kept.Count + 1];
            for (var pass = 0; pass < 2; pass++)              // twice is enough (Kahan and Parlett)
                for (var k = 0; k < Kept.Count; k++)
                {
                    var dot = Dot(rest, _orthonormal[k]);
                    onto[k] += dot;
                    for (var i = 0; i < m; i++) rest[i] -= dot * _orthonormal[k][i];
                }
            var left = Norm(rest);
            if (left <= Tolerance * length || length == 0)
            {
                Dropped.Add(j);
                NullVectors.Add(NullVector(j, onto, p));
                continue;
            }
            onto[Kept.Count] = left;
            for (var i = 0; i < m; i++) rest[i] /= left;
            _orthonormal.Add(rest);
            _coefficients.Add(onto);
            Kept.Add(j);
        }
    }

    /// <summary>Columns that are kept, ascending.</summary>
    public List<int> Kept { get; } = [];

    /// <summary>Columns that depend on kept ones before them.</summary>
    public List<int> Dropped { get; } = [];

    /// <summary>For every dropped column, the combination of columns that is zero everywhere.</summary>
    public List<double[]> NullVectors { get; } = [];

    /// <summary>Least-squares coefficients on the kept columns, one per column of the design (0 where dropped).</summary>
    public double[] LeastSquares(double[] y)
    {
        var rest = (double[])y.Clone();
        var projected = new double[Kept.Count];
        for (var pass = 0; pass < 2; pass++)
            for (var k = 0; k < Kept.Count; k++)
            {
                var dot = Dot(rest, _orthonormal[k]);
                projected[k] += dot;
                for (var i = 0; i < rest.Length; i++) rest[i] -= dot * _orthonormal[k][i];
            }
        return Expand(BackSubstitute(projected), _columns.GetLength(1));
    }

    private double[] NullVector(int column, double[] onto, int p)
    {
        var vector = Expand(BackSubstitute(onto[..Kept.Count]), p);
        for (var j = 0; j < p; j++) vector[j] = -vector[j];
        vector[column] = 1;
        return vector;
    }

    private double[] BackSubstitute(double[] right)
    {
        var x = (double[])right.Clone();
        for (var k = right.Length - 1; k >= 0; k--)
        {
            x[k] /= _coefficients[k][k];
            for (var i = 0; i < k; i++) x[i] -= _coefficients[k][i] * x[k];
        }
        return x;
    }

    private double[] Expand(double[] kept, int p)
    {
        var full = new double[p];
        for (var k = 0; k < kept.Length; k++) full[Kept[k]] = kept[k];
        return full;
    }

    private static double Norm(double[] v) => Math.Sqrt(Dot(v, v));

    private static double Dot(double[] a, double[] b)
    {
        var sum = 0.0;
        for (var i = 0; i < a.Length; i++) sum += a[i] * b[i];
        return sum;
    }
}
