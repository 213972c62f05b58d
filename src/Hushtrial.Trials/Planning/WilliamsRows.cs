namespace Hushtrial.Trials.Planning;

/// <summary>Orders in which every item comes equally often in every place and after every other (Williams 1949).</summary>
public static class WilliamsRows
{
    /// <summary>The rows: n for an even number of items, 2n for an odd one (the mirrored rows too).</summary>
    /// <param name="items">Number of items, at least 1.</param>
    /// <returns>Rows of positions 0 … items − 1.</returns>
    public static IReadOnlyList<IReadOnlyList<int>> Of(int items)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(items, 1);
        // First row: 1, 2, n, 3, n − 1, …; the others add 1, modulo n.
        var first = new int[items];
        for (var i = 1; i < items; i++) first[i] = i % 2 == 1 ? (i + 1) / 2 : items - i / 2;
        var rows = Enumerable.Range(0, items).Select(shift => (IReadOnlyList<int>)[.. first.Select(p => (p + shift) % items)]).ToList();
        if (items % 2 == 1 && items > 1) rows.AddRange(rows.ToArray().Select(row => (IReadOnlyList<int>)[.. row.Reverse()]));
        return rows;
    }
}
