using Hushtrial.Reporting.Figures;
using Hushtrial.Store.Captures;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Leading;
using Hushtrial.Trials.Planning;
using Hushtrial.Web.Language;

namespace Hushtrial.Web.Capturing;

/// <summary>A moment of the leading card in the words of a page: the page shows it and reckons nothing.</summary>
internal static class LeadWords
{
    /// <summary>The whole card.</summary>
    public static object Card(Tongue t, CaptureState state, LeadMoment moment)
    {
        var (trial, order, run) = (moment.Trial, moment.Order, moment.Run);
        var next = moment.Progress.Next;
        return new
        {
            phase = Phase(moment),
            run = moment.RunId,
            step = next is null ? "" : t["Step {0} of {1}", next.Step.Number, order.Steps.Count],
            next = next is null ? null : Shown(t, trial, order, next.Condition, next.Fit, next.PutOn, next.Take, next.Of),
            now = run.Now is { } now && trial.Knows(now.Condition) ? Under(t, state, trial, order, now, next) : null,
            settle = order.SettleSeconds,
            seconds = order.TakeSeconds,
            free = order.Steps.Count == 0,
            choices = Choices(t, moment),
            last = moment.Judged is { } judged ? Last(t, moment, judged.Take, judged.Judgement) : null,
            taken = run.Takes.Select(take => Taken(t, state, moment, take)),
            events = run.Events.Select(e => t["{0}: {1}", Clock(state, e.Frame), EventWord(t, e.What)]),
            dose = Dose(t, moment.OpenEar),
            passed = moment.Progress.PassedOver == 0 ? "" : t["The open ear has had its share for today: open-ear steps that are left out: {0}. Go on with the devices; their differences stay right.", moment.Progress.PassedOver],
            blind = trial.Blind,
            reason = trial.Whole ? moment.RunId is null ? t["Choose the run first."] : "" : t["The card leads when the trial knows its devices, conditions and a run. Recording works without."],
            input = Uncapable(t, state),
        };
    }

    /// <summary>The running levels that go with every answer to frames.</summary>
    public static object? Live(Tongue t, CaptureState state, LeadTrial trial, LeadSession session)
    {
        if (session.Read(trial.Ears[0].Channel, 0) is null) return new { fast = t["No running level below a sampling rate of 16 kHz."], taking = false };
        var readings = trial.Ears.Select(e => (Ear: e, Reading: session.Read(e.Channel, trial.FullScale.GetValueOrDefault(e.Id)))).Where(r => r.Reading is not null).Select(r => (r.Ear, Reading: r.Reading!)).ToList();
        var unit = trial.Absolute ? t["dB(A)"] : t["dB(A) re full scale"];
        var several = readings.Count > 1;
        string Each(Func<LiveReading, double?> value) => string.Join(" · ", readings.Select(r => (several ? EarWord(t, r.Ear) + " " : "") + (value(r.Reading) is { } v ? t.Number(v) : "–"))) + " " + unit;
        var first = readings[0].Reading;
        var taking = first.Seconds > 0;
        var run = LedRun.Of(state.Marks);
        var order = trial.RunOf(run.Run) is { } id ? KeptOrder.Of(trial.Document, id) : null;
        var planned = order?.HalfWidth ?? KeptOrder.UsualHalfWidth;
        var open = run.Now is { Condition: TrialDocument.OpenEar } ? LeadDesk.OpenEar(state, trial, run, [], trial.Absolute && taking ? readings.Max(r => r.Reading.LevelA) : null) : null;
        return new
        {
            fast = Each(r => r.Fast),
            taking,
            seconds = first.Seconds,
            mean = taking ? Each(r => r.LevelA) + Part(t, state, run, first) : "",
            width = readings.Max(r => r.Reading.Width.HalfWidth) is { } width ? t["±{0} dB", t.Number(width)] : "",
            enough = taking && readings.TrueForAll(r => r.Reading.Width.Enough(r.Reading.Seconds, planned)),
            clipped = session.ClippedAt(trial.Document.Channels.Select(c => c.Number - 1)) is { } at ? t["It clips, {0} s after this take began: it will be asked again. Begin it again; if it clips once more, turn the gain down and calibrate anew.", t.Number(Math.Floor(at), 0)] : "",
            ended = open?.Ended ?? false,
            figure = taking && Due(session, first.Seconds) ? RunningSpectrum.Draw([.. readings.Select(r => (several ? EarWord(t, r.Ear) : "", r.Reading.Bands))], trial.Absolute) : null,
        };
    }

