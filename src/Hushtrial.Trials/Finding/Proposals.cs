using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Finding;

/// <summary>Writes the proposals: spans, labels, donnings and the evidence in words.</summary>
internal static class Proposals
{
    private const double AlikeSquares = 16;
    private const double LevelStep = 3;
    private const double HandsAtOpenEar = 2;

    public static (IReadOnlyList<ProposedSpan> Spans, IReadOnlyList<MissingRow> Missing) Of(IReadOnlyList<HeardRecording> recordings, TrialDocument document, FindingSettings settings)
    {
        var proposals = new List<ProposedSpan>();
        var missing = new List<MissingRow>();
        var groups = Alike(recordings, settings);
        foreach (var recording in recordings)
        {
            var own = new List<ProposedSpan>();
            foreach (var (span, band) in recording.Tones) own.AddRange(Sound(recording, span, SpanKind.Calibration, document, settings,
                $"a steady tone in the band {band}, above all other bands together"));
            foreach (var span in recording.Quiet) own.AddRange(Sound(recording, span, SpanKind.Quiet, document, settings,
                "every band far below the open ear, more at low frequencies than a device reduces"));
            own.AddRange(Takes(recording, document, settings, groups));
            own.Sort((a, b) => a.From.CompareTo(b.From));
            foreach (var span in own) proposals.Add(span with { Id = string.Create(CultureInfo.InvariantCulture, $"P{proposals.Count + 1:00}") });
            if (recording.Card is { } card)
                missing.AddRange(card.Rows.Where(r => own.All(s => s.CardRow != r.Number)).Select(r => new MissingRow(recording.Trace.Recording, r.Number, string.Join(", ", r.Conditions))));
        }
        return (proposals, missing);
    }

    private static IEnumerable<ProposedSpan> Sound(HeardRecording recording, SteadySpan span, SpanKind kind, TrialDocument document, FindingSettings settings, string reason)
    {
        var (first, end) = span.Parts.MaxBy(p => p.End - p.First);
        var (from, to) = (Seconds(recording, first), Seconds(recording, end));
        if (to - from < Math.Min(settings.ShortestTake, 4)) yield break;
        var id = recording.Trace.Recording;
        string[] there = kind == SpanKind.Calibration
            ? [.. document.Calibrations.Where(c => c.Recording == id && c.From < to && c.To > from).Select(c => $"calibration of {c.Channel}")]
            : [.. document.Channels.Where(c => c.NoiseRecording == id && c.NoiseFrom < to && c.NoiseTo > from).Select(c => $"own noise of {c.Id}")];
        yield return new("", id, from, to, kind, null, null, ConfidenceScale.OfSound, [], null, null, there, [reason], []);
    }

    private static IEnumerable<ProposedSpan> Takes(HeardRecording recording, TrialDocument document, FindingSettings settings, Dictionary<HeardSpan, string> groups)
    {
        var id = recording.Trace.Recording;
        var used = document.Takes.Where(t => t.Fit is not null).Select(t => t.Fit!).ToHashSet(StringComparer.Ordinal);
        var (donned, fit) = ((string?)null, (string?)null);
        foreach (var heard in recording.Candidates)
        {
            var best = heard.Candidates.Count > 0 ? heard.Candidates[0] : new SpanCandidate(null, 0);
            var confidence = ConfidenceScale.OfLabel(best);
            var outside = best.Condition is not (null or TrialDocument.OpenEar) && heard.Taken is null && IsOutsideBrackets(recording, heard);
            if (outside) confidence = Math.Min(confidence, ConfidenceScale.MostOutsideBrackets);
            var condition = confidence >= settings.LabelFrom ? best.Condition : null;
            var worn = condition is null or TrialDocument.OpenEar ? null : CardAlignment.DonnedAs(document.Conditions.First(c => c.Id == condition));
            // A donning lasts until another device, an unknown span, or an ear that was open for a moment.
            if (worn is null || worn != donned || heard.OpenedBefore) fit = worn is null ? null : NewFit(recording.Run ?? id, worn, used);
            donned = worn;
            // After a device was taken off, hands stay at the ear, and in the open noise they are not heard.
            var settle = heard.Span.FirstStep > 0 ? settings.Settle + (heard.IsOpenLike ? HandsAtOpenEar : 0) : 0;
            var reasons = Reasons(recording, heard, condition, settle, document, groups);
            if (outside) reasons.Add("it lies before the first or behind the last open-ear span, where the card has no device: perhaps a headset that is not tried");
            foreach (var (part, (first, end)) in heard.Span.Parts.Index())
            {
                var (from, to) = (Seconds(recording, first) + (part == 0 ? settle : 0), Seconds(recording, end));
                if (to - from < settings.ShortestTake) continue;
                var overlaps = document.Takes.Where(t => t.Recording == id && t.From < to && t.To > from).Select(t => t.Id).ToList();
                yield return new("", id, from, to, SpanKind.Take, condition, fit, confidence, [.. heard.Candidates.Where(c => c.Probability >= 0.02)],
                    groups.GetValueOrDefault(heard), heard.Row, overlaps, reasons, [.. Against(recording, heard, from, to, condition, confidence, overlaps, settings)]);
            }
        }
    }

    // A card that begins and ends with the open ear has its devices between open spans.
    private static bool IsOutsideBrackets(HeardRecording recording, HeardSpan heard)
    {
        if (recording.Card is not { } card) return false;
        var open = recording.Candidates.Where(c => c.IsOpenLike).ToList();
        if (open.Count == 0) return false;
        return (card.Rows[0].IsOpen && heard.Span.FirstStep < open[0].Span.FirstStep) || (card.Rows[^1].IsOpen && heard.Span.FirstStep > open[^1].Span.FirstStep);
    }

