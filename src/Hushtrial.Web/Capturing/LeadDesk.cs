using System.Collections.Concurrent;
using Hushtrial.Store.Captures;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Leading;
using Hushtrial.Trials.Planning;
using Hushtrial.Trials.Screening;
using Hushtrial.Web.Recordings;
using Hushtrial.Web.Work;

namespace Hushtrial.Web.Capturing;

/// <summary>Everything that the card says at one moment, before it is put into words.</summary>
/// <param name="Trial">The trial.</param>
/// <param name="Order">The order of its run.</param>
/// <param name="Run">The run by its marks.</param>
/// <param name="RunId">The run; null when none was chosen and there are several.</param>
/// <param name="Progress">Where it stands.</param>
/// <param name="OpenEar">What the bare ear has had.</param>
/// <param name="Judged">The last take while the observer has not decided, with what the checks say; null when there is none.</param>
/// <param name="Levels">A-weighted level at the first ear by first frame of the take, dB.</param>
internal sealed record LeadMoment(LeadTrial Trial, KeptOrder Order, LedRun Run, string? RunId, OrderProgress Progress, OpenEarSoFar OpenEar, (LedSpan Take, TakeJudgement Judgement)? Judged,
    IReadOnlyDictionary<long, double> Levels);

/// <summary>Leads through captures: hears their frames, follows their marks, measures and judges their takes.</summary>
internal sealed class LeadDesk(TrialLibrary library, CaptureShelf shelf, CalibrationDesk calibrations, Desk desk, TimeProvider clock)
{
    private static readonly TimeSpan _fresh = TimeSpan.FromSeconds(2);

    private readonly ConcurrentDictionary<Guid, Lazy<LeadSession>> _sessions = new();

    /// <summary>The session of a capture; one that this process does not know yet is taken up once, before anything is appended.</summary>
    public LeadSession Session(CaptureState state) => _sessions.GetOrAdd(state.Id, _ => new(() => LeadSession.TakeUp(state, shelf))).Value;

    /// <summary>The capture is over.</summary>
    public void Forget(Guid capture) => _sessions.TryRemove(capture, out _);

    /// <summary>The trial, at most two seconds old: frames come four times a second.</summary>
    public LeadTrial? Trial(CaptureState state, bool newest)
    {
        var session = Session(state);
        if (!newest && session.Trial is { } known && clock.GetElapsedTime(known.At) < _fresh) return known.Trial;
        if (library.Find(state.Trial) is not { } stored) return null;
        if (session.Trial is { } same && same.Trial.Stored.Revision == stored.Revision) stored = same.Trial.Stored;
        var trial = session.Trial is { } kept && kept.Trial.Stored == stored ? kept.Trial : LeadTrial.Of(stored, state.Source.Channels, calibrations);
        if (desk.State(state.Trial) is { Results: { } results } && OwnOpenEar.LevelA(results) is var before && before != trial.OpenBefore) trial = trial with { OpenBefore = before };
        session.Trial = (clock.GetTimestamp(), trial);
        return trial;
    }

    /// <summary>The moment; null when the trial is gone.</summary>
    public LeadMoment? Moment(CaptureState state)
    {
        if (Trial(state, newest: true) is not { } trial) return null;
        var run = LedRun.Of(state.Marks);
        var runId = trial.RunOf(run.Run);
        var order = runId is null ? new([], new Dictionary<string, string>(StringComparer.Ordinal), KeptOrder.UsualTakeSeconds, KeptOrder.UsualSettleSeconds, KeptOrder.UsualHalfWidth) : KeptOrder.Of(trial.Document, runId);
        var measured = Session(state).Measured(run, trial, look => shelf.Look(state.Id, look));
        var openEar = OpenEar(state, trial, run, measured);
        var progress = OrderProgress.Of(order.Steps, runId ?? "", [.. Before(trial, runId), .. run.Takes.Select(t => new LedTake(t.Condition, t.Fit, t.Fate))],
            !openEar.Allows(TimeSpan.FromSeconds(order.TakeSeconds)));
        return new(trial, order, run, runId, progress, openEar, Judge(trial, run, measured), measured.Where(m => m.Levels.Ears is [{ A: not null }, ..]).GroupBy(m => m.Span.From).ToDictionary(m => m.Key, m => m.Last().Levels.Ears[0].A!.Value));
    }

    /// <summary>What the bare ear has had so far, what is under way counted.</summary>
    public static OpenEarSoFar OpenEar(CaptureState state, LeadTrial trial, LedRun run, IReadOnlyList<(LedSpan Span, TakeLevels Levels)> measured, double? now = null)
    {
        var open = !trial.Absolute ? [] : measured.Where(m => m.Span.Condition == TrialDocument.OpenEar).SelectMany(m => m.Levels.Ears.Select(e => e.A)).OfType<double>().ToList();
        var frames = run.BareFrames + (run.Now is { Condition: TrialDocument.OpenEar } bare ? Math.Max(0, state.Frames - bare.From) : 0);
        return trial.OpenEar(open.Count > 0 ? open.Max() : now, TimeSpan.FromSeconds((double)frames / state.Source.SampleRate) + run.Changes * OpenEarDose.ChangeTime);
    }

    // Takes of the same run that an earlier capture brought in, or that were marked by hand: the order goes on behind them.
    private static IEnumerable<LedTake> Before(LeadTrial trial, string? run) => trial.Document.Takes.Where(t => t.Run == run && run is not null).Select(t => new LedTake(t.Condition, t.Fit, t.Excluded is null ? TakeFate.Kept : TakeFate.Again));

    private static (LedSpan, TakeJudgement)? Judge(LeadTrial trial, LedRun run, IReadOnlyList<(LedSpan Span, TakeLevels Levels)> measured)
    {
        if (run.Undecided is not { } last || !trial.Knows(last.Condition)) return null;
        var found = measured.FirstOrDefault(m => m.Span == last);
        if (found.Levels is null) return null;
        var judgement = TakeJudgement.Of(trial.Document, LeadSession.Growing, [.. measured.Where(m => m.Span != last).Select(m => m.Levels)], found.Levels);
        // What the observer heard counts as much as what the checks found.
        return (last, run.EventsIn(last).Any() && judgement.Advice == TakeFate.Kept ? judgement with { Advice = TakeFate.Again } : judgement);
    }
}
