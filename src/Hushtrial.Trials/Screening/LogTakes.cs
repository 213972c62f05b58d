using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;
using Hushtrial.Trials.Results;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Takes of level logs, and logs outside as the reference of every take of their run. Each log is read once for all of its takes.</summary>
internal static class LogTakes
{
    private const double UnsteadyRange = 6;

    /// <summary>The takes that name a log, by identity.</summary>
    internal static Dictionary<string, TakeLevels> AtEar(TrialInputs inputs, CancellationToken cancellation)
    {
        var measured = new Dictionary<string, TakeLevels>(StringComparer.Ordinal);
        foreach (var takes in inputs.Document.Takes.Where(t => t.Log is not null).GroupBy(t => t.Log!))
        {
            cancellation.ThrowIfCancellationRequested();
            if (!inputs.Logs.TryGetValue(takes.Key, out var log))
            {
                foreach (var take in takes) measured[take.Id] = new(take, null, null, [], null, []);
                continue;
            }
            var placed = takes.Where(t => t.LineFrom is not null || log.HasClock).ToList();
            foreach (var take in takes.Except(placed))
                measured[take.Id] = new(take, null, null, [], null, [new("LOG-047", Severity.Error, take.Where, $"take {take.Id} by clock in {log.Entry.File}, which has elapsed times alone", "'starts' of the log, or a take by lines", "State the clock time at which the log begins.")]);
            foreach (var (take, levels) in placed.Zip(log.Measure([.. placed.Select(Span)])))
                measured[take.Id] = Take(take, log, levels);
        }
        return measured;
    }

    /// <summary>Adds the log outside to the takes of its run.</summary>
    internal static void AddOutside(TrialInputs inputs, TakeLevels[] takes, CancellationToken cancellation)
    {
        foreach (var entry in inputs.Document.Logs.Where(l => l.Outside))
        {
            cancellation.ThrowIfCancellationRequested();
            if (!inputs.Logs.TryGetValue(entry.Id, out var log)) continue;
            var ofRun = Enumerable.Range(0, takes.Length).Where(i => takes[i].Entry.Run == entry.Run && takes[i].Ears.Count > 0).ToList();
            var placed = ofRun.Where(i => log.HasClock && takes[i] is { Clock: not null, Seconds: not null }).ToList();
            foreach (var i in ofRun.Except(placed))
                takes[i] = takes[i] with { Findings = [.. takes[i].Findings, new("LOG-047", Severity.Error, takes[i].Entry.Where, $"take {takes[i].Entry.Id} and the log {entry.File} without a common clock", "a clock for both", "State 'starts' of the recording or of the log.")] };
            var spans = placed.Select(i => LogSpan.ByClock(takes[i].Clock!.Value - (takes[i].Seconds!.Value / 2), takes[i].Clock!.Value + (takes[i].Seconds!.Value / 2))).ToList();
            foreach (var (i, levels) in placed.Zip(log.Measure(spans)))
            {
                var reading = LogReading.Of(levels, entry, $"{takes[i].Entry.Where}, take {takes[i].Entry.Id}");
                takes[i] = takes[i] with { Outside = reading.IsEmpty ? null : new(entry.Id, reading.A, reading.C, reading.Bands), Findings = [.. takes[i].Findings, .. reading.Problems] };
            }
        }
    }

