using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Alignment;

/// <summary>Starts of recordings from the time reference of a broadcast WAV, where the document states none (EBU Tech 3285: samples from the recorder's local midnight).</summary>
/// <remarks>A reference of 0 counts as none: recorders without a clock write it.</remarks>
public static class BroadcastClocks
{
    private const double Day = 86_400;

    /// <summary>Seconds that a start noted by hand may be off without a word: people note whole seconds.</summary>
    private const double Noted = 1;

    /// <summary>The document with the starts that its recordings know.</summary>
    /// <param name="document">As written.</param>
    /// <param name="recordings">Opened recordings by their identity.</param>
    /// <returns>The document, and a warning for every start as written that is more than a second off its recording's own.</returns>
    public static (TrialDocument Document, IReadOnlyList<Problem> Problems) Apply(TrialDocument document, IReadOnlyDictionary<string, Recording> recordings) => Apply(document, recordings, _ => null);

    /// <summary>The same, where the time of day of some recordings is known although their sound is not there any more.</summary>
    /// <param name="document">As written.</param>
    /// <param name="recordings">Opened recordings by their identity.</param>
    /// <param name="kept">Time of day of the first sample of a recording by its identity, s; null when not known.</param>
    public static (TrialDocument Document, IReadOnlyList<Problem> Problems) Apply(TrialDocument document, IReadOnlyDictionary<string, Recording> recordings, Func<string, double?> kept)
    {
        ArgumentNullException.ThrowIfNull(document);
        ArgumentNullException.ThrowIfNull(recordings);
        ArgumentNullException.ThrowIfNull(kept);
        var known = document.Recordings.Where(r => r.Run is not null).Select(r => (Entry: r, OfDay: OfDay(recordings.GetValueOrDefault(r.Id)) ?? kept(r.Id))).Where(r => r.OfDay is not null).ToDictionary(r => r.Entry.Id, r => r.OfDay!.Value, StringComparer.Ordinal);
        if (known.Count == 0) return (document, []);
        var runs = document.Runs.Select(run => HasClock(document, run) || Earliest([.. document.Recordings.Where(r => r.Run == run.Id && known.ContainsKey(r.Id)).Select(r => known[r.Id])]) is not { } start ? run : run with { StartOfDay = start }).ToList();
        var problems = new List<Problem>();
        var entries = document.Recordings.Select(entry =>
        {
            if (!known.TryGetValue(entry.Id, out var ofDay)) return entry;
            var since = Wrapped(ofDay - runs.First(r => r.Id == entry.Run).StartOfDay);
            if (entry.StartClock is not { } stated) return entry with { StartClock = since + entry.ClockOffset };
            var apart = Wrapped(stated - entry.ClockOffset - since);
            if (Math.Abs(apart) > Noted) problems.Add(Disagree(entry, ofDay, apart));
            return entry;
        }).ToList();
        return (document with { Runs = runs, Recordings = entries }, problems);
    }

    private static double? OfDay(Recording? recording) => recording is { SampleRate: > 0, SamplesSinceMidnight: > 0 and var samples } ? (double)samples / recording.SampleRate % Day : null;

    private static bool HasClock(TrialDocument d, Run run) => run.StartOfDay > 0 || d.Recordings.Any(r => r.Run == run.Id && r.StartClock is not null) || d.Logs.Any(l => l.Run == run.Id && l.StartClock is not null)
        || d.Takes.Any(t => t.Run == run.Id && (t.LogFrom is not null || t.Clock is not null));

    /// <summary>The clock from which the others follow soonest, over midnight too; null without any.</summary>
    private static double? Earliest(IReadOnlyList<double> clocks) => clocks.Count == 0 ? null : clocks.MinBy(c => clocks.Max(other => ((other - c) + Day) % Day));

    private static double Wrapped(double seconds) => seconds - (Day * Math.Round(seconds / Day));

    private static Problem Disagree(RecordingEntry entry, double ofDay, double apart) => new("REC-069", Severity.Warning, entry.Name,
        Invariant($"a time reference of {(int)(ofDay / 3600)}:{(int)(ofDay / 60 % 60):00}:{ofDay % 60:00.###}, and 'starts' {Math.Abs(apart):0.###} s {(apart > 0 ? "later" : "earlier")}"), "the same clock, to a second",
        "'starts' is used. Leave it out to use the recorder's clock; if that one was set wrongly, leave 'starts' out all the same and give the difference as 'clock_offset_s'.");
}
