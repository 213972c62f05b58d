using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Small dense algebra on eight matrices at once, one per lane: without branches, so that eight nodes cost little more than one.</summary>
internal static class LaneFactor
{
    /// <summary>Matrices that go side by side.</summary>
    public const int Lanes = 8;

    /// <summary>Cholesky factor of a symmetric matrix and, in the same pass, forward substitution of right-hand sides.</summary>
    /// <param name="a">Rows of length <paramref name="n"/>: first the lower triangle, then the right-hand sides as rows; both in place.</param>
    /// <param name="n">Size of the matrix.</param>
    /// <param name="total">Rows in all.</param>
    /// <returns>Product of the factor's diagonal.</returns>
    public static Vector512<double> Factor(Span<Vector512<double>> a, int n, int total)
    {
        ref var origin = ref MemoryMarshal.GetReference(a);
        var product = Vector512<double>.One;
        for (var j = 0; j < n; j++)
        {
            ref var pivotRow = ref Unsafe.Add(ref origin, j * n);
            Vector512<double> sum = Unsafe.Add(ref pivotRow, j), other = Vector512<double>.Zero;
            var k = 0;
            for (; k + 1 < j; k += 2)
            {
                var first = Unsafe.Add(ref pivotRow, k);
                var second = Unsafe.Add(ref pivotRow, k + 1);
                sum = Vector512.FusedMultiplyAdd(-first, first, sum);
                other = Vector512.FusedMultiplyAdd(-second, second, other);
            }
            if (k < j)
            {
                var last = Unsafe.Add(ref pivotRow, k);
                sum = Vector512.FusedMultiplyAdd(-last, last, sum);
            }
            var diagonal = Vector512.Sqrt(Vector512.Max(sum + other, Vector512.Create(double.Epsilon * 4e15)));
            Unsafe.Add(ref pivotRow, j) = diagonal;
            product *= diagonal;
            var inverse = Vector512<double>.One / diagonal;
            var i = j + 1;
            for (; i + 3 < total; i += 4)
            {
                ref var r0 = ref Unsafe.Add(ref origin, i * n);
                ref var r1 = ref Unsafe.Add(ref r0, n);
                ref var r2 = ref Unsafe.Add(ref r1, n);
                ref var r3 = ref Unsafe.Add(ref r2, n);
                Vector512<double> s0 = Unsafe.Add(ref r0, j), s1 = Unsafe.Add(ref r1, j), s2 = Unsafe.Add(ref r2, j), s3 = Unsafe.Add(ref r3, j);
                for (k = 0; k < j; k++)
                {
                    var pivot = -Unsafe.Add(ref pivotRow, k);
                    s0 = Vector512.FusedMultiplyAdd(pivot, Unsafe.Add(ref r0, k), s0);
                    s1 = Vector512.FusedMultiplyAdd(pivot, Unsafe.Add(ref r1, k), s1);
                    s2 = Vector512.FusedMultiplyAdd(pivot, Unsafe.Add(ref r2, k), s2);
                    s3 = Vector512.FusedMultiplyAdd(pivot, Unsafe.Add(ref r3, k), s3);
                }
                Unsafe.Add(ref r0, j) = s0 * inverse;
                Unsafe.Add(ref r1, j) = s1 * inverse;
                Unsafe.Add(ref r2, j) = s2 * inverse;
                Unsafe.Add(ref r3, j) = s3 * inverse;
            }
            for (; i < total; i++)
            {
                ref var row = ref Unsafe.Add(ref origin, i * n);
                var rest = Unsafe.Add(ref row, j);
                for (k = 0; k < j; k++) rest = Vector512.FusedMultiplyAdd(-Unsafe.Add(ref pivotRow, k), Unsafe.Add(ref row, k), rest);
                Unsafe.Add(ref row, j) = rest * inverse;
            }
        }
        return product;
    }

    /// <summary>Inner product of two rows.</summary>
    public static Vector512<double> Dot(ReadOnlySpan<Vector512<double>> x, ReadOnlySpan<Vector512<double>> y)
    {
        ref var a = ref MemoryMarshal.GetReference(x);
        ref var b = ref MemoryMarshal.GetReference(y);
        Vector512<double> even = Vector512<double>.Zero, odd = Vector512<double>.Zero;
        var k = 0;
        for (; k + 1 < x.Length; k += 2)
        {
            even = Vector512.FusedMultiplyAdd(Unsafe.Add(ref a, k), Unsafe.Add(ref b, k), even);
            odd = Vector512.FusedMultiplyAdd(Unsafe.Add(ref a, k + 1), Unsafe.Add(ref b, k + 1), odd);
        }
        if (k < x.Length) even = Vector512.FusedMultiplyAdd(Unsafe.Add(ref a, k), Unsafe.Add(ref b, k), even);
        return even + odd;
    }

    /// <summary>Inner products of a row with <paramref name="count"/> rows that lie one after another; four at a time, so that none waits for another.</summary>
    public static void Dots(ReadOnlySpan<Vector512<double>> x, ReadOnlySpan<Vector512<double>> rows, int count, Span<Vector512<double>> result)
    {
        var n = x.Length;
        ref var a = ref MemoryMarshal.GetReference(x);
        ref var b = ref MemoryMarshal.GetReference(rows);
        var j = 0;
        for (; j + 3 < count; j += 4)
        {
            ref var r0 = ref Unsafe.Add(ref b, j * n);
            ref var r1 = ref Unsafe.Add(ref r0, n);
            ref var r2 = ref Unsafe.Add(ref r1, n);
            ref var r3 = ref Unsafe.Add(ref r2, n);
            Vector512<double> s0 = default, s1 = default, s2 = default, s3 = default;
            for (var k = 0; k < n; k++)
            {
                var value = Unsafe.Add(ref a, k);
                s0 = Vector512.FusedMultiplyAdd(value, Unsafe.Add(ref r0, k), s0);
                s1 = Vector512.FusedMultiplyAdd(value, Unsafe.Add(ref r1, k), s1);
                s2 = Vector512.FusedMultiplyAdd(value, Unsafe.Add(ref r2, k), s2);
                s3 = Vector512.FusedMultiplyAdd(value, Unsafe.Add(ref r3, k), s3);
            }
            (result[j], result[j + 1], result[j + 2], result[j + 3]) = (s0, s1, s2, s3);
        }
        for (; j < count; j++) result[j] = Dot(x, rows.Slice(j * n, n));
    }

    /// <summary>Solves L' x = b in place: backward substitution with a factor made by <see cref="Factor"/>.</summary>
    public static void BackSubstitute(ReadOnlySpan<Vector512<double>> factor, int n, Span<Vector512<double>> x)
    {
        for (var k = n - 1; k >= 0; k--)
        {
            x[k] /= factor[k * n + k];
            var solved = -x[k];
            for (var i = 0; i < k; i++) x[i] = Vector512.FusedMultiplyAdd(solved, factor[k * n + i], x[i]);
        }
    }
}
