using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>The comfort log: what wearers said, in the order of time, and by condition. Beside the results, never in them.</summary>
public static class ComfortTables
{
    private const string NeverMerged = "Shown beside the decibels and never merged into them: no score is made of it, and no verdict depends on it.";

    /// <summary>Each condition with what its last words were; null without any.</summary>
    public static ReportTable? ByCondition(TrialResults results)
    {
        ArgumentNullException.ThrowIfNull(results);
        var said = results.Document.Comfort.GroupBy(c => (c.Condition, c.Wearer)).ToList();
        if (said.Count == 0) return null;
        var conditions = results.Document.Conditions.Select(c => c.Id).ToList();
        return new ReportTable("table-comfort-conditions", "Comfort by condition, as said",
            [new("Condition"), new("Wearer"), new("Mass", "g", true), new("Clamp force", "N", true), new("Times asked", Numeric: true), new("Discomfort at most", "0 to 10", true), new("At the end of the day", "0 to 10", true), new("First hot spot after", "min", true), new("Where it pressed", Wide: true)],
            [.. said.OrderBy(g => conditions.IndexOf(g.Key.Condition)).ThenBy(g => g.Key.Wearer, StringComparer.Ordinal).Select(g =>
            {
                var device = results.Document.Devices.FirstOrDefault(d => d.Id == results.Document.Conditions.FirstOrDefault(c => c.Id == g.Key.Condition)?.Device);
                return new Row([Words.ConditionName(results, g.Key.Condition), Text(g.Key.Wearer), device?.MassGrams is { } m ? Words.Number(m, 0) : Cell.Nothing, Cell.Of(device?.ClampNewton), Words.Number(g.Count(), 0),
                    Number(g.Max(c => c.Discomfort)), Number(g.LastOrDefault(c => c.EndOfDay)?.Discomfort), Number(g.Min(c => c.HotSpotMinutes)),
                    Text(string.Join("; ", g.Select(c => c.HotSpot).OfType<string>().Distinct(StringComparer.Ordinal)))]);
            })],
            ["Discomfort: 0 for nothing noticed to 10 for could not be borne, as the wearer said it.", NeverMerged]).WithoutEmptyColumns();
    }

    /// <summary>Every entry on the time line of the runs; null without any.</summary>
    public static ReportTable? Log(TrialResults results)
    {
        ArgumentNullException.ThrowIfNull(results);
        var document = results.Document;
        if (document.Comfort.Count == 0) return null;
        var runs = document.Runs.Select(r => r.Id).ToList();
        // A word without a clock stands behind those with one; the end of the day stands last.
        var inOrder = document.Comfort.Index().OrderBy(c => c.Item.EndOfDay).ThenBy(c => c.Item.Run is { } run ? runs.IndexOf(run) : int.MaxValue).ThenBy(c => c.Item.Clock ?? double.MaxValue).ThenBy(c => c.Index).Select(c => c.Item);
        return new ReportTable("table-comfort-log", "Comfort log, in the order of time",
            [new("Condition"), new("Run"), new("Clock"), new("Worn for", "min", true), new("Fit"), new("Wearer"), new("Discomfort", "0 to 10", true), new("Hot spot", Wide: true), new("Noticed after", "min", true), new("Spectacles"), new("Remarks", Wide: true)],
            [.. inOrder.Select(c => new Row([Words.ConditionName(results, c.Condition), c.Run is { } run ? Words.RunName(results, run) : Cell.Nothing, Clock(c, document), Number(c.WornMinutes), Text(c.Fit), Text(c.Wearer), Number(c.Discomfort),
                Text(c.HotSpot), Number(c.HotSpotMinutes), c.Glasses switch { true => "yes", false => "no", null => Cell.Nothing }, Text(c.Remarks)]))],
            [NeverMerged]).WithoutEmptyColumns();
    }

    private static Cell Clock(ComfortEntry entry, TrialDocument document) => entry.EndOfDay ? "end of the day" : entry.Clock is not { } clock ? Cell.Nothing
        : Words.Clock((clock + (document.Runs.FirstOrDefault(r => r.Id == entry.Run)?.StartOfDay ?? 0)) % (24 * 3600));

    private static Cell Number(double? value) => value is not { } v ? Cell.Nothing : Words.Number(v, Math.Abs(v - Math.Round(v)) < 0.05 ? 0 : 1);

    private static Cell Text(string? text) => string.IsNullOrEmpty(text) ? Cell.Nothing : new(text);
}
