using Hushtrial.Statistics.Segmentation;

namespace Hushtrial.Trials.Finding;

/// <summary>Cuts a trace where its group levels change, moves the cuts to the step, and leaves off what is not steady.</summary>
internal static class SteadySpans
{
    // Blocks follow each other while the noise wanders over some 2 s and its groups move together: four independent values in ten,
    // and about a quarter of the groups. A change has to pay for both.
    private const double PenaltyPerChange = 30;
    private const int ShortestBlocks = 4;
    private const double RefineSeconds = 2;
    private const double EdgeSeconds = 0.5;
    private const double SlowEdgeSeconds = 3;
    private const double SharpStep = 7;

    /// <summary>The spans, without holes.</summary>
    public static IReadOnlyList<SteadySpan> Of(BandGroups groups)
    {
        var blocks = groups.Blocks[0].Length;
        if (blocks == 0) return [];
        var penalty = PenaltyPerChange * Math.Log(Math.Max(blocks, 10));
        var changes = MeanShifts.Find(groups.Blocks, [.. groups.Scatter.Select(s => 1 / (s * s))], penalty, ShortestBlocks);
        List<int> cuts = [0, .. changes.Select(c => c * groups.BlockSteps), groups.Trace.Count];
        Refine(groups, cuts);
        var spans = new List<SteadySpan>();
        for (var i = 0; i + 1 < cuts.Count; i++)
            if (cuts[i + 1] > cuts[i])
                spans.Add(Measure(groups, cuts[i], cuts[i + 1], Guard(groups, cuts, i - 1), Guard(groups, cuts, i)));
        return spans;
    }

    // Time left off beside the cut between stretch i and the next: a device comes or goes within a second; a vehicle changes its state slowly,
    // and how far that reaches cannot be heard. A recording's beginning and end are no cuts.
    private static double Guard(BandGroups groups, List<int> cuts, int i)
    {
        if (i < 0 || i + 2 >= cuts.Count) return 0;
        var (before, after) = (groups.Medians(cuts[i], cuts[i + 1]), groups.Medians(cuts[i + 1], cuts[i + 2]));
        return before.Zip(after, (a, b) => Math.Abs(a - b)).Max() >= SharpStep ? EdgeSeconds : SlowEdgeSeconds;
    }

    // The best single change between the two neighbours' levels within 2 s, in steps: each step votes for the level it lies nearer to.
    private static void Refine(BandGroups groups, List<int> cuts)
    {
        var reach = (int)Math.Round(RefineSeconds / groups.Trace.StepSeconds);
        for (var i = 1; i + 1 < cuts.Count; i++)
        {
            var before = groups.Medians(cuts[i - 1], cuts[i]);
            var after = groups.Medians(cuts[i], cuts[i + 1]);
            var (from, to) = (Math.Max(cuts[i - 1] + 1, cuts[i] - reach), Math.Min(cuts[i + 1] - 1, cuts[i] + reach));
            if (to <= from) continue;
            var (sum, best, at) = (0.0, double.PositiveInfinity, cuts[i]);
            for (var t = from; t < to; t++)
            {
                if (sum < best) (best, at) = (sum, t);
                sum += Vote(groups, t, before, after);
            }
            if (sum < best) at = to;
            cuts[i] = at;
        }
    }

    // Below 0: nearer to the level before. Distances are capped, so that a knock does not outvote the rest.
    private static double Vote(BandGroups groups, int step, double[] before, double[] after)
    {
        var sum = 0.0;
        for (var g = 0; g < before.Length; g++)
        {
            var scale = 2 * groups.Scatter[g];
            var (a, b) = ((groups.Levels[g][step] - before[g]) / scale, (groups.Levels[g][step] - after[g]) / scale);
            sum += Math.Min(a * a, 9) - Math.Min(b * b, 9);
        }
        return sum;
    }