    /// <summary>The level history of every log at the ear, for the figure: A-weighted, around the takes.</summary>
    internal static IEnumerable<RunHistory> Histories(TrialInputs inputs, IReadOnlyList<TakeLevels> takes)
    {
        const double Margin = 60;
        const int MostValues = 1500;
        foreach (var entry in inputs.Document.Logs.Where(l => !l.Outside && l.Run is not null))
        {
            if (!inputs.Logs.TryGetValue(entry.Id, out var log) || !log.HasClock || log.Curve is not { Weighting: FrequencyWeighting.A }) continue;
            var clocks = takes.Where(t => t.Entry.Log == entry.Id && t is { Clock: not null, Seconds: not null }).ToList();
            if (clocks.Count == 0) continue;
            var (from, to) = (clocks.Min(t => t.Clock!.Value - (t.Seconds!.Value / 2)) - Margin, clocks.Max(t => t.Clock!.Value + (t.Seconds!.Value / 2)) + Margin);
            var moments = log.Moments.Where(m => m.Start >= from && m.Start + m.Seconds <= to).ToList();
            if (moments.Count == 0) continue;
            var start = moments[0].Start;
            var step = Math.Max(Math.Max(moments.Max(m => m.Seconds), 0.1), Math.Ceiling((moments[^1].Start - start) / MostValues));
            var count = (int)((moments[^1].Start - start) / step) + 1;
            var (energy, seconds) = (new double[count], new double[count]);
            foreach (var moment in moments)
            {
                if (moment.Level is not { } level) continue;
                // A start on the grid must not fall one step short by the last digit of a double.
                var i = (int)((moment.Start - start + 1e-6) / step);
                if (i >= count) continue;
                energy[i] += moment.Seconds * Math.Pow(10, level / 10);
                seconds[i] += moment.Seconds;
            }
            yield return new(entry.Run!, entry.Id, step, start, [.. energy.Select((e, i) => seconds[i] > 0 ? 10 * Math.Log10(e / seconds[i]) : (double?)null)]);
        }
    }

    private static LogSpan Span(TakeEntry take) => take.LineFrom is { } first ? LogSpan.ByLines(first, take.LineTo!.Value) : LogSpan.ByClock(take.LogFrom!.Value, take.LogTo!.Value);

    private static TakeLevels Take(TakeEntry take, LevelLog log, LogSpanLevels levels)
    {
        var where = $"{take.Where}, take {take.Id}";
        var reading = LogReading.Of(levels, log.Entry, where);
        if (reading.IsEmpty) return new(take, null, null, [], null, reading.Problems);
        var (start, end) = (levels.Start!.Value, levels.End!.Value);
        var inside = log.Moments.Where(m => m.Start >= start - 1e-6 && m.Start + m.Seconds <= end + 1e-6).ToList();
        var findings = reading.Problems.ToList();
        // Levels of about half a second to two: shorter ones swing by themselves, longer ones hide what happened.
        var steps = inside.Where(m => m is { Level: not null, Seconds: >= 0.5 and <= 2 }).Select(m => m.Level!.Value).ToList();
        if (log.Curve is { Weighting: FrequencyWeighting.A } && steps.Count > 1 && steps.Max() - steps.Min() > UnsteadyRange)
            findings.Add(new("TAK-012", Severity.Warning, $"{log.Entry.File}, take {take.Id}", Invariant($"levels from {steps.Min():0.0} to {steps.Max():0.0} dB(A) in intervals of {inside[0].Seconds:0.###} s"),
                "a steady take, within 6 dB", "Was there speech, a squelch burst, a knock or a power change? Shorten or exclude the take if it holds one."));
        var ear = new ChannelLevels(log.Entry.Id, reading.A, reading.C, reading.Bands) { HalfSeconds = HalfSeconds(log, inside, end - start) };
        return new(take, log.HasClock ? (start + end) / 2 : null, end - start, [ear], null, findings);
    }

    /// <summary>Half-second levels, where the intervals make up half seconds and none is missing.</summary>
    private static ShortTermLevels? HalfSeconds(LevelLog log, List<LogMoment> inside, double seconds)
    {
        if (log.Curve is not { Weighting: FrequencyWeighting.A } || inside.Count == 0) return null;
        var per = (int)Math.Round(ShortTermLevels.Seconds / Math.Max(inside[0].Seconds, 1e-3));
        if (per < 1 || Math.Abs((per * inside[0].Seconds) - ShortTermLevels.Seconds) > 1e-6) return null;
        if (inside.Exists(m => m.Level is null) || Math.Abs((inside.Count * inside[0].Seconds) - seconds) > 1e-3) return null;
        var halves = inside.Chunk(per).Where(c => c.Length == per).Select(c => 10 * Math.Log10(c.Average(m => Math.Pow(10, m.Level!.Value / 10)))).ToList();
        return new(halves, null, new Dictionary<Band, IReadOnlyList<double>>());
    }
}
