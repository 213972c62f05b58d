namespace Hushtrial.Trials.Finding;

/// <summary>The level of the open ear over a recording: what the spans that reach the highest levels from 2 kHz on say.</summary>
internal sealed class OpenReference
{
    /// <summary>Least distance between open and covered ear from 2 kHz on, dB. Every cup, plug or cushion reduces more there (common practice, no source).</summary>
    public const double LeastContrast = 8;

    private const double Alike = 6;
    private readonly List<(double Time, double[] Core, SteadySpan Span)> _open;
    private readonly double[]? _elsewhere;

    private OpenReference(List<(double, double[], SteadySpan)> open, double[]? elsewhere) => (_open, _elsewhere) = (open, elsewhere);

    /// <summary>Whether the recording itself holds open-ear spans.</summary>
    public bool IsHere => _open.Count > 0;

    /// <summary>Whether there is a reference at all.</summary>
    public bool Exists => _open.Count > 0 || _elsewhere is not null;

    /// <summary>Whether a span is one of those that make the reference.</summary>
    public bool Holds(SteadySpan span) => _open.Any(o => ReferenceEquals(o.Span, span));

    /// <summary>The references of all recordings.</summary>
    /// <param name="spans">By recording: spans that may be takes.</param>
    public static IReadOnlyList<OpenReference> Of(IReadOnlyList<IReadOnlyList<SteadySpan>> spans)
    {
        var all = spans.SelectMany(s => s).ToList();
        if (Split(all) is not { } split) return [.. spans.Select(_ => new OpenReference([], null))];
        var upper = all.Where(s => s.HighLevel > split).ToList();
        var level = WeightedMedian([.. upper.Select(s => (s.HighLevel, (double)(s.EndStep - s.FirstStep)))]);
        var open = upper.Where(s => Math.Abs(s.HighLevel - level) <= Alike).ToList();
        var elsewhere = Enumerable.Range(0, open[0].Core.Length).Select(g => BandGroups.Median([.. open.Select(s => s.Core[g])])).ToArray();
        return [.. spans.Select(own => new OpenReference([.. own.Where(open.Contains).Select(s => (0.5 * (s.FirstStep + s.EndStep), s.Core, s))], elsewhere))];
    }

    /// <summary>The open level by group at the middle of a span, dB, from the open spans beside it and not from itself.</summary>
    public double[] At(SteadySpan span)
    {
        var time = 0.5 * (span.FirstStep + span.EndStep);
        var before = _open.LastOrDefault(o => o.Time < time && !ReferenceEquals(o.Span, span));
        var after = _open.FirstOrDefault(o => o.Time > time && !ReferenceEquals(o.Span, span));
        if (before.Core is null) return after.Core ?? _elsewhere ?? span.Core;
        if (after.Core is null) return before.Core;
        var share = (time - before.Time) / (after.Time - before.Time);
        return [.. before.Core.Zip(after.Core, (a, b) => a + (share * (b - a)))];
    }

    /// <summary>Mean open level of the groups from 2 kHz on, dB; null without a reference.</summary>
    public double? HighLevel => _open.Count > 0 ? _open.Average(o => o.Span.HighLevel) : _elsewhere is { } e ? BandGroups.High.Average(g => e[g]) : null;

    // The cut of least variance within the two sides (Otsu 1979), by time; null when the sides are not far enough apart.
    private static double? Split(List<SteadySpan> spans)
    {
        var sorted = spans.Select(s => (Level: s.HighLevel, Weight: (double)(s.EndStep - s.FirstStep))).OrderBy(s => s.Level).ToList();
        var (total, sum) = (sorted.Sum(s => s.Weight), sorted.Sum(s => s.Weight * s.Level));
        var (best, cut, below, belowSum) = (0.0, (double?)null, 0.0, 0.0);
        for (var i = 0; i + 1 < sorted.Count; i++)
        {
            below += sorted[i].Weight;
            belowSum += sorted[i].Weight * sorted[i].Level;
            var (low, high) = (belowSum / below, (sum - belowSum) / (total - below));
            var between = below * (total - below) * (high - low) * (high - low);
            if (between > best && high - low >= LeastContrast) (best, cut) = (between, 0.5 * (sorted[i].Level + sorted[i + 1].Level));
        }
        return cut;
    }

    private static double WeightedMedian(List<(double Value, double Weight)> values)
    {
        values.Sort((a, b) => a.Value.CompareTo(b.Value));
        var half = 0.5 * values.Sum(v => v.Weight);
        foreach (var (value, weight) in values)
            if ((half -= weight) <= 0) return value;
        return values[^1].Value;
    }
}