    private static SteadySpan Measure(BandGroups groups, int first, int end, double guardBefore, double guardBehind)
    {
        var core = groups.Medians(first, end);
        var step = groups.Trace.StepSeconds;
        var (from, to) = AtRest(groups, first, end, core);
        from += (int)Math.Round(guardBefore / step);
        to -= (int)Math.Round(guardBehind / step);
        var loud = Transients(groups, from, to, core);
        var parts = Clean(from, to, loud);
        var (range, trend) = Steadiness(groups, parts);
        return new(first, end, core, parts, range, trend, loud.Count);
    }

    // From the first to the last second whose mean of every group but one lies near the level inside.
    private static (int From, int To) AtRest(BandGroups groups, int first, int end, double[] core)
    {
        var width = Math.Max(1, (int)Math.Round(1 / groups.Trace.StepSeconds));
        var (from, to) = (first, end);
        while (from + width < end && !Near(from)) from++;
        while (to - width > from && !Near(to - width)) to--;
        return (from, to);

        bool Near(int start)
        {
            var away = 0;
            for (var g = 0; g < core.Length; g++)
            {
                var sum = 0.0;
                for (var t = start; t < start + width; t++) sum += groups.Levels[g][t];
                if (Math.Abs((sum / width) - core[g]) > Math.Max(1.5, 2.5 * groups.Scatter[g])) away++;
            }
            return away <= 1;
        }
    }

    // Steps at which at least two groups stand out for a quarter of a second, widened by a quarter of a second.
    private static List<(int First, int End)> Transients(BandGroups groups, int from, int to, double[] core)
    {
        var step = groups.Trace.StepSeconds;
        var width = Math.Max(1, (int)Math.Round(0.25 / step));
        var limits = new double[core.Length];
        for (var g = 0; g < core.Length; g++)
        {
            if (to <= from) continue;
            var away = new double[to - from];
            for (var t = from; t < to; t++) away[t - from] = Math.Abs(groups.Levels[g][t] - core[g]);
            limits[g] = Math.Max(4, 4 * 1.4826 * BandGroups.Median(away));
        }
        var found = new List<(int First, int End)>();
        for (var t = from; t + width <= to; t++)
        {
            var standing = 0;
            for (var g = 0; g < core.Length; g++)
            {
                var mean = 0.0;
                for (var k = t; k < t + width; k++) mean += groups.Levels[g][k];
                if (Math.Abs((mean / width) - core[g]) > limits[g]) standing++;
            }
            if (standing < 2) continue;
            var (a, b) = (Math.Max(from, t - width), Math.Min(to, t + (2 * width)));
            // Two sounds with less than 2 s between them are one.
            if (found.Count > 0 && a - found[^1].End < 2 / step) found[^1] = (found[^1].First, b);
            else found.Add((a, b));
        }
        return found;
    }

    private static List<(int First, int End)> Clean(int from, int to, List<(int First, int End)> loud)
    {
        var parts = new List<(int First, int End)>();
        var at = from;
        foreach (var (first, end) in loud)
        {
            if (first > at) parts.Add((at, first));
            at = end;
        }
        if (to > at) parts.Add((at, to));
        return parts;
    }

    private static (double Range, double Trend) Steadiness(BandGroups groups, List<(int First, int End)> parts)
    {
        var width = groups.BlockSteps;
        var (range, trend) = (0.0, 0.0);
        var halves = new List<double>();
        for (var g = 1; g < groups.Levels.Length; g++)          // from 125 Hz: the lowest group's own statistics are as wide as the limit
        {
            halves.Clear();
            foreach (var (first, end) in parts)
                for (var t = first; t + width <= end; t += width) halves.Add(groups.Levels[g].AsSpan(t, width).ToArray().Average());
            if (halves.Count < 6) continue;
            var third = halves.Count / 3;
            trend = Math.Max(trend, Math.Abs(halves.Take(third).Average() - halves.TakeLast(third).Average()));
            halves.Sort();
            range = Math.Max(range, halves[(int)(0.95 * (halves.Count - 1))] - halves[(int)(0.05 * (halves.Count - 1))]);
        }
        return (range, trend);
    }
}
