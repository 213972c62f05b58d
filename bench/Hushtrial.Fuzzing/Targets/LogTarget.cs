using Hushtrial.Fuzzing.Mutation;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;

namespace Hushtrial.Fuzzing.Targets;

/// <summary>Level logs: how they are to be read is proposed, then they are read so.</summary>
internal static class LogTarget
{
    private static readonly string[] _words =
    [
        "Date", "Time", "Datum", "Zeit", "Uhrzeit", "Elapsed", "Start", "End", "Duration", "LAeq", "LAF", "LASmax", "LAFmin", "LCpeak", "LCeq", "LZeq", "LAE", "LA50", "L10", "Overload", "OVL", "1 kHz", "125 Hz", "31,5", "8k", "1000", "16000", "[dB]", "dB(A)", "dB",
        "2026-05-14", "14.05.2026", "05/14/2026", "14 May 2026", "10:00:00", "10:00:00.125", "10:00:00,5", "3:15 PM", "00:00:01", "2026-05-14T10:00:00Z", "+02:00", "85.3", "85,3", "< 30", "> 130", "OL", "—", "---", "n/a", "NaN", "-999.9", "Index", "Battery", "Average", "Min", "Max", "Total",
    ];

    public static FuzzTarget Target { get; } = new("logs", 4096,
        corpus => [.. Directory.GetFiles(Path.Combine(corpus, "logs"), "*.*").Where(f => Path.GetExtension(f) is ".csv" or ".txt").Order(StringComparer.Ordinal).Select(File.ReadAllBytes).Select(b => b[..Math.Min(b.Length, 2500)])],
        new TextMutation(_words).Mutate, Execute);

    public static bool Execute(byte[] input)
    {
        using var source = new BufferedBytes(input);
        var proposal = LogProposal.Of(source, "log.csv", new LogWishes());
        var lines = Places.LinesIn(input);
        Places.Check(proposal.Problems, input.Length, lines);
        BrokenPropertyException.Unless(proposal.Layout is not null || proposal.Problems.Count > 0, "neither a layout nor a reason");
        if (proposal.Layout is not { } layout) return false;
        if (proposal.Levels is { } all) Check(all);
        var entry = new LogEntry("log", "log.csv", false, null, null, null, layout);
        using var log = LevelLog.Open(entry, new BufferedBytes(input), null, null);
        Places.Check(log.Problems, input.Length, lines);
        var half = 1 + (lines / 2);
        var spans = log.Measure([LogSpan.Everything, LogSpan.ByLines(1, half), LogSpan.ByLines(half + 1, int.MaxValue), LogSpan.ByClock(36_000, 36_030)]);
        foreach (var span in spans)
        {
            Check(span);
            Places.Check(LogReading.Of(span, entry, "take").Problems, input.Length, lines);
        }
        BrokenPropertyException.Unless(spans[0].Rows == spans[1].Rows + spans[2].Rows, $"{spans[0].Rows} rows are {spans[1].Rows} and {spans[2].Rows}");
        BrokenPropertyException.Unless(spans[0].Rows == log.Moments.Count, $"{spans[0].Rows} rows and {log.Moments.Count} moments");
        foreach (var m in log.Moments) BrokenPropertyException.Unless(double.IsFinite(m.Start) && m.Seconds is >= 0 and <= 86_400 && (m.Level is null || double.IsFinite(m.Level.Value)), $"a moment {m}");
        return true;
    }

    private static void Check(LogSpanLevels levels)
    {
        BrokenPropertyException.Unless(levels.Rows >= 0 && double.IsFinite(levels.Seconds) && levels.Seconds >= 0 && double.IsFinite(levels.MissingSeconds), $"a span of {levels.Rows} rows and {levels.Seconds} s");
        foreach (var c in levels.Columns)
            BrokenPropertyException.Unless((c.Level is null || (double.IsFinite(c.Level.Value) && c.Level is > -200 and < 400)) && c.Seconds >= 0 && c.LostSeconds >= 0 && c.OverloadSeconds >= 0 && c.Seconds + c.LostSeconds + c.OverloadSeconds <= levels.Seconds * (1 + 1e-9) + 1e-6, $"{c}");
    }
}
