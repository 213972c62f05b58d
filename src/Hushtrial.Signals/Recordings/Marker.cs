namespace Hushtrial.Signals.Recordings;

/// <summary>A place in a recording that the recorder or a person marked.</summary>
/// <param name="Frame">Frame, from 0; may lie beyond a truncated end.</param>
/// <param name="Label">Text as written; empty when there is none.</param>
public sealed record Marker(long Frame, string Label);

/// <summary>What the broadcast extension of a WAVE file says of its origin (EBU Tech 3285, bext chunk). Texts as written, trimmed; empty when blank.</summary>
/// <param name="Description">Free text.</param>
/// <param name="Originator">Who or what made it.</param>
/// <param name="Date">'yyyy-mm-dd' where the recorder kept to the rule.</param>
/// <param name="Time">'hh:mm:ss' where the recorder kept to the rule.</param>
/// <param name="SamplesSinceMidnight">Time reference: frames from the recorder's local midnight to the first frame.</param>
public sealed record RecordingOrigin(string Description, string Originator, string Date, string Time, long SamplesSinceMidnight);
