using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>What was said of comfort by the clock, on a lane of its own below the takes of a run: words at their moments, without a scale.</summary>
internal static class ComfortLane
{
    private const double Height = 21;

    /// <summary>The words of a run that have a clock inside the picture, in the order of time.</summary>
    public static IReadOnlyList<ComfortEntry> Of(TrialResults results, string run, double from, double to) =>
        [.. results.Document.Comfort.Where(c => c.Run == run && !c.EndOfDay && c.Clock >= from && c.Clock <= to).OrderBy(c => c.Clock)];

    /// <summary>Draws the lane; nothing where nothing was said.</summary>
    /// <param name="svg">Where.</param>
    /// <param name="results">The trial.</param>
    /// <param name="said">The words.</param>
    /// <param name="y">Top of the lane.</param>
    /// <param name="left">Left end.</param>
    /// <param name="right">Right end.</param>
    /// <param name="x">Place of a clock.</param>
    /// <returns>The bottom.</returns>
    public static double Draw(Svg svg, TrialResults results, IReadOnlyList<ComfortEntry> said, double y, double left, double right, Func<double, double> x)
    {
        if (said.Count == 0) return y;
        const string Name = "comfort, as said";
        svg.Group(Name).Text(0, y + 13, TextMetrics.Fit(Name, 12, left - 8), "h-lab", title: Name).Line(left, y + 9, right, y + 9, "h-axis");
        for (var i = 0; i < said.Count; i++)
        {
            var (at, words) = (x(said[i].Clock!.Value), Words(results, said[i]));
            svg.Rect(at - 5, y + 3, 10, 12, "h-paper").Path(SeriesStyle.MarkPath(Mark.Diamond, at, y + 9, 4), "h-ln h-ink", Told(results, said[i]));
            var next = i + 1 < said.Count ? x(said[i + 1].Clock!.Value) - 8 : right;
            Beside(svg, words, at, i > 0 ? x(said[i - 1].Clock!.Value) + 8 : left, next, y + 13);
        }
        svg.End();
        return y + Height;
    }

    /// <summary>When it was said, and what.</summary>
    public static string Told(TrialResults results, ComfortEntry entry) => $"Comfort at {Wording.Words.Clock(entry.Clock!.Value)}, as said: {Words(results, entry)}";

    /// <summary>What was said, in one line.</summary>
    public static string Words(TrialResults results, ComfortEntry entry)
    {
        var name = Wording.Words.ConditionName(results, entry.Condition);
        return (entry.Discomfort, entry.HotSpot) switch
        {
            ({ } much, null) => $"{name}: discomfort {Scale(much)} of 10",
            ({ } much, { } spot) => $"{name}: discomfort {Scale(much)} of 10, it presses: {spot}",
            (null, { } spot) => $"{name}: it presses: {spot}",
            _ => $"{name}: see the comfort log",
        };
    }

    private static string Scale(double value) => Wording.Words.Number(value, Math.Abs(value - Math.Round(value)) < 0.05 ? 0 : 1);

    // To the right where there is room, else to the left; the whole words are in the title and in the table.
    private static void Beside(Svg svg, string words, double at, double before, double next, double y)
    {
        double after = next - at - 12, ahead = at - before - 12;
        var toTheRight = after >= Math.Min(ahead, TextMetrics.Width(words, 11));
        var fitted = TextMetrics.Fit(words, 11, Math.Max(0, toTheRight ? after : ahead));
        if (fitted.Length < 6) return;
        var width = TextMetrics.Width(fitted, 11);
        svg.Rect(toTheRight ? at + 6 : at - width - 10, y - 11, width + 4, 14, "h-paper").Text(toTheRight ? at + 8 : at - 8, y, fitted, "h-small", toTheRight ? "start" : "end", words);
    }
}
