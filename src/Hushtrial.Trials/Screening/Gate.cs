namespace Hushtrial.Trials.Screening;

/// <summary>A stretch of a take that is not the cabin's noise.</summary>
/// <param name="From">Start in the recording, s.</param>
/// <param name="To">End in the recording, s.</param>
public sealed record GatedSpan(double From, double To);

/// <summary>A take with its speech and bursts set aside. The take itself keeps them: both are reported, 'as heard' and 'noise only'.</summary>
/// <param name="Spans">What was set aside, in order.</param>
/// <param name="Ears">Levels of the rest, ear by ear.</param>
/// <param name="Outside">The outside microphone in the same moments, or null.</param>
public sealed record Gate(IReadOnlyList<GatedSpan> Spans, IReadOnlyList<ChannelLevels> Ears, ChannelLevels? Outside);