    // After a restart the beginning of a very long take is not read again: that is said, not left to be found out.
    private static string Part(Tongue t, CaptureState state, LedRun run, LiveReading reading) => run.Now is { Taking: true } now && (double)(state.Frames - now.From) / state.Source.SampleRate - reading.Seconds > 1
        ? " " + t["(of the last {0} s alone)", t.Number(reading.Seconds, 0)] : "";

    private static bool Due(LeadSession session, double seconds)
    {
        if (seconds - session.Drawn is < 1 and >= 0 && session.Drawn > 0) return false;
        session.Drawn = seconds;
        return true;
    }

    private static string Phase(LeadMoment moment) => !moment.Trial.Whole || moment.RunId is null ? "none" : moment.Run.Now is { Taking: true } ? "taking" : moment.Run.Now is not null ? "settling"
        : moment.Judged is { Judgement.Advice: not TakeFate.Kept } ? "verdict" : moment.Order.Steps.Count == 0 ? "free" : moment.Progress.Next is null ? "done" : "next";

    private static object Shown(Tongue t, LeadTrial trial, KeptOrder order, string condition, string? fit, bool putOn, int take, int of)
    {
        var (name, mode) = trial.Name(t, order, condition);
        return new
        {
            condition, fit, name, mode, putOn, anew = fit is null ? null : OrderProgress.Anew(fit), take = of > 1 ? t["Take {0} of {1}", take, of] : "",
            what = condition == TrialDocument.OpenEar ? (putOn ? t["Take the headset off."] : t["Leave the ear open."]) : putOn ? t["Put this one on."] : mode.Length > 0 ? t["Leave it on. Switch to: {0}.", mode] : t["Leave it on."],
        };
    }

    private static object Under(Tongue t, CaptureState state, LeadTrial trial, KeptOrder order, UnderWay now, NextTake? next)
    {
        var (name, mode) = trial.Name(t, order, now.Condition);
        return new { condition = now.Condition, fit = now.Fit, name, mode, from = now.From, since = (double)(state.Frames - now.From) / state.Source.SampleRate,
            take = next is { Of: > 1 } && next.Condition == now.Condition && next.Fit == now.Fit ? t["Take {0} of {1}", next.Take, next.Of] : "" };
    }

    private static IEnumerable<object> Choices(Tongue t, LeadMoment moment)
    {
        var (trial, order) = (moment.Trial, moment.Order);
        if (moment.RunId is not { } run) return [];
        var conditions = trial.Document.Conditions.Where(c => trial.Document.Devices.First(d => d.Id == c.Device).Measurable).Select(c => c.Id).ToList();
        if (moment.OpenEar.Allows(TimeSpan.FromSeconds(order.TakeSeconds))) conditions.Insert(0, TrialDocument.OpenEar);
        var fits = moment.Run.Takes.Select(x => x.Fit).Concat(trial.Document.Takes.Select(x => x.Fit)).OfType<string>().ToHashSet(StringComparer.Ordinal);
        string Fresh(string condition) => Enumerable.Range(1, 999).Select(n => FormattableString.Invariant($"{run}-{condition}-{n}")).First(f => !fits.Contains(f));
        return conditions.Select(c => (Condition: c, Name: trial.Name(t, order, c))).OrderBy(c => c.Condition != TrialDocument.OpenEar).ThenBy(c => c.Name.Name, StringComparer.Ordinal)
            .Select(c => new { condition = c.Condition, name = c.Name.Mode.Length > 0 ? $"{c.Name.Name}, {c.Name.Mode}" : c.Name.Name, fit = c.Condition == TrialDocument.OpenEar ? null : Worn(moment, c.Condition) ?? Fresh(c.Condition), fresh = c.Condition == TrialDocument.OpenEar ? null : Fresh(c.Condition) });
    }

