using Hushtrial.Store.Captures;
using Hushtrial.Trials.Leading;

namespace Hushtrial.Web.Capturing;

/// <summary>Something that an observer marked with one key.</summary>
/// <param name="Frame">Where.</param>
/// <param name="What">'radio', 'bump', 'turbulence' or 'other'.</param>
internal sealed record LedEvent(long Frame, string What);

/// <summary>A take that was led, as the marks tell it.</summary>
/// <param name="From">First frame.</param>
/// <param name="To">One past the last frame.</param>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Fit">The donning; null for the open ear.</param>
/// <param name="Fate">What became of it.</param>
/// <param name="Decided">Whether the observer said so; until then what it was advised to be is open.</param>
/// <param name="Words">Why.</param>
internal sealed record LedSpan(long From, long To, string Condition, string? Fit, TakeFate Fate, bool Decided, string Words);

/// <summary>What is under way: a device was put on, or a take has begun.</summary>
/// <param name="Taking">Whether the take has begun; else it settles.</param>
/// <param name="From">Since when.</param>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Fit">The donning; null for the open ear.</param>
internal sealed record UnderWay(bool Taking, long From, string Condition, string? Fit);

/// <summary>A run as the marks of a capture tell it. Marks are only ever appended, so a later one decides about an earlier one.</summary>
/// <param name="Run">Identity of the run; null when none was chosen.</param>
/// <param name="Wearer">Identity of the wearer; null when none was chosen.</param>
/// <param name="Takes">The takes in order of time, aborted ones among them.</param>
/// <param name="Now">What is under way; null when nothing is.</param>
/// <param name="Events">The events in order of time.</param>
/// <param name="BareFrames">Frames without protection in takes and while settling, the one under way not counted.</param>
/// <param name="Changes">How often a device was put on.</param>
internal sealed record LedRun(string? Run, string? Wearer, IReadOnlyList<LedSpan> Takes, UnderWay? Now, IReadOnlyList<LedEvent> Events, long BareFrames, int Changes)
{
    /// <summary>Kinds of marks that the leading card makes.</summary>
    public static IReadOnlyList<string> Kinds { get; } = ["run", "wearer", "worn", "begin", "take", "abort", "keep", "again", "anew", "event"];

    /// <summary>Kinds of events.</summary>
    public static IReadOnlyList<string> EventKinds { get; } = ["radio", "bump", "turbulence", "other"];

    /// <summary>Reads the marks.</summary>
    public static LedRun Of(IReadOnlyList<CaptureMark> marks)
    {
        var (run, wearer) = ((string?)null, (string?)null);
        var takes = new List<LedSpan>();
        var events = new List<LedEvent>();
        UnderWay? now = null;
        var (bare, changes) = (0L, 0);
        foreach (var mark in marks)
            switch (mark.Kind)
            {
                case "run": run = mark.Words.Length > 0 ? mark.Words : null; break;
                case "wearer": wearer = mark.Words.Length > 0 ? mark.Words : null; break;
                case "worn" or "begin":
                    // From putting on to the take is one stretch: the bare ear is bare while it settles too.
                    if (mark.Kind == "worn" && mark.Condition != Trials.Document.TrialDocument.OpenEar) changes++;
                    if (mark.Kind == "begin" && now is { Taking: false } settled && IsOpen(settled.Condition)) bare += mark.From - settled.From;
                    now = new(mark.Kind == "begin", mark.From, mark.Condition ?? "", mark.Fit);
                    Decide(takes, TakeFate.Kept, "");
                    break;
                case "take" when mark.To is { } to:
                    if (IsOpen(mark.Condition)) bare += to - mark.From;
                    takes.Add(new(mark.From, to, mark.Condition ?? "", mark.Fit, TakeFate.Kept, false, ""));
                    now = null;
                    break;
                case "abort" when now is { } stopped:
                    var end = mark.To ?? mark.From;
                    if (IsOpen(stopped.Condition)) bare += Math.Max(0, end - stopped.From);
                    if (stopped.Taking) takes.Add(new(stopped.From, end, stopped.Condition, stopped.Fit, TakeFate.Aborted, true, mark.Words));
                    now = null;
                    break;
                case "keep": Decide(takes, TakeFate.Kept, mark.Words); break;
                case "again": Decide(takes, TakeFate.Again, mark.Words); break;
                case "anew": Decide(takes, TakeFate.AgainPutOn, mark.Words); break;
                case "event": events.Add(new(mark.From, mark.Words)); break;
            }
        return new(run, wearer, takes, now, events, bare, changes);
    }

    /// <summary>What was marked inside a take.</summary>
    public IEnumerable<LedEvent> EventsIn(LedSpan take) => Events.Where(e => e.Frame >= take.From && e.Frame < take.To);

    /// <summary>The last take while the observer has not said what becomes of it; null when all is said.</summary>
    public LedSpan? Undecided => Now is null && Takes is [.., { Decided: false } last] ? last : null;

    private static bool IsOpen(string? condition) => condition == Trials.Document.TrialDocument.OpenEar;

    private static void Decide(List<LedSpan> takes, TakeFate fate, string words)
    {
        if (takes is [.., { Decided: false } last]) takes[^1] = last with { Fate = fate, Decided = true, Words = words };
    }
}
