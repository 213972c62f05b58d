namespace Hushtrial.Signals.Recordings;

/// <summary>A stretch of a recording, in seconds from its first frame.</summary>
/// <param name="From">Start, s.</param>
/// <param name="To">End, s; behind the start.</param>
public readonly record struct RecordingSpan(double From, double To);
