using System.Globalization;
using Hushtrial.Store.Captures;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Leading;
using static System.FormattableString;

namespace Hushtrial.Web.Capturing;

/// <summary>What a finished capture tells its trial: takes from the marks, remarks for what was stopped or happened between, what the device could not do.</summary>
internal static class CapturedTakes
{
    /// <summary>The edits, one after another; each stands alone, so that one that is refused does not take the others along.</summary>
    /// <param name="draft">The trial with the recording in it.</param>
    /// <param name="recording">Identity of the recording.</param>
    /// <param name="chosen">The run that the page names; null: the one in the marks.</param>
    /// <param name="state">The capture.</param>
    public static IReadOnlyList<DraftEdit> Edits(TrialDraft draft, string recording, string? chosen, CaptureState state)
    {
        var led = LedRun.Of(state.Marks);
        var run = new[] { chosen, led.Run }.FirstOrDefault(r => r is { Length: > 0 } && draft.Ids("runs").Contains(r)) ?? (led.Takes.Count > 0 && draft.Ids("runs") is [var only] ? only : null);
        var edits = CaptureDoors.Told(draft, recording, run, state).ToList();
        if (CaptureDoubts.Of(state.Source) is { Count: > 0 } doubts) edits.Add(new DraftEdit.Set($"recordings[{recording}].captured", $"[{string.Join(", ", doubts)}]"));
        if (led.Takes.Count > 0 && draft.Ids("channels").Count == 0) edits.Add(LeadTrial.OnlyEar);
        var remarks = new List<string>();
        var taken = draft.Ids("takes").ToHashSet(StringComparer.OrdinalIgnoreCase);
        foreach (var take in led.Takes)
        {
            if (take.Fate == TakeFate.Aborted || !Known(draft, take.Condition) || Milliseconds(state, take.To, up: false) <= Milliseconds(state, take.From, up: true)) remarks.Add(Stopped(take, state));
            else edits.Add(Take(draft, recording, run, led, take, state, taken));
        }
        if (led.Now is { Taking: true } cut) remarks.Add(Invariant($"{Clock(state, cut.From)} {cut.Condition}: the recording ended inside this take; it is none"));
        remarks.AddRange(led.Events.Where(e => !led.Takes.Any(t => t.Fate != TakeFate.Aborted && e.Frame >= t.From && e.Frame < t.To)).Select(e => $"{Clock(state, e.Frame)} {e.What}"));
        if (remarks.Count > 0)
        {
            var path = run is null ? "trial.remarks" : $"runs[{run}].remarks";
            var words = $"{recording}: {string.Join("; ", remarks)}";
            edits.Add(new DraftEdit.Set(path, draft.Value(path) is { Length: > 0 } before ? $"{before} {words}" : words));
        }
        return edits;
    }

    private static DraftEdit.Add Take(TrialDraft draft, string recording, string? run, LedRun led, LedSpan take, CaptureState state, HashSet<string> taken)
    {
        var id = Enumerable.Range(taken.Count + 1, 100_000).Select(n => Invariant($"T{n:00}")).First(taken.Add);
        var fields = new List<KeyValuePair<string, string>> { new("id", id), new("condition", take.Condition) };
        // The recording names the run; a trial of several runs whose capture has none is told by the findings.
        if (run is null && draft.Ids("runs").Count > 1 && led.Run is { } meant) fields.Add(new("run", meant));
        if (led.Wearer is { } wearer && draft.Ids("wearers").Contains(wearer)) fields.Add(new("wearer", wearer));
        if (take.Fit is { } fit) fields.Add(new("fit", fit));
        fields.AddRange([new("recording", recording), new("from", Seconds(Milliseconds(state, take.From, up: true))), new("to", Seconds(Milliseconds(state, take.To, up: false)))]);
        if (take.Fate is TakeFate.Again or TakeFate.AgainPutOn) fields.Add(new("excluded", take.Words.Length > 0 ? $"taken again: {take.Words}" : "taken again"));
        var heard = led.EventsIn(take).Select(e => $"{e.What} at {Clock(state, e.Frame)}").ToList();
        if (heard.Count > 0) fields.Add(new("remarks", $"marked while it was taken: {string.Join(", ", heard)}"));
        return new("takes", fields);
    }

    private static bool Known(TrialDraft draft, string condition) => condition == TrialDocument.OpenEar || draft.Ids("conditions").Contains(condition);

    private static string Stopped(LedSpan take, CaptureState state) => Invariant($"{Clock(state, take.From)}–{Clock(state, take.To)} {take.Condition}: stopped{(take.Words.Length > 0 ? $" ({take.Words})" : "")}");

    // To thousandths inside the take: one that ends with the recording does not reach beyond it.
    private static long Milliseconds(CaptureState state, long frame, bool up) => ((1000 * frame) + (up ? state.Source.SampleRate - 1 : 0)) / state.Source.SampleRate;

    private static string Seconds(long milliseconds) => (milliseconds / 1000m).ToString("0.###", CultureInfo.InvariantCulture);

    private static string Clock(CaptureState state, long frame) => TimeSpan.FromSeconds((double)frame / state.Source.SampleRate) is var at ? Invariant($"{(int)at.TotalMinutes}:{at.Seconds:00}") : "";
}
