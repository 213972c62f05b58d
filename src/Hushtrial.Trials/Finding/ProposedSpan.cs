using Hushtrial.Quantities;

namespace Hushtrial.Trials.Finding;

/// <summary>What a span is proposed as.</summary>
public enum SpanKind
{
    /// <summary>A take of the open ear or of a condition.</summary>
    Take,

    /// <summary>A calibrator's tone.</summary>
    Calibration,

    /// <summary>Quiet, for the own noise of the microphone.</summary>
    Quiet,
}

/// <summary>A condition that a span may show.</summary>
/// <param name="Condition">Its identity, 'open', or null: none of those known.</param>
/// <param name="Probability">0…1.</param>
public sealed record SpanCandidate(string? Condition, double Probability);

/// <summary>A span of a recording proposed as a take, a calibration or an own-noise span. A proposal: nothing uses it until it is accepted.</summary>
/// <param name="Id">Name within one search, for example 'P07'; equal input gives equal names.</param>
/// <param name="Recording">Identity of the recording.</param>
/// <param name="From">Start, s from the start of the recording.</param>
/// <param name="To">End, s.</param>
/// <param name="Kind">Take, calibration or quiet.</param>
/// <param name="Condition">Identity of the condition, or 'open'; null when it is not known well enough, or for other kinds.</param>
/// <param name="Fit">Identity of the donning; null for the open ear, an unknown condition and other kinds.</param>
/// <param name="Confidence">Chance that the span is usable and its label (or kind) right, 0…1: for a blank label, that of the likeliest candidate.</param>
/// <param name="Candidates">What it may show, likeliest first; empty for other kinds than takes.</param>
/// <param name="Group">Letter of the group of spans that sound alike, for spans without a label; null otherwise.</param>
/// <param name="CardRow">Row of the order card it was matched to, from 1; null when none.</param>
/// <param name="Overlaps">Identities of takes of the document that share time with it.</param>
/// <param name="Reasons">The evidence, in words.</param>
/// <param name="Problems">What speaks against it.</param>
public sealed record ProposedSpan(string Id, string Recording, double From, double To, SpanKind Kind, string? Condition, string? Fit, double Confidence,
    IReadOnlyList<SpanCandidate> Candidates, string? Group, int? CardRow, IReadOnlyList<string> Overlaps, IReadOnlyList<string> Reasons, IReadOnlyList<Problem> Problems)
{
    /// <summary>Length, s.</summary>
    public double Seconds => To - From;

    /// <summary>Whether it can become a take as it stands: it has a label and shares no time with a take that is there.</summary>
    public bool CanBeTaken => Kind == SpanKind.Take && Condition is not null && Overlaps.Count == 0;
}
