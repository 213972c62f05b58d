using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>Steps of conditions: on the top one what nothing was shown to beat, on each lower one what something on the step above beats. A line joins only
/// what was shown to differ.</summary>
/// <remarks>A line that follows from two others is left out: whoever beats the one that beats a third beats the third.</remarks>
internal static class LadderFigure
{
    private const double Gap = 12;
    private const int WideRow = 4;
    private const int NarrowRow = 2;

    /// <summary>Draws it; null when fewer than two conditions are compared.</summary>
    public static Figure? Draw(TrialResults results, FigureWidth width)
    {
        var ladder = Ladder.Of(results);
        if (ladder.Steps.Count == 0) return null;
        var scope = results.Document.Scope;
        var lines = ladder.JoinsNeighbours(width == FigureWidth.Phone ? NarrowRow : WideRow);
        var sheet = new Sheet("ladder", "Who was shown to keep out more than whom",
            $"A-weighted {Words.Quantity(results.Document.Quantity).ToLowerInvariant()}, {Words.ScopeLong(scope)}. "
            + (lines ? "A line down: clearly better, over all pairs at once. No way down by lines: not shown to differ."
                : "Each step holds what something on the step above was shown to beat, over all pairs at once; the matrix tells each pair."), width);
        var boxes = ladder.Steps.SelectMany(s => s).Any(c => TextMetrics.Width(c.Name, 12.5, bold: true) > BoxWidth(sheet) - 10) ? 56 : 40;
        var places = Place(ladder, sheet, boxes, out var bottom);
        foreach (var (better, worse) in lines ? ladder.Lines : [])
            Line(sheet.Body, places[better], places[worse], boxes, $"{Words.ConditionName(results, better)} keeps out more than {Words.ConditionName(results, worse)}");
        foreach (var step in ladder.Steps)
            foreach (var condition in step)
            {
                var (x, y, w) = places[condition.Condition.Id];
                sheet.Body.Rect(x, y, w, boxes, "h-cell", condition.Name, radius: 3);
                var name = TextMetrics.Wrap(condition.Name, 12.5, w - 10, 2, bold: true);
                var first = y + (boxes / 2.0) - 3 - ((name.Count - 1) * 8);
                for (var i = 0; i < name.Count; i++) sheet.Body.Text(x + (w / 2), first + (i * 16), name[i], "h-head", "middle", condition.Name);
                sheet.Body.Text(x + (w / 2), first + ((name.Count - 1) * 16) + 15, Words.Decibels(condition.Loss.A!.In(scope)!.Value), "h-tick", "middle");
            }
        return sheet.Finish(bottom, "Steps come from what was shown, not from the estimates: two on one step may still differ, these data cannot tell.", string.Join(' ', ladder.Sentences));
    }

    private static double BoxWidth(Sheet sheet) => sheet.Narrow ? 166 : 190;

    private static Dictionary<string, (double X, double Y, double Width)> Place(Ladder ladder, Sheet sheet, double boxes, out double bottom)
    {
        var perRow = sheet.Narrow ? NarrowRow : WideRow;
        var places = new Dictionary<string, (double, double, double)>(StringComparer.Ordinal);
        var y = sheet.Top + 12;
        foreach (var step in ladder.Steps)
        {
            foreach (var row in step.Chunk(perRow))
            {
                var box = Math.Min(BoxWidth(sheet), (sheet.Width - ((row.Length - 1) * Gap)) / row.Length);
                var left = (sheet.Width - (row.Length * box) - ((row.Length - 1) * Gap)) / 2;
                for (var i = 0; i < row.Length; i++) places[row[i].Condition.Id] = (left + (i * (box + Gap)), y, box);
                y += boxes + Gap;
            }
            y += 26;
        }
        bottom = y - 30;
        return places;
    }

    private static void Line(Svg svg, (double X, double Y, double Width) from, (double X, double Y, double Width) to, double boxes, string title)
    {
        double x1 = from.X + (from.Width / 2), y1 = from.Y + boxes, x2 = to.X + (to.Width / 2), y2 = to.Y - 2;
        // Spread over the middle of a box, so that lines from several boxes do not end in one point.
        x1 += Math.Clamp((x2 - x1) * 0.12, -from.Width * 0.3, from.Width * 0.3);
        x2 += Math.Clamp((x1 - x2) * 0.12, -to.Width * 0.3, to.Width * 0.3);
        double dx = x2 - x1, dy = y2 - y1, length = Math.Sqrt((dx * dx) + (dy * dy));
        double ux = dx / length, uy = dy / length;
        svg.Path($"M{Svg.N(x1)} {Svg.N(y1)}L{Svg.N(x2)} {Svg.N(y2)}M{Svg.N(x2 - (ux * 7) - (uy * 4))} {Svg.N(y2 - (uy * 7) + (ux * 4))}L{Svg.N(x2)} {Svg.N(y2)}L{Svg.N(x2 - (ux * 7) + (uy * 4))} {Svg.N(y2 - (uy * 7) - (ux * 4))}",
            "h-zero", title);
    }
}
