using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Finding;

/// <summary>What was found in the recordings of a trial.</summary>
/// <param name="Spans">Proposals, by recording in the order given, then by time.</param>
/// <param name="Missing">Rows of cards that no proposal belongs to: recording and row.</param>
/// <param name="Problems">What concerns a whole recording.</param>
public sealed record FoundTakes(IReadOnlyList<ProposedSpan> Spans, IReadOnlyList<MissingRow> Missing, IReadOnlyList<Problem> Problems);

/// <summary>A row of a card that was not found.</summary>
public sealed record MissingRow(string Recording, int Row, string Conditions);

/// <summary>Proposes takes, calibrations and own-noise spans from the level histories of long recordings.</summary>
/// <remarks>Spans lie between changes of the levels in octave-wide groups; the open ear is what is loudest from 2 kHz on; labels come from
/// all alignments of the spans with the card, weighed by how alike the losses of one condition are. Nothing is accepted here. Pure and deterministic.</remarks>
public static class TakeFinder
{
    /// <summary>Proposes spans.</summary>
    /// <param name="traces">Level histories of the trial's recordings, one channel at the ear, all with one gain.</param>
    /// <param name="document">The trial: conditions, devices, and takes that are there already, which teach how its conditions sound.</param>
    /// <param name="cards">Order card by identity of the run or of the recording; a recording without one is searched without order.</param>
    /// <param name="settings">How to look.</param>
    public static FoundTakes Propose(IReadOnlyList<LevelTrace> traces, TrialDocument document, IReadOnlyDictionary<string, OrderCard>? cards = null, FindingSettings? settings = null)
    {
        settings ??= new();
        var problems = new List<Problem>();
        var heard = new List<HeardRecording>();
        foreach (var trace in traces)
        {
            if (BandGroups.Of(trace) is not { } groups)
            {
                problems.Add(new("FND-002", Severity.Warning, trace.Recording, "bands up to 8 kHz are not all there", "a sampling rate of at least 32 kHz", "Takes cannot be found in this recording; mark them by hand."));
                continue;
            }
            var spans = SteadySpans.Of(groups);
            var run = document.Recordings.FirstOrDefault(r => r.Id == trace.Recording)?.Run;
            heard.Add(new(trace, groups, spans, run, cards?.GetValueOrDefault(trace.Recording) ?? (run is null ? null : cards?.GetValueOrDefault(run))));
        }
        HeardRecording.SortSounds(heard, settings);
        foreach (var recording in heard.Where(h => h.Candidates.Count > 0 && !h.Open.IsHere))
            problems.Add(new("FND-003", Severity.Warning, recording.Trace.Recording, recording.Open.Exists ? "no open-ear span" : "no level from 2 kHz on that tells the open ear from a covered one",
                "open-ear spans before, between and after the devices", recording.Open.Exists ? "Losses were told against the open ear of the other recordings; look at the labels with care." : "Labels are left blank. Mark an open-ear take by hand and search again."));
        ConditionLabels.Give(heard, document);
        var (proposals, missing) = Proposals.Of(heard, document, settings);
        return new(proposals, missing, problems);
    }
}

/// <summary>A recording on its way from levels to labels.</summary>
internal sealed class HeardRecording(LevelTrace trace, BandGroups groups, IReadOnlyList<SteadySpan> spans, string? run, OrderCard? card)
{
    public LevelTrace Trace { get; } = trace;

    public BandGroups Groups { get; } = groups;

    public IReadOnlyList<SteadySpan> Spans { get; } = spans;

    public string? Run { get; } = run;

    public OrderCard? Card { get; } = card;

    /// <summary>Spans of a calibrator's tone with its band.</summary>
    public List<(SteadySpan Span, Band Band)> Tones { get; } = [];

    /// <summary>Quiet spans.</summary>
    public List<SteadySpan> Quiet { get; } = [];

    /// <summary>Spans that may be takes.</summary>
    public List<HeardSpan> Candidates { get; private set; } = [];

    /// <summary>The open ear.</summary>
    public OpenReference Open { get; private set; } = null!;

    /// <summary>Sorts the spans of all recordings into tones, quiet and candidates.</summary>
    public static void SortSounds(IReadOnlyList<HeardRecording> recordings, FindingSettings settings)
    {
        var rest = new List<IReadOnlyList<SteadySpan>>();
        foreach (var recording in recordings)
        {
            var others = new List<SteadySpan>();
            foreach (var span in recording.Spans)
            {
                var longest = span.Parts.Count > 0 ? span.Parts.MaxBy(p => p.End - p.First) : default;
                if (longest.End <= longest.First) continue;
                if (SpanSounds.ToneBand(recording.Trace, longest.First, longest.End) is { } band) recording.Tones.Add((span, band));
                else if (span.IsSteady && (longest.End - longest.First) * recording.Trace.StepSeconds >= settings.ShortestTake) others.Add(span);
            }
            rest.Add(others);
        }
        var references = OpenReference.Of(rest);
        foreach (var (index, recording) in recordings.Index())
        {
            recording.Open = references[index];
            recording.Quiet.AddRange(rest[index].Where(s => recording.Open.Exists && SpanSounds.IsQuiet(s.Core, recording.Open.At(s))));
            recording.Candidates = [.. rest[index].Except(recording.Quiet).Select(s => new HeardSpan(s, recording.Open.At(s), recording.Open.Holds(s)))];
            for (var i = 1; i < recording.Candidates.Count; i++)
                recording.Candidates[i].OpenedBefore = recording.WasOpen(recording.Candidates[i - 1].Span.Parts[^1].End, recording.Candidates[i].Span.Parts[0].First);
        }
    }

    /// <summary>Whether the high groups came near the open level for a second or more between two steps.</summary>
    public bool WasOpen(int from, int to)
    {
        if (Open.HighLevel is not { } open) return false;
        var needed = 1 / Trace.StepSeconds;
        var near = 0;
        for (var t = Math.Max(0, from); t < Math.Min(to, Trace.Count); t++)
        {
            near = BandGroups.High.Average(g => Groups.Smooth[g][t]) > open - OpenReference.LeastContrast ? near + 1 : 0;
            if (near >= needed) return true;
        }
        return false;
    }
}

/// <summary>A span that may be a take, with what is thought of it.</summary>
internal sealed class HeardSpan
{
    public HeardSpan(SteadySpan span, double[] open, bool isOpenLike)
    {
        (Span, IsOpenLike) = (span, isOpenLike);
        Losses = [.. open.Zip(span.Core, (o, c) => o - c)];
        Coefficients = LossSignature.Coefficients(Losses);
    }

    public SteadySpan Span { get; }

    /// <summary>Whether it is among the loudest from 2 kHz on.</summary>
    public bool IsOpenLike { get; }

    /// <summary>Open level less its level by group, dB.</summary>
    public double[] Losses { get; }

    public double[] Coefficients { get; }

    /// <summary>Whether the ear was open for a moment since the candidate before.</summary>
    public bool OpenedBefore { get; set; }

    /// <summary>Condition of takes in the document that cover it; null when none do.</summary>
    public string? Taken { get; set; }

    /// <summary>What it may be, likeliest first; null stands for none of those known.</summary>
    public IReadOnlyList<SpanCandidate> Candidates { get; set; } = [];

    /// <summary>Row of the card it most likely belongs to.</summary>
    public int? Row { get; set; }
}
