namespace Hushtrial.Statistics.Simultaneous;

/// <summary>Finds an order statistic without sorting everything.</summary>
internal static class Selection
{
    /// <summary>Rearranges values so that the one at a place is where sorting would put it, none before it larger and none behind it smaller.</summary>
    /// <param name="values">The values; no NaN.</param>
    /// <param name="place">The place, from 0.</param>
    /// <remarks>Hoare's selection with the median of three as pivot: linear time on draws, which come in no order.</remarks>
    public static void Part(Span<double> values, int place)
    {
        int low = 0, high = values.Length - 1;
        while (high > low)
        {
            double a = values[low], b = values[(low + high) / 2], c = values[high];
            var pivot = Math.Max(Math.Min(a, b), Math.Min(Math.Max(a, b), c));
            int i = low, j = high;
            while (i <= j)
            {
                while (values[i] < pivot) i++;
                while (values[j] > pivot) j--;
                if (i > j) break;
                (values[i], values[j]) = (values[j], values[i]);
                i++;
                j--;
            }
            if (place <= j) high = j;
            else if (place >= i) low = i;
            else return;
        }
    }
}
