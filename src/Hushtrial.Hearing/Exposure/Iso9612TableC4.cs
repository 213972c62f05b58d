using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>ISO 9612:2009, Table C.4: contribution c1·u1 of sampling, dB. Columns u1 = 0.5, 1.0 … 6.0 dB.</summary>
internal static class Iso9612TableC4
{
    private static readonly int[] _samples = [3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 25, 30];

    private static readonly double[][] _cells =
    [
        [0.6, 1.6, 3.1, 5.2, 8, 11.5, 15.7, 20.6, 26.1, 32.2, 39, 46.5],
        [0.4, 0.9, 1.6, 2.5, 3.6, 5, 6.7, 8.6, 10.9, 13.4, 16.1, 19.2],
        [0.3, 0.7, 1.2, 1.7, 2.4, 3.3, 4.4, 5.6, 6.9, 8.5, 10.2, 12.1],
        [0.3, 0.6, 0.9, 1.4, 1.9, 2.6, 3.3, 4.2, 5.2, 6.3, 7.6, 8.9],
        [0.2, 0.5, 0.8, 1.2, 1.6, 2.2, 2.8, 3.5, 4.3, 5.1, 6.1, 7.2],
        [0.2, 0.5, 0.7, 1.1, 1.4, 1.9, 2.4, 3, 3.6, 4.4, 5.2, 6.1],
        [0.2, 0.4, 0.7, 1, 1.3, 1.7, 2.1, 2.6, 3.2, 3.9, 4.6, 5.4],
        [0.2, 0.4, 0.6, 0.9, 1.2, 1.5, 1.9, 2.4, 2.9, 3.5, 4.1, 4.8],
        [0.2, 0.3, 0.5, 0.8, 1, 1.3, 1.7, 2, 2.5, 2.9, 3.5, 4],
        [0.1, 0.3, 0.5, 0.7, 0.9, 1.2, 1.5, 1.8, 2.2, 2.6, 3, 3.5],
        [0.1, 0.3, 0.5, 0.6, 0.8, 1.1, 1.3, 1.6, 2, 2.3, 2.7, 3.2],
        [0.1, 0.3, 0.4, 0.6, 0.8, 1, 1.2, 1.5, 1.8, 2.1, 2.5, 2.9],
        [0.1, 0.3, 0.4, 0.5, 0.7, 0.9, 1.1, 1.4, 1.7, 2, 2.3, 2.6],
        [0.1, 0.2, 0.3, 0.5, 0.6, 0.8, 1, 1.2, 1.4, 1.7, 2, 2.3],
        [0.1, 0.2, 0.3, 0.4, 0.6, 0.7, 0.9, 1.1, 1.3, 1.5, 1.7, 2],
    ];

    public static LevelDifference At(int samples, double scatter)
    {
        if (samples < 3) throw new ArgumentException($"Table C.4 starts at 3 samples, not {samples}.", nameof(samples));
        if (scatter is not (>= 0 and <= 6)) throw new ArgumentException(FormattableString.Invariant($"Table C.4 ends at a scatter of 6 dB, not {scatter} dB."), nameof(scatter));
        var n = Math.Min(samples, _samples[^1]);
        var upper = Array.FindIndex(_samples, s => s >= n);
        var lower = _samples[upper] == n ? upper : upper - 1;
        var share = lower == upper ? 0 : (double)(n - _samples[lower]) / (_samples[upper] - _samples[lower]);
        return LevelDifference.FromDecibels(((1 - share) * InRow(_cells[lower], scatter)) + (share * InRow(_cells[upper], scatter)));
    }

    private static double InRow(double[] row, double scatter)
    {
        var column = scatter / 0.5;
        if (column <= 1) return column * row[0];
        var below = Math.Min((int)column, row.Length - 1);
        return row[below - 1] + ((column - below) * (row[below] - row[below - 1]));
    }
}
