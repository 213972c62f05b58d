using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>Which bands of a pair can be told apart, in words: only what the simultaneous intervals allow is said of several bands.</summary>
internal static class BandRanges
{
    /// <summary>One plain sentence about the bands of a pair; null without a trusted band.</summary>
    /// <param name="first">Name of the first condition for readers.</param>
    /// <param name="second">Name of the second.</param>
    /// <param name="bands">Its bands.</param>
    /// <param name="scope">The scope.</param>
    /// <param name="quantity">The quantity.</param>
    public static string? Sentence(string first, string second, IReadOnlyList<BandDifference> bands, EstimateScope scope, MeasuredQuantity quantity = MeasuredQuantity.InsertionLoss)
    {
        var trusted = bands.Where(b => b.Valid && b.In(scope) is not null).Select(b => (b.Band, Contrast: b.In(scope)!)).ToList();
        if (trusted.Count == 0) return null;
        List<Band> more = [.. trusted.Where(b => b.Contrast.SimultaneousLow > 0).Select(b => b.Band)], less = [.. trusted.Where(b => b.Contrast.SimultaneousHigh < 0).Select(b => b.Band)];
        return (more.Count, less.Count) switch
        {
            (0, 0) => $"Band by band, {first} and {second} can be told apart nowhere.",
            (_, 0) => $"{first} {QuantityWords.MoreInBands(quantity)} {second} {Of(more)}, and less at no band that can be told.",
            (0, _) => $"{second} {QuantityWords.MoreInBands(quantity)} {first} {Of(less)}, and less at no band that can be told.",
            _ => $"{first} {QuantityWords.MoreInBands(quantity)} {second} {Of(more)}, and less {Of(less)}.",
        };
    }

    /// <summary>'from 25 Hz to 315 Hz and at 2 kHz'.</summary>
    public static string Of(IReadOnlyList<Band> bands)
    {
        var parts = new List<string>();
        var start = 0;
        for (var i = 1; i <= bands.Count; i++)
        {
            if (i < bands.Count && bands[i].Index == bands[i - 1].Index + 1 && bands[i].Fraction == bands[i - 1].Fraction) continue;
            parts.Add(i - start == 1 ? $"at {bands[start]}" : $"from {bands[start]} to {bands[i - 1]}");
            start = i;
        }
        return parts.Count == 1 ? parts[0] : string.Join(", ", parts.Take(parts.Count - 1)) + " and " + parts[^1];
    }
}
