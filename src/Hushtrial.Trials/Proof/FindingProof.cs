using Hushtrial.Trials.Document;
using Hushtrial.Trials.Finding;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Proof;

/// <summary>One proposal beside the truth.</summary>
/// <param name="Trial">Seed of the trial.</param>
/// <param name="Span">The proposal.</param>
/// <param name="Truth">The condition that was really heard; null when the span is none.</param>
/// <param name="Inside">Whether at least nine tenths of it lie in the true span.</param>
/// <param name="Exact">Whether all of it does, half a second allowed at each end.</param>
/// <param name="StartError">Its start less the true start, s, where it is the true span's first part; else null.</param>
/// <param name="EndError">The true end less its end, s, where it is the last part; else null.</param>
/// <param name="Donning">The true donning; 0 for none.</param>
public sealed record JudgedSpan(ulong Trial, ProposedSpan Span, TrueSpan? Truth, bool Inside, bool Exact, double? StartError, double? EndError, int Donning)
{
    /// <summary>The likeliest condition; null for none of those known.</summary>
    public string? Likeliest => Span.Candidates.Count > 0 ? Span.Candidates[0].Condition : null;

    /// <summary>Whether the likeliest condition is the true one and the span usable, or 'none of those known' is said of a span that is none.</summary>
    public bool IsRight => Truth is null ? Likeliest is null : Inside && Likeliest == Truth.Condition;
}

/// <summary>What the finding of takes gave on trials whose truth is known.</summary>
/// <param name="Trials">Number of trials.</param>
/// <param name="Judged">Every proposed take.</param>
/// <param name="True">True spans long enough to be proposed.</param>
/// <param name="Missed">Those of them without a proposal.</param>
/// <param name="SoundsRight">Tones and quiet spans found.</param>
/// <param name="SoundsTrue">Tones and quiet spans that were there.</param>
/// <param name="SoundsFalse">Proposed ones that were not.</param>
public sealed record FindingProofResult(int Trials, IReadOnlyList<JudgedSpan> Judged, int True, IReadOnlyList<(ulong Trial, string Run, TrueSpan Span)> Missed, int SoundsRight, int SoundsTrue, int SoundsFalse);

/// <summary>Tries the finding of takes on flights recorded from start to landing.</summary>
public static class FindingProof
{
    private const double Allowed = 0.5;

    // A tenth of a take at a level some decibels off moves its mean by a few tenths of one.
    private const double UsableShare = 0.9;

    // What edges and hands at the open ear cost at most beside a sharp change: a true span has to be longer by this to be expected.
    private const double Margins = 4;

    /// <summary>Runs it.</summary>
    /// <param name="firstSeed">Seed of the first trial; the others follow.</param>
    /// <param name="trials">Number of trials of three flights.</param>
    /// <param name="withCards">Whether the finder is given the cards.</param>
    /// <param name="settings">How it looks.</param>
    /// <param name="cancellation">Stops between trials.</param>
    public static FindingProofResult Run(ulong firstSeed, int trials, bool withCards, FindingSettings? settings = null, CancellationToken cancellation = default)
    {
        settings ??= new();
        var document = ContinuousFlights.Document();
        var results = new List<JudgedSpan>();
        var missed = new List<(ulong, string, TrueSpan)>();
        var (count, right, sounds, wrong) = (0, 0, 0, 0);
        for (var trial = 0; trial < trials; trial++)
        {
            cancellation.ThrowIfCancellationRequested();
            var seed = firstSeed + (ulong)trial;
            var scripts = ContinuousFlights.Scripts(seed);
            var draws = new Draws(seed ^ 0x5eed);
            var traces = scripts.Select(s => FlightHistory.Draw(Name(s), s, draws.Split())).ToList();
            var found = TakeFinder.Propose(traces, document, withCards ? scripts.ToDictionary(s => s.Run, Card, StringComparer.Ordinal) : null, settings);
            foreach (var script in scripts)
            {
                var spans = found.Spans.Where(s => s.Recording == Name(script)).ToList();
                var takes = spans.Where(s => s.Kind == SpanKind.Take).ToList();
                results.AddRange(takes.Select(t => Judge(seed, t, takes, script)));
                var usable = script.Truth.Where(t => LongestQuiet(t, script) >= settings.ShortestTake + settings.Settle + Margins).ToList();
                count += usable.Count;
                missed.AddRange(usable.Where(t => !takes.Any(p => Shared(p, t) > 0.5 * p.Seconds)).Select(t => (seed, script.Run, t)));
                if (script.ToneUntil <= 0) { wrong += spans.Count(s => s.Kind != SpanKind.Take); continue; }
                sounds += 2;
                var ground = spans.Where(s => s.Kind != SpanKind.Take).ToList();
                var (tone, quiet) = (ground.Count(s => s.Kind == SpanKind.Calibration && s.From >= 2 && s.To <= script.ToneUntil + Allowed),
                    ground.Count(s => s.Kind == SpanKind.Quiet && s.From >= script.ToneUntil - Allowed && s.To <= script.QuietUntil + Allowed));
                right += Math.Min(tone, 1) + Math.Min(quiet, 1);
                wrong += ground.Count - tone - quiet;
            }
        }
        return new(trials, results, count, missed, right, sounds, wrong);
    }

    /// <summary>The card as the finder takes it.</summary>
    public static OrderCard Card(FlightScript script) => new([.. script.Card.Select((row, i) => new CardRow(i + 1, row))]);

    private static string Name(FlightScript script) => $"{script.Run.ToLowerInvariant()}-recording";

    private static JudgedSpan Judge(ulong seed, ProposedSpan span, List<ProposedSpan> all, FlightScript script)
    {
        var truth = script.Truth.Where(t => Shared(span, t) > 0.5 * span.Seconds).FirstOrDefault();
        if (truth is null) return new(seed, span, null, false, false, null, null, 0);
        var siblings = all.Where(p => Shared(p, truth) > 0.5 * p.Seconds).ToList();
        bool Disturbed(double from, double to) => script.Handling.Any(h => h.From < to && h.To > from) || script.Calls.Any(c => c.From < to && c.To > from);
        // An edge beside a knock or a call is moved inwards on purpose: only undisturbed ones tell how well edges are found.
        double? start = ReferenceEquals(siblings[0], span) && !Disturbed(truth.From, span.From) ? span.From - truth.From : null;
        double? end = ReferenceEquals(siblings[^1], span) && !Disturbed(span.To, truth.To) ? truth.To - span.To : null;
        return new(seed, span, truth, Shared(span, truth) >= UsableShare * span.Seconds, span.From >= truth.From - Allowed && span.To <= truth.To + Allowed, start, end, truth.Donning);
    }

    private static double Shared(ProposedSpan span, TrueSpan truth) => Math.Min(span.To, truth.To) - Math.Max(span.From, truth.From);

    private static double LongestQuiet(TrueSpan truth, FlightScript script)
    {
        var cuts = script.Handling.Select(h => (h.From, h.To)).Concat(script.Calls.Select(c => (c.From, c.To))).Where(c => c.From < truth.To && c.To > truth.From).OrderBy(c => c.From);
        var (at, longest) = (truth.From, 0.0);
        foreach (var (from, to) in cuts)
        {
            longest = Math.Max(longest, from - at);
            at = Math.Max(at, to);
        }
        return Math.Max(longest, truth.To - at);
    }
}