    private static List<string> Reasons(HeardRecording recording, HeardSpan heard, string? condition, double settle, TrialDocument document, Dictionary<HeardSpan, string> groups)
    {
        var span = heard.Span;
        var reasons = new List<string> { string.Create(CultureInfo.InvariantCulture, $"steady: half-second levels within {span.Range:0.0} dB, change from start to end {span.Trend:0.0} dB") };
        if (settle > 0) reasons.Add(string.Create(CultureInfo.InvariantCulture, $"begins {settle:0.#} s after the level came to rest"));
        if (span.Transients > 0) reasons.Add(string.Create(CultureInfo.InvariantCulture, $"{span.Transients} short {(span.Transients == 1 ? "sound" : "sounds")} kept out"));
        if (recording.Open.Exists)
            reasons.Add(heard.IsOpenLike ? string.Create(CultureInfo.InvariantCulture, $"among the loudest from 2 kHz on, as the open ear is; {Mean(heard, 0, 3):+0.0;−0.0} dB below the open spans beside it at 63 to 250 Hz, {Mean(heard, 5, 7):+0.0;−0.0} dB at 2 to 4 kHz")
                : string.Create(CultureInfo.InvariantCulture, $"below the open ear by {Mean(heard, 0, 3):0} dB at 63 to 250 Hz, {Mean(heard, 3, 5):0} dB at 500 Hz to 1 kHz, {Mean(heard, 5, 7):0} dB at 2 to 4 kHz"));
        if (heard.Taken is { } taken) reasons.Add($"a take of {Name(document, taken)} lies in it");
        if (heard.Row is { } row && condition is not null) reasons.Add(string.Create(CultureInfo.InvariantCulture, $"fits row {row} of the card: {Name(document, condition)}"));
        if (groups.GetValueOrDefault(heard) is { } letter) reasons.Add($"sounds like the other spans of group {letter}");
        return reasons;
    }

    private static IEnumerable<Problem> Against(HeardRecording recording, HeardSpan heard, double from, double to, string? condition, double confidence, List<string> overlaps, FindingSettings settings)
    {
        var where = string.Create(CultureInfo.InvariantCulture, $"{recording.Trace.Recording}, {from:0.0} to {to:0.0} s");
        if (overlaps.Count > 0)
            yield return new("FND-004", Severity.Note, where, $"it shares time with {string.Join(", ", overlaps)}", "time that no take uses", "The take that is there stays as it is; this proposal is not written.");
        if (condition is null)
            yield return new("FND-005", Severity.Note, where, heard.Candidates.Count == 0 ? "nothing tells which condition it is"
                    : string.Create(CultureInfo.InvariantCulture, $"the likeliest condition, {heard.Candidates[0].Condition ?? "none of those known"}, has a confidence of {confidence:0.00}"),
                string.Create(CultureInfo.InvariantCulture, $"a confidence of {settings.LabelFrom:0.00} or more"), "Listen to it and set the condition by hand, or leave it out.");
        if (condition == TrialDocument.OpenEar && heard.Losses.Average() is var change && Math.Abs(change) > LevelStep)
            yield return new("FND-006", Severity.Warning, where, string.Create(CultureInfo.InvariantCulture, $"the open level lies {-change:+0.0;−0.0} dB from that of the open spans beside it"),
                "one steady state of the vehicle", "The power or the speed may have changed here; use it only with devices measured in the same state.", Math.Round(change, 1));
    }

    private static string NewFit(string run, string worn, HashSet<string> used)
    {
        var name = $"{run}-{worn}";
        for (var n = 2; !used.Add(name); n++) name = string.Create(CultureInfo.InvariantCulture, $"{run}-{worn}-{n}");
        return name;
    }

    // Letters for spans without a label that sound alike, over all recordings: each joins the first group whose mean lies near enough.
    private static Dictionary<HeardSpan, string> Alike(IReadOnlyList<HeardRecording> recordings, FindingSettings settings)
    {
        var groups = new List<(List<HeardSpan> Members, double[] Mean)>();
        foreach (var (recording, span) in recordings.Where(r => r.Open.Exists).SelectMany(r => r.Candidates.Select(c => (r, c))))
        {
            if (span.IsOpenLike || (span.Candidates is [{ Condition: not null } first, ..] && ConfidenceScale.OfLabel(first) >= settings.LabelFrom && !IsOutsideBrackets(recording, span))) continue;
            var near = groups.FirstOrDefault(g => g.Mean.Zip(span.Coefficients, (m, x) => (m - x) * (m - x)).Sum() / span.Coefficients.Length <= AlikeSquares / 2);
            if (near.Members is null) groups.Add(([span], [.. span.Coefficients]));
            else
            {
                near.Members.Add(span);
                for (var k = 0; k < near.Mean.Length; k++) near.Mean[k] += (span.Coefficients[k] - near.Mean[k]) / near.Members.Count;
            }
        }
        return groups.Index().SelectMany(g => g.Item.Members.Select(m => (m, Letter: Letters(g.Index)))).ToDictionary(x => x.m, x => x.Letter);
    }

    private static string Letters(int index) => index < 26 ? ((char)('A' + index)).ToString() : Letters((index / 26) - 1) + Letters(index % 26);

    private static double Mean(HeardSpan heard, int first, int end) => heard.Losses[first..end].Average();

    private static double Seconds(HeardRecording recording, int step) => Math.Round(step * recording.Trace.StepSeconds, 3);

    private static string Name(TrialDocument document, string condition) => condition == TrialDocument.OpenEar ? "the open ear" : ConditionName.Of(document, document.Conditions.First(c => c.Id == condition));
}
