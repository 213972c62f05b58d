using System.Globalization;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>Every pair of conditions with a sign and a word: which differ, which are equivalent, which cannot be told apart.</summary>
/// <remarks>Letters shared between conditions are avoided on purpose: a shared letter is read as 'equal' though it means 'not resolved'.</remarks>
internal static class PairMatrixFigure
{
    /// <summary>Draws both scopes side by side; null when there is no pair.</summary>
    public static Figure? Draw(TrialResults results, FigureWidth width)
    {
        if (results.Pairs.Count == 0) return null;
        var inPairs = results.Pairs.SelectMany(p => new[] { p.First, p.Second }).ToHashSet(StringComparer.Ordinal);
        var order = Ranking.ByLoss(results).Where(c => inPairs.Contains(c.Condition.Id)).ToList();
        if (order.Count < 2) return null;
        var margin = results.Document.Margin;
        var sheet = new Sheet("pairs", "Which differ, which cannot be told apart",
            $"Difference of the A-weighted {Words.Quantity(results.Document.Quantity).ToLowerInvariant()} of two conditions, dB; simultaneous 95\u00A0% intervals over all pairs, "
            + $"margin for equivalence {Words.Decibels(margin.Decibels)}.", width);
        var stacked = sheet.Narrow || order.Count > 7;
        var half = stacked ? sheet.Width : (sheet.Width - 36) / 2;
        double y = sheet.Top + 8, bottom = y;
        EstimateScope[] scopes = results.Document.Scope == EstimateScope.General ? [EstimateScope.General, EstimateScope.AsWorn] : [EstimateScope.AsWorn, EstimateScope.General];
        for (var i = 0; i < scopes.Length; i++)
        {
            var left = stacked ? 0 : i * (half + 36);
            var end = Matrix(sheet.Body, results, order, scopes[i], left, stacked ? bottom : y, half);
            bottom = stacked ? end + 14 : Math.Max(bottom, end);
        }
        var legendY = Key(results).Draw(sheet.Body, 0, bottom + 24, sheet.Width);
        return sheet.Finish(legendY, $"Conditions are numbered by their {Words.QuantityLower(results.Document.Quantity)}, largest first. A number in a cell says by how many dB that of the condition with the lower number is larger.",
            string.Join(' ', results.Pairs.Select(p => p.In(results.Document.Scope)?.Sentence
                ?? $"{Words.ConditionName(results, p.First)} and {Words.ConditionName(results, p.Second)}: cannot be said.")));
    }

    private static double Matrix(Svg svg, TrialResults results, List<ConditionResult> order, EstimateScope scope, double left, double top, double width)
    {
        svg.Text(left, top + 12, scope == EstimateScope.General ? "In general, over donnings and runs" : "As worn, in these donnings", "h-head");
        var labelRoom = Math.Min(width * 0.42, order.Max(c => TextMetrics.Width(c.Name, 12)) + 28);
        var columns = order.Count - 1;
        var cell = Math.Min(64, (width - labelRoom) / columns);
        var height = Math.Clamp(cell, 26, order.Count > 7 ? 35 : 42);
        var y = top + 24;
        // Column heads carry the numbers of the rows; the names stand once, at the left.
        for (var c = 0; c < columns; c++)
            svg.Text(left + labelRoom + ((c + 0.5) * cell), y + 12, (c + 1).ToString(CultureInfo.InvariantCulture), "h-tick h-strong", "middle", order[c].Name);
        y += 20;
        for (var r = 0; r < order.Count; r++)
        {
            var name = $"{(r + 1).ToString(CultureInfo.InvariantCulture)}  {order[r].Name}";
            var lines = TextMetrics.Width(name, 12) <= labelRoom - 12 ? [name] : TextMetrics.Wrap(name, 11, labelRoom - 12, 2);
            for (var i = 0; i < lines.Count; i++)
                svg.Text(left, y + (height / 2) + 2 + (i * 12) - ((lines.Count - 1) * 6), lines[i], lines.Count == 1 ? "h-lab" : "h-small", title: order[r].Name);
            for (var c = 0; c < Math.Min(r, columns); c++)
                Cell(svg, results, order[c], order[r], scope, left + labelRoom + (c * cell), y, cell - 3, height - 3);
            y += height;
        }
        return y;
    }

    private static void Cell(Svg svg, TrialResults results, ConditionResult better, ConditionResult other, EstimateScope scope, double x, double y, double width, double height)
    {
        var pair = results.Pairs.FirstOrDefault(p => (p.First == better.Condition.Id && p.Second == other.Condition.Id) || (p.First == other.Condition.Id && p.Second == better.Condition.Id));
        if (pair is null) return;
        var verdict = pair.In(scope);
        var both = $"{better.Name} and {other.Name}";
        if (verdict is null)
        {
            svg.Rect(x, y, width, height, "h-cell", $"{both}, {Words.Scope(scope)}: cannot be said", radius: 2).Text(x + (width / 2), y + (height / 2) + 4, "–", "h-sub", "middle");
            return;
        }
        var (css, sign, _) = Look(verdict.Verdict);
        var value = pair.First == better.Condition.Id ? verdict.Difference.Value : -verdict.Difference.Value;
        svg.Rect(x, y, width, height, css, $"{both}, {Words.Scope(scope)}: {verdict.Sentence}", radius: 2);
        var middle = x + (width / 2);
        if (height >= 30 && width >= 30)
        {
            svg.Text(middle, y + (height / 2) - 1, sign, "h-sign", "middle");
            svg.Text(middle, y + height - 5, Words.Signed(value), "h-word", "middle");
        }
        else svg.Text(middle, y + (height / 2) + 5, sign, "h-sign", "middle");
    }

    private static (string Css, string Sign, string Words) Look(VerdictKind verdict) => verdict switch
    {
        VerdictKind.Different => ("h-cell-d", "≠", "different"),
        VerdictKind.DifferentWithinMargin => ("h-cell-w", "≠", "different, by less than the margin"),
        VerdictKind.Equivalent => ("h-cell-e", "=", "equivalent within the margin"),
        _ => ("h-cell-u", "?", "not resolved"),
    };

    private static Legend Key(TrialResults results)
    {
        var legend = new Legend();
        foreach (var kind in Enum.GetValues<VerdictKind>())
        {
            var (css, sign, words) = Look(kind);
            legend.Add(24, words, (svg, x, y) => svg.Rect(x, y - 9, 22, 18, css, radius: 2).Text(x + 11, y + 5, sign, "h-sign", "middle"));
        }
        if (results.Pairs.Any(p => p.AsWorn is null || p.General is null))
            legend.Add(24, "cannot be said", (svg, x, y) => svg.Rect(x, y - 9, 22, 18, "h-cell", radius: 2).Text(x + 11, y + 4, "–", "h-sub", "middle"));
        return legend;
    }
}
