namespace Hushtrial.Trials.Document;

/// <summary>The entry of a level log as text for the trial document.</summary>
public static class LogSection
{
    /// <summary>The section 'logs' with one entry, to be pasted into a trial document.</summary>
    /// <param name="entry">The log.</param>
    public static string Text(LogEntry entry)
    {
        ArgumentNullException.ThrowIfNull(entry);
        return YamlText.Document(new YamlMap().Add("logs", [Entry(entry, null)], oneLine: false));
    }

    /// <summary>The entry as fields of a draft, in the order of the document.</summary>
    /// <param name="entry">The log.</param>
    public static IReadOnlyList<KeyValuePair<string, string>> Fields(LogEntry entry)
    {
        ArgumentNullException.ThrowIfNull(entry);
        var draft = TrialDraft.FromText(Text(entry), "").Draft ?? throw new ArgumentException($"The log '{entry.Id}' gives no document.", nameof(entry));
        return draft.Fields("logs[#0]");
    }

    internal static YamlMap Entry(LogEntry l, YamlFlow? starts)
    {
        var y = l.Layout;
        return new YamlMap()
            .Add("id", l.Id).Add("file", l.File).Add("sha256", l.Sha256).Add("where", l.Outside ? "outside" : "ear").Add("ear", l.Ear).Add("run", l.Run).Add("starts", starts)
            .Add("clock_offset_s", l.ClockOffset != 0 ? l.ClockOffset : null)
            .Add("clock_drift_ppm", l.ClockDrift != 0 ? l.ClockDrift : null)
            .Add("encoding", LogWords.Of(LogWords.Encodings, y.Encoding)).Add("delimiter", LogWords.Of(LogWords.Delimiters, y.Delimiter)).Add("decimal", LogWords.Of(LogWords.Decimals, y.Decimal))
            .Add("thousands", y.Thousands is { } mark ? LogWords.Of(LogWords.Thousands, mark) : null)
            .Add("header_line", y.HeaderLine).Add("first_line", y.FirstLine).Add("last_line", y.LastLine)
            .Add("date_order", y.DateOrder is { } order ? LogWords.Of(LogWords.DateOrders, order) : null).Add("stamp", y.Stamp is { } stamp ? LogWords.Of(LogWords.Stamps, stamp) : null)
            .Add("interval_s", y.IntervalSeconds).Add("run_zone", y.RunZoneMinutes is { } zone ? LogWords.Zone(zone) : null)
            .Add("clock_change", y.ClockChange is { } change ? LogWords.Of(LogWords.ClockChanges, change) : null).Add("half_of_day", y.HalfOfDay is { } half ? LogWords.Of(LogWords.HalvesOfDay, half) : null)
            .Add("columns", Columns(y))
            .Add("uncertainty_db", l.Uncertainty).Add("most_lost_percent", l.MostLostPercent != LogEntry.UsualMostLostPercent ? l.MostLostPercent : null)
            .AddDetails(l.Details ?? [], DocumentShape.Logs);
    }

    private static YamlMap Columns(LogLayout layout)
    {
        var columns = new YamlMap();
        foreach (var (number, role) in layout.Columns.OrderBy(c => c.Key)) columns.Add(FormattableString.Invariant($"{number}"), role.ToString());
        return columns;
    }
}
