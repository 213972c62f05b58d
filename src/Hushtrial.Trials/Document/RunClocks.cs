namespace Hushtrial.Trials.Document;

/// <summary>Turns times of day into seconds since the start of a run, over midnight too.</summary>
internal sealed class RunClocks
{
    private const decimal Day = 24 * 3600;

    /// <summary>A run at one steady state is shorter; a longer span is a clock that was read or set wrongly.</summary>
    private const decimal Longest = 12 * 3600;

    private readonly Dictionary<string, decimal> _starts = new(StringComparer.Ordinal);

    public RunClocks(Draft draft, DocumentProblems problems)
    {
        var only = draft.List("runs") is [var one] ? one.Text("id") : null;
        var clocks = draft.List("recordings").Concat(draft.List("logs")).Where(r => r.Seconds("starts") is not null && (r.Text("run") ?? only) is not null).Select(r => (Run: (r.Text("run") ?? only)!, Map: r, Key: "starts"))
            .Concat(draft.Takes.Where(t => t.Map.Seconds("clock_from") is not null && t.Run is not null).Select(t => (Run: t.Run!, t.Map, Key: "clock_from")))
            .Concat(draft.List(ComfortShape.Key).Where(c => c.Seconds("at") is not null && (c.Text("run") ?? only) is not null).Select(c => (Run: (c.Text("run") ?? only)!, Map: c, Key: "at")))
            .Concat(draft.Takes.Where(t => t.Map.Seconds("at") is not null && t.Run is not null).Select(t => (Run: t.Run!, t.Map, Key: "at")))
            .ToLookup(c => c.Run, StringComparer.Ordinal);
        foreach (var run in draft.List("runs"))
        {
            if (run.Text("id") is not { } id || run.IsFaulty("start")) continue;
            var stated = run.Seconds("start");
            var start = stated ?? clocks[id].Select(c => c.Map.Seconds(c.Key)).Min() ?? 0;
            _starts.TryAdd(id, start);
            // One wrong start makes every clock of the run wrong: it is told once.
            var far = clocks[id].Where(c => Since(start, c.Map.Seconds(c.Key)!.Value, stated is not null) > Longest).ToList();
            if (far.Count == 0) continue;
            var (_, map, key) = far[0];
            var found = map.Seconds(key)!.Value < start
                ? $"the clock {map.Find(key)!.Text}, before the start of the run '{id}' ({Clock(start)})"
                : $"the clock {map.Find(key)!.Text}, more than 12 hours after the start of the run '{id}' ({Clock(start)})";
            if (far.Count > 1) found += $"; the same goes for {far.Count - 1} more of its clocks";
            problems.Error("DOC-065", map.PlaceOf(key), map.PathTo(key), found, "clocks within 12 hours of the run's start",
                stated is null ? "If the run went over midnight, give it its 'start'; else correct the clock." : "Correct the clock, or the start of the run.");
        }
    }

    public decimal StartOf(string run) => _starts.GetValueOrDefault(run);

    /// <summary>Seconds since the start of the run.</summary>
    public decimal Since(string run, decimal clock) => Since(StartOf(run), clock, overMidnight: true);

    private static decimal Since(decimal start, decimal clock, bool overMidnight) => clock >= start || !overMidnight ? clock - start : clock - start + Day;

    private static string Clock(decimal seconds) => FormattableString.Invariant($"{(int)(seconds / 3600)}:{(int)(seconds / 60 % 60):00}:{(int)(seconds % 60):00}");
}
