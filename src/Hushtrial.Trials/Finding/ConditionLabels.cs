using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Finding;

/// <summary>Weighs which condition each span shows: alignments with the card and likeness of losses, in turns until they agree.</summary>
internal static class ConditionLabels
{
    private const int Turns = 12;
    private const double Agreed = 1e-3;
    private const double Impossible = -1e3;
    private const string Stranger = "";

    /// <summary>Fills the candidates and rows of all spans.</summary>
    public static void Give(IReadOnlyList<HeardRecording> recordings, TrialDocument document)
    {
        var kinds = document.Conditions.Where(c => document.Devices.First(d => d.Id == c.Device).Measurable).ToDictionary(c => c.Id, c => LossSignature.Of(document, c), StringComparer.Ordinal);
        foreach (var recording in recordings)
            foreach (var span in recording.Candidates) span.Taken = TakenAs(recording, span, document);
        // A span teaches only where a card or a take that is there says what it may be; else a guess would confirm itself.
        var teaching = recordings.Where(r => r.Open.Exists).SelectMany(r => r.Candidates.Where(s => r.Card is not null || s.Taken is not null)).ToList();
        var belief = teaching.ToDictionary(s => s, s => s.Taken is { } t ? new Dictionary<string, double>(StringComparer.Ordinal) { [t] = 1 } : []);
        for (var turn = 0; turn < Turns; turn++)
        {
            var known = kinds.Keys.Where(c => belief.Values.Any(b => b.GetValueOrDefault(c) > 0.5)).ToHashSet(StringComparer.Ordinal);
            var evidence = new Evidence(belief);
            foreach (var recording in recordings.Where(r => r.Open.Exists)) Weigh(recording, document, kinds, evidence, known);
            var next = teaching.ToDictionary(s => s, s => s.Taken is { } t ? new(StringComparer.Ordinal) { [t] = 1 }
                : s.Candidates.ToDictionary(c => c.Condition ?? Stranger, c => c.Probability, StringComparer.Ordinal));
            var moved = teaching.Count == 0 ? 0 : teaching.Max(s => next[s].Max(c => Math.Abs(c.Value - belief[s].GetValueOrDefault(c.Key))));
            belief = next;
            if (moved < Agreed) break;
        }
    }

    private static void Weigh(HeardRecording recording, TrialDocument document, Dictionary<string, LossSignature> kinds,
        Evidence evidence, HashSet<string> known)
    {
        var ordered = recording.Card is not null;
        var places = ordered ? CardAlignment.Places(recording.Card!, document)
            : [new(TrialDocument.OpenEar, null, null), .. document.Conditions.Where(c => known.Contains(c.Id)).Select(c => new CardPlace(c.Id, CardAlignment.DonnedAs(c), null))];
        if (places.Count == 0) return;
        var densities = recording.Candidates.Select(span => Densities(span, places, kinds, evidence)).ToList();
        var probabilities = CardAlignment.Probabilities(places, ordered, densities, [.. recording.Candidates.Select(c => c.OpenedBefore)]);
        foreach (var (j, span) in recording.Candidates.Index())
        {
            var p = probabilities[j];
            span.Candidates = [.. Enumerable.Range(0, places.Count + 1).GroupBy(i => i < places.Count ? places[i].Condition : "", StringComparer.Ordinal)
                .Select(g => new SpanCandidate(g.Key.Length > 0 ? g.Key : null, g.Sum(i => p[i]))).OrderByDescending(c => c.Probability).ThenBy(c => c.Condition, StringComparer.Ordinal)];
            var of = Enumerable.Range(0, places.Count).Where(i => places[i].Condition == span.Candidates[0].Condition).ToList();
            span.Row = of.Count > 0 ? places[of.MaxBy(i => p[i])].Row : null;
        }
    }

    private static double[] Densities(HeardSpan span, IReadOnlyList<CardPlace> places, Dictionary<string, LossSignature> kinds, Evidence evidence)
    {
        var of = new Dictionary<string, double>(StringComparer.Ordinal) { [TrialDocument.OpenEar] = LossSignature.Open.LogDensity(span.Coefficients) };
        var densities = new double[places.Count + 1];
        for (var i = 0; i < places.Count; i++)
        {
            var condition = places[i].Condition;
            if (!of.TryGetValue(condition, out var density))
            {
                var signature = kinds.TryGetValue(condition, out var kind) ? evidence.Without(span, condition, kind) : LossSignature.Anything;
                of[condition] = density = signature.LogDensity(span.Coefficients);
            }
            densities[i] = density + (span.Taken is { } taken && taken != condition ? Impossible : 0);
        }
        // None of those known: one other device that the trial's spans themselves describe, or anything at all, as probable as each other.
        var stranger = evidence.Without(span, Stranger, LossSignature.Stranger).LogDensity(span.Coefficients);
        var anything = LossSignature.Anything.LogDensity(span.Coefficients);
        densities[^1] = Math.Max(stranger, anything) + Math.Log(0.5 * (1 + Math.Exp(-Math.Abs(stranger - anything))));
        return densities;
    }

    /// <summary>What all spans say of the conditions: sums of their coefficients, weighed by what is believed of each.</summary>
    private sealed class Evidence(Dictionary<HeardSpan, Dictionary<string, double>> belief)
    {
        private readonly Dictionary<string, (double[] Sums, double Total)> _all = Sum(belief);

        /// <summary>What the other spans say of a condition; a span does not speak for itself.</summary>
        public LossSignature Without(HeardSpan span, string condition, LossSignature kind)
        {
            if (!_all.TryGetValue(condition, out var all)) return kind;
            var own = belief.TryGetValue(span, out var b) ? b.GetValueOrDefault(condition) : 0;
            return kind.After([.. all.Sums.Select((s, k) => s - (own * span.Coefficients[k]))], all.Total - own);
        }

        private static Dictionary<string, (double[] Sums, double Total)> Sum(Dictionary<HeardSpan, Dictionary<string, double>> belief)
        {
            var all = new Dictionary<string, (double[] Sums, double Total)>(StringComparer.Ordinal);
            foreach (var (span, of) in belief)
                foreach (var (condition, p) in of)
                {
                    var (sums, total) = all.TryGetValue(condition, out var known) ? known : (new double[span.Coefficients.Length], 0);
                    for (var k = 0; k < sums.Length; k++) sums[k] += p * span.Coefficients[k];
                    all[condition] = (sums, total + p);
                }
            return all;
        }
    }

    private static string? TakenAs(HeardRecording recording, HeardSpan span, TrialDocument document)
    {
        var (from, to) = (span.Span.FirstStep * recording.Trace.StepSeconds, span.Span.EndStep * recording.Trace.StepSeconds);
        var best = document.Takes.Where(t => t.Recording == recording.Trace.Recording && t.From is not null && t.To is not null)
            .Select(t => (t.Condition, Shared: Math.Min(to, t.To!.Value) - Math.Max(from, t.From!.Value), Length: t.To!.Value - t.From!.Value))
            .Where(t => t.Shared > 0.5 * t.Length).OrderByDescending(t => t.Shared).FirstOrDefault();
        return best.Condition;
    }
}
