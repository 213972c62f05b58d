using System.Globalization;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;

namespace Hushtrial.Cli.Commands;

/// <summary>What is said of a level log, as text and as JSON.</summary>
internal sealed class LogAnswer(string file, LogProposal proposal, string? section, string? into)
{
    public void WriteJson(Utf8JsonWriter w)
    {
        w.WriteString("log", file);
        w.WriteBoolean("complete", proposal.IsComplete);
        if (proposal.Layout is { } layout) WriteLayout(w, layout);
        w.WriteStartArray("columns");
        foreach (var column in proposal.Columns)
        {
            w.WriteStartObject();
            w.WriteNumber("number", column.Number);
            w.WriteString("header", column.Header);
            w.WriteString("role", column.Role.ToString());
            w.WriteStartArray("evidence");
            foreach (var why in column.Evidence) w.WriteStringValue(why);
            w.WriteEndArray();
            w.WriteEndObject();
        }
        w.WriteEndArray();
        if (proposal.Levels is { } levels) WriteLevels(w, levels);
        w.WriteString("section", section);
    }

    public void WriteText(TextWriter t)
    {
        if (proposal.Layout is not { } layout) return;
        t.WriteLine(proposal.Levels is { } all ? string.Create(CultureInfo.InvariantCulture, $"{file}: {all.Rows} rows, {proposal.From} to {proposal.To}") : $"{file}: no rows could be read");
        foreach (var (setting, why) in proposal.Evidence) t.WriteLine($"  {setting,-12} {Setting(layout, setting),-16} {why}");
        t.WriteLine();
        var means = proposal.Levels?.Columns.GroupBy(c => c.Role).ToDictionary(g => g.Key, g => g.First()) ?? [];
        t.WriteLine("  column  role                     energy mean  evidence");
        ColumnProposal? previous = null;
        foreach (var column in proposal.Columns)
        {
            // The mean of a column that has none is not shown: nobody can use it by mistake.
            var mean = column.Role.CanBeAveraged && means.TryGetValue(column.Role, out var m) && m.Level is { } level ? string.Create(CultureInfo.InvariantCulture, $"{level:0.0} dB") : column.Role.Kind == ColumnKind.Level ? "no mean" : "";
            t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {column.Number,6}  {column.Role,-24} {mean,11}  {string.Join("; ", Evidence(column, previous))}"));
            previous = column;
        }
        t.WriteLine();
        if (section is null) t.WriteLine("The questions below need an answer, given as an option of this command; then the entry for the trial document is printed here.");
        else if (into is not null) t.WriteLine($"The entry for the trial document '{into}':\n\n{section}");
        else t.WriteLine($"Look at the roles. If they are right, this goes into the trial document (or run again with --into TRIAL):\n\n{section}");
    }

    /// <summary>The evidence of a column; what it shares with the column in front is not said again.</summary>
    private static IEnumerable<string> Evidence(ColumnProposal column, ColumnProposal? previous) => previous is not null && column.Evidence.Count > 1 && column.Evidence.Skip(1).SequenceEqual(previous.Evidence.Skip(1))
        ? [column.Evidence[0], "else as the column in front"] : column.Evidence;

    private static string Setting(LogLayout layout, string name) => name switch
    {
        "encoding" => LogWords.Of(LogWords.Encodings, layout.Encoding),
        "delimiter" => LogWords.Of(LogWords.Delimiters, layout.Delimiter),
        "decimal" => LogWords.Of(LogWords.Decimals, layout.Decimal),
        "date_order" => layout.DateOrder is { } order ? LogWords.Of(LogWords.DateOrders, order) : "",
        "stamp" => layout.Stamp is { } stamp ? LogWords.Of(LogWords.Stamps, stamp) : "",
        "interval_s" => layout.IntervalSeconds?.ToString("0.######", CultureInfo.InvariantCulture) ?? "",
        _ => "",
    };

    private void WriteLayout(Utf8JsonWriter w, LogLayout layout)
    {
        w.WriteStartObject("layout");
        foreach (var name in new[] { "encoding", "delimiter", "decimal", "date_order", "stamp" })
            if (Setting(layout, name) is { Length: > 0 } word) w.WriteString(name, word);
            else w.WriteNull(name);
        if (layout.IntervalSeconds is { } seconds) w.WriteNumber("interval_s", Math.Round(seconds, 6));
        else w.WriteNull("interval_s");
        if (layout.HeaderLine is { } header) w.WriteNumber("header_line", header);
        else w.WriteNull("header_line");
        w.WriteNumber("first_line", layout.FirstLine);
        w.WriteStartObject("evidence");
        foreach (var (setting, why) in proposal.Evidence) w.WriteString(setting, why);
        w.WriteEndObject();
        w.WriteEndObject();
    }

    private void WriteLevels(Utf8JsonWriter w, LogSpanLevels levels)
    {
        w.WriteNumber("rows", levels.Rows);
        w.WriteString("from", proposal.From);
        w.WriteString("to", proposal.To);
        w.WriteNumber("seconds", Math.Round(levels.Seconds, 6));
        w.WriteNumber("missing_seconds", Math.Round(levels.MissingSeconds, 6));
        w.WriteStartArray("levels");
        foreach (var column in levels.Columns)
        {
            w.WriteStartObject();
            w.WriteString("role", column.Role.ToString());
            if (column.Role.Band is { } band) w.WriteNumber("midband_hz", band.NominalHertz);
            if (column.Role.CanBeAveraged && column.Level is { } level) w.WriteNumber("leq", Math.Round(level, 6));
            else w.WriteNull("leq");
            w.WriteNumber("seconds", Math.Round(column.Seconds, 6));
            w.WriteNumber("overload_seconds", Math.Round(column.OverloadSeconds, 6));
            w.WriteNumber("lost_seconds", Math.Round(column.LostSeconds, 6));
            w.WriteNumber("under_range_seconds", Math.Round(column.UnderRangeSeconds, 6));
            w.WriteEndObject();
        }
        w.WriteEndArray();
    }
}
