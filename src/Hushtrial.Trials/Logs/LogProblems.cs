using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Logs;

/// <summary>What is said of a log as a whole: what was met while reading, and what the reader cannot decide alone.</summary>
internal static class LogProblems
{
    /// <summary>Longest interval for which start or end of the interval is not worth a question, s (common practice, no source).</summary>
    private const double ShortInterval = 2;

    internal static Problem Empty(string name) => Error("LOG-001", name, "the file is empty", "a table of levels", "Copy the file again from the logger.");

    internal static Problem NotText(string name, string what) => Error("LOG-002", name, what, "a table in plain text", "Export the levels as text (CSV) from the logger or its program.");

    internal static Problem NoTable(string name) => Error("LOG-004", name, "no rows of values", "at least two rows with as many fields, each with a number", "Export the levels as text (CSV), one row for each interval.");

    /// <summary>Everything that one reading under a layout met.</summary>
    internal static IEnumerable<Problem> Of(LogTally t, LogLayout layout, string name, TimeKind kind)
    {
        string At(Occurrence o) => Invariant($"{name}, line {o.FirstLine}");
        string Rows(Occurrence o) => o.Count == 1 ? "1 row" : Invariant($"{o.Count} rows");
        string Cells(Occurrence o) => o.Count == 1 ? "1 cell" : Invariant($"{o.Count} cells");
        string Like(Occurrence o) => o.Example.Length > 0 ? $" (the first: '{o.Example}')" : "";
        if (t.Overlong) yield return Error("LOG-003", name, Invariant($"a line of more than {LogLines.MostCharacters} characters"), "rows of a table", "Export the levels as text (CSV).");
        if (t.Rows == 0 && t.OrderNeeded.Count == 0) { yield return NoTable(name); yield break; }
        if (layout.Columns.Keys.DefaultIfEmpty(0).Max() is var last && last > t.MostFields && t.MostFields > 0)
            yield return Error("LOG-007", name, Invariant($"rows of at most {t.MostFields} fields"), Invariant($"column {last}, which has a role"), "Correct the delimiter or the numbers of the columns.");
        if (t.OrderNeeded.Count > 0)
            yield return Error("LOG-020", At(t.OrderNeeded), "dates of digits whose order is not stated or does not fit", "'date_order', under which every date exists",
                "State date_order: day-month-year, month-day-year or year-month-day.");
        if (t.Zones.Count > 0 && layout.RunZoneMinutes is null)
            yield return Error("LOG-023", At(t.Zones), $"stamps with their zone ({t.Zones.Example})", "'run_zone', the zone of the clock that the trial is written in",
                $"State run_zone: \"{t.Zones.Example}\" if the trial's clock is the one as written, else its own offset from UTC, for example \"+02:00\". A wrong zone reads another hour.");
        if (t.HourForward.Count > 0 && layout.ClockChange is null)
            yield return Error("LOG-022", At(t.HourForward), "a jump of one hour forward: either summer time began (the rows follow each other) or an hour is missing", "'clock_change', which of the two",
                "State clock_change: summer-time, or clock_change: gap.");
        if (t.HourBack.Count > 0 && layout.ClockChange is null)
            yield return Error("LOG-022", At(t.HourBack), "the clock goes back one hour: either summer time ended (the rows follow each other) or the clock was set", "'clock_change', which of the two",
                "State clock_change: summer-time if summer time ended here; else give each part an entry of its own with first_line and last_line.");
        if (t.HalfDayWraps.Count > 0 && layout.HalfOfDay is null)
            yield return Error("LOG-024", At(t.HalfDayWraps), "a 12-hour clock without AM and PM: the first row may be before or after noon", "'half_of_day', which of the two",
                "State half_of_day: morning, or half_of_day: afternoon, of the first row.");
        if (t.StuckDates.Count > 0)
            yield return new("LOG-025", Severity.Warning, At(t.StuckDates), "a date that stays the same while the clock passes midnight", "the next day", "The rows behind are taken as of the next day. Check the clock of the logger.");
        if (t.Restarts.Count > 0)
            yield return Error("LOG-026", At(t.Restarts), "the elapsed time begins again: the logger was stopped for an unknown time", "one stretch of time", "Give each part an entry of its own with first_line and last_line; what is behind this line has no place in time and is not read.");
        if (t.Backwards.Count > 0)
            yield return Error("LOG-027", At(t.Backwards), Invariant($"{Rows(t.Backwards)} that go back in time"), "times that grow from row to row", "The clock was set while logging, or two logs were joined: give each part an entry of its own with first_line and last_line.");
        if (t.Irregular.Count > Math.Max(2, t.Rows / 10) && layout.IntervalSeconds is { } step)
            yield return Error("LOG-028", At(t.Irregular), Invariant($"{t.Irregular.Count} of {t.Rows} rows that do not follow each other by {step:0.######} s or a multiple"), "equal intervals, or a column with their lengths",
                "State the right interval_s, or give the column of the lengths the role interval: the mean weighs every row by its length.");
        if (layout.Stamp is null && layout.IntervalSeconds is { } s && !layout.Columns.Values.Any(c => c.Kind == ColumnKind.End) && kind != TimeKind.Elapsed)
            yield return new("LOG-021", s > ShortInterval ? Severity.Error : Severity.Note, name, Invariant($"times that may stand for the start or the end of their interval of {s:0.######} s; read as the start"), "'stamp', which of the two",
                Invariant($"State stamp: start, or stamp: end. The wrong one moves every row by {s:0.######} s."));
        if (t.MissingRows.Count > 0)
            yield return Warning("LOG-030", At(t.MissingRows), Invariant($"{Rows(t.MissingRows)} missing by the clock, the first behind this line"), "a row for every interval", "Takes that miss more than the share allowed are refused; the others are means over the rows that are there.");
        if (t.RepeatedHeaders.Count > 0)
            yield return new("LOG-031", Severity.Note, At(t.RepeatedHeaders), Invariant($"the header again, {t.RepeatedHeaders.Count} times"), "one header", "The repetitions were passed over.");
        if (t.Trailing.Count > 0)
            yield return new("LOG-032", Severity.Note, At(t.Trailing), Invariant($"{t.Trailing.Count} lines behind the last row that are no rows{Like(t.Trailing)}"), "rows", "They were left out, as a summary.");
        if (t.Foreign.Count > 0)
            yield return Warning("LOG-033", At(t.Foreign), Invariant($"{t.Foreign.Count} lines between the rows that are no rows{Like(t.Foreign)}"), "rows", "They were left out. Look at them: a pause, or a change of settings?");
        if (t.Unreadable.Count > 0)
            yield return Warning("LOG-034", At(t.Unreadable), Invariant($"{Cells(t.Unreadable)} that hold neither a level nor a known marker{Like(t.Unreadable)}"), "a level, or a marker such as OL, < 30 or -", "They count as missing. Check the decimal mark and the roles of the columns.");
        if (t.Overload.Count + t.Flagged.Count > 0)
            yield return Warning("LOG-035", At(t.Overload.Count > 0 ? t.Overload : t.Flagged), t.Overload.Count > 0 ? Invariant($"{Cells(t.Overload)} marked as overload{Like(t.Overload)}") : Invariant($"{Rows(t.Flagged)} flagged as overload"), "none",
                "The level was above the range there and is not known. Takes with more than the share allowed are refused.");
        if (t.UnderRange.Count > 0)
            yield return Warning("LOG-036", At(t.UnderRange), Invariant($"{Cells(t.UnderRange)} marked as below the range{Like(t.UnderRange)}"), "none", "The bound is taken for the level: such a mean is at most what is given.");
        if (t.MissingCells.Count > 0)
            yield return Warning("LOG-037", At(t.MissingCells), Invariant($"{Cells(t.MissingCells)} without a level{Like(t.MissingCells)}"), "a level", "They count as missing.");
        if (t.Implausible.Count > 0)
            yield return Warning("LOG-038", At(t.Implausible), Invariant($"{Cells(t.Implausible)} with a number that no level can be{Like(t.Implausible)}"), Invariant($"{CellReading.LeastLevel} to {CellReading.MostLevel} dB, and not exactly 0"),
                "They count as missing: fillers such as -999 and 0 stand for no reading.");
        if (t.Duplicates.Count > 0)
            yield return Warning("LOG-039", At(t.Duplicates), Invariant($"{Rows(t.Duplicates)} with the time of the row before"), "a time of its own for each", "Only the first of equal times was read.");
        if (t.Short.Count > 0)
            yield return Warning("LOG-008", At(t.Short), Invariant($"{Rows(t.Short)} with too few fields"), "as many fields as columns", "They were left out: the logger stopped while writing, or lines were lost.");
    }

    internal static Problem Error(string code, string where, string found, string expected, string remedy) => new(code, Severity.Error, where, found, expected, remedy);

    internal static Problem Warning(string code, string where, string found, string expected, string remedy, double? effect = null) => new(code, Severity.Warning, where, found, expected, remedy, effect);
}
