using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Signals.Rendering;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Listening;

/// <summary>The stretches of a take from which the cabin is played.</summary>
/// <param name="Take">Identity of the take.</param>
/// <param name="Recording">Identity of the recording.</param>
/// <param name="Channel">Number of the channel, from 1.</param>
/// <param name="Pieces">The stretches, seconds of the recording, in order.</param>
/// <param name="LeftOut">Seconds of the take in which speech or bursts were left out.</param>
public sealed record CabinSpan(string Take, string Recording, int Channel, IReadOnlyList<(double From, double To)> Pieces, double LeftOut)
{
    /// <summary>Longest loop, s.</summary>
    public const double Seconds = 8;

    private const double Least = 3;
    private const double ShortestPiece = 1;
    private const double WindowStep = 0.5;
    private const int MostLookedAt = 6;

    /// <summary>The steadiest stretch of a trial's open ear (for a level difference: of its outside microphone); null when no recording of it can be played.</summary>
    /// <param name="results">The results.</param>
    /// <param name="recording">Gives the samples of a recording; null when it cannot be read.</param>
    /// <param name="withSpeech">Whether speech and bursts stay in.</param>
    /// <param name="cancellation">Ends the search.</param>
    /// <remarks>Takes with the fewest findings first; among them the stretch whose A-weighted levels of 125 ms scatter least. With speech: the stretch that holds most of it.</remarks>
    public static CabinSpan? Of(TrialResults results, Func<string, SampleSource?> recording, bool withSpeech, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(results);
        ArgumentNullException.ThrowIfNull(recording);
        var outside = results.Document.Quantity == MeasuredQuantity.LevelDifference;
        if (results.Document.Channels.FirstOrDefault(c => c.Outside == outside) is not { Number: var channel }) return null;
        var candidates = results.Takes.Where(t => t is { Used: true, Entry: { Recording: not null, From: not null, To: not null } } && (outside || t.Entry.IsOpen))
            .Select(t => (Take: t, Span: Clean(t, channel, withSpeech))).Where(c => c.Span is not null)
            .OrderByDescending(c => withSpeech ? Speech(c.Take, (double.NegativeInfinity, double.PositiveInfinity)) : 0).ThenBy(c => Findings(c.Take)).ThenBy(c => c.Span!.Pieces.Count).ThenByDescending(c => c.Span!.Pieces.Sum(p => p.To - p.From)).Take(MostLookedAt);
        (CabinSpan Span, double Cost)? best = null;
        var findings = int.MaxValue;
        foreach (var (take, span) in candidates)
        {
            cancellation.ThrowIfCancellationRequested();
            // More findings never win over a little more steadiness.
            if (best is not null && Findings(take) > findings) break;
            if (recording(span!.Recording) is not { } samples || channel > samples.Channels || samples.SampleRate is < LevelAnalysis.LowestRate or > LevelAnalysis.HighestRate) continue;
            if (span.Pieces[^1].To * samples.SampleRate > samples.Frames + 1) continue;
            findings = Findings(take);
            var (chosen, cost) = Chosen(span, samples, withSpeech ? window => -Speech(take, window) : null);
            if (best is null || cost < best.Value.Cost) best = (chosen, cost);
        }
        return best?.Span;
    }

    /// <summary>The samples of the stretches, as read.</summary>
    public IReadOnlyList<double[]> Read(SampleSource samples)
    {
        ArgumentNullException.ThrowIfNull(samples);
        return [.. Pieces.Select(p =>
        {
            var first = (long)Math.Round(p.From * samples.SampleRate);
            var piece = new double[Math.Min((long)Math.Round(p.To * samples.SampleRate), samples.Frames) - first];
            samples.Read(Channel - 1, first, piece);
            return piece;
        })];
    }

    // Speech is what this is about: it does not count against a take.
    private static int Findings(TakeResult take) => take.Findings.Count(f => f.Code != "TAK-019");

    private static double Speech(TakeResult take, (double From, double To) window) =>
        take.NoiseOnly?.Spans.Sum(s => Math.Max(0, Math.Min(s.To, window.To) - Math.Max(s.From, window.From))) ?? 0;

    private static CabinSpan? Clean(TakeResult take, int channel, bool withSpeech)
    {
        var (at, end) = (take.Entry.From!.Value, take.Entry.To!.Value);
        var pieces = new List<(double, double)>();
        var silent = withSpeech ? [] : take.NoiseOnly?.Spans ?? [];
        foreach (var (from, to) in silent.OrderBy(s => s.From).Append((From: end, To: end)))
        {
            if (Math.Min(from, end) - at >= ShortestPiece) pieces.Add((at, Math.Min(from, end)));
            at = Math.Max(at, to);
        }
        var seconds = pieces.Sum(p => p.Item2 - p.Item1) - SeamlessLoop.Taken(pieces.Count);
        return seconds < Least ? null : new(take.Entry.Id, take.Entry.Recording!, channel, pieces, silent.Sum(s => s.To - s.From));
    }

    /// <summary>The part of a span that costs least: by its scatter where no other cost is given.</summary>
    private static (CabinSpan Span, double Cost) Chosen(CabinSpan span, SampleSource samples, Func<(double From, double To), double>? cost)
    {
        const double needed = Seconds + SeamlessLoop.FadeSeconds;
        var (from, to) = (span.Pieces[0].From, span.Pieces[^1].To);
        var (first, end) = ((long)Math.Round(from * samples.SampleRate), Math.Min((long)Math.Round(to * samples.SampleRate), samples.Frames));
        var history = LevelAnalysis.Measure(samples, span.Channel - 1, first, end - first, new LevelSettings { History = true, Octaves = false, Thirds = false }).History!;
        double Cost((double From, double To) window)
        {
            if (cost is not null) return cost(window);
            var (a, b) = window;
            var levels = Enumerable.Range(0, history.Count).Where(i => from + (i * history.StepSeconds) >= a - 1e-9 && from + ((i + 1) * history.StepSeconds) <= b + 1e-9)
                .Select(i => 10 * Math.Log10(Math.Max(history.MeanSquareA[i], 1e-20))).ToList();
            if (levels.Count < 2) return double.PositiveInfinity;
            var mean = levels.Average();
            return levels.Sum(l => (l - mean) * (l - mean)) / (levels.Count - 1);
        }
        var windows = span.Pieces.Where(p => p.To - p.From >= needed)
            .SelectMany(p => Enumerable.Range(0, 1 + (int)((p.To - p.From - needed) / WindowStep)).Select(i => (From: p.From + (i * WindowStep), To: p.From + (i * WindowStep) + needed))).ToList();
        if (windows.Count > 0)
        {
            var (window, least) = windows.Select(w => (w, Cost(w))).MinBy(w => w.Item2);
            return (span with { Pieces = [window] }, least);
        }
        // No stretch is long enough: the longest ones are joined in their order.
        var (kept, sum) = (new List<(double From, double To)>(), 0.0);
        foreach (var piece in span.Pieces.OrderByDescending(p => p.To - p.From))
        {
            if (sum >= needed) break;
            kept.Add(piece);
            sum += piece.To - piece.From - SeamlessLoop.Taken(1);
        }
        return (span with { Pieces = [.. kept.OrderBy(p => p.From)] }, kept.Average(Cost));
    }
}