    // The device that is still on: another mode of it, or the same once more, is the same donning.
    private static string? Worn(LeadMoment moment, string condition)
    {
        if (moment.Run.Takes is not [.., { Fit: { } fit } last] || last.Fate == TakeFate.AgainPutOn) return null;
        string? Device(string c) => moment.Trial.Document.Conditions.FirstOrDefault(x => x.Id == c) is { } found ? found.Device + string.Join(',', found.WornWith) : null;
        return Device(last.Condition) == Device(condition) ? fit : null;
    }

    private static object Last(Tongue t, LeadMoment moment, LedSpan take, TakeJudgement judgement)
    {
        var (name, mode) = moment.Trial.Name(t, moment.Order, take.Condition);
        var heard = moment.Run.EventsIn(take).Select(e => t["You marked: {0}.", EventWord(t, e.What)]).Distinct(StringComparer.Ordinal);
        return new
        {
            from = take.From, to = take.To, name, mode, level = LevelWords(t, moment, take), advice = judgement.Advice switch { TakeFate.Kept => "keep", TakeFate.AgainPutOn => "anew", _ => "again" },
            reasons = heard.Concat(judgement.Findings.Select(f => Spoken.Sentence(f.Found))),
        };
    }

    private static string Taken(Tongue t, CaptureState state, LeadMoment moment, LedSpan take)
    {
        var (name, mode) = moment.Trial.Knows(take.Condition) ? moment.Trial.Name(t, moment.Order, take.Condition) : (take.Condition, "");
        var fate = take.Fate switch { TakeFate.Aborted => t["stopped, no take"], TakeFate.Again or TakeFate.AgainPutOn => t["taken again, not used"], _ => LevelWords(t, moment, take) };
        return $"{Clock(state, take.From)} {name}{(mode.Length > 0 ? ", " + mode : "")}{(fate.Length > 0 ? ": " + fate : "")}";
    }

    private static string LevelWords(Tongue t, LeadMoment moment, LedSpan take) =>
        moment.Levels.TryGetValue(take.From, out var level) ? t.Number(level) + " " + (moment.Trial.Absolute ? t["dB(A)"] : t["dB(A) re full scale"]) : "";

    private static string Dose(Tongue t, OpenEarSoFar open) => open.Percent is { } percent
        ? t["Open ear so far: {0} s at {1} dB(A), {2} % of a day; allowed {3} % by {4}.", t.Number(open.Bare.TotalSeconds, 0), t.Number(open.Level!.Value.Decibels), t.Number(percent), t.Number(open.AllowedPercent, 0), t[open.Rules.Name]]
        : t["Open ear so far: {0} s. Its dose is not known: state the level on the plan page, or calibrate.", t.Number(open.Bare.TotalSeconds, 0)];

    private static IEnumerable<string> Uncapable(Tongue t, CaptureState state) => CaptureDoubts.Of(state.Source).Select(d => CaptureDoubts.Word(t, d));

    private static string EarWord(Tongue t, LeadEar ear) => ear.Ear switch { "left" => t["left"], "right" => t["right"], _ => ear.Id };

    /// <summary>An event in words.</summary>
    public static string EventWord(Tongue t, string what) => what switch { "radio" => t["radio"], "bump" => t["a bump"], "turbulence" => t["turbulence"], _ => t["something else"] };

    private static string Clock(CaptureState state, long frame) => TimeSpan.FromSeconds((double)frame / state.Source.SampleRate) is var at ? FormattableString.Invariant($"{(int)at.TotalMinutes}:{at.Seconds:00}") : "";
}
