using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Reads kept levels where the sound was, and says what cannot be done without it.</summary>
internal static class KeptSound
{
    /// <summary>A take from kept levels.</summary>
    public static TakeLevels Take(TakeEntry take, RecordingEntry entry, KeptRecording kept, double? clock, IReadOnlyDictionary<string, double> fullScale)
    {
        if (kept.Take(take.From!.Value, take.To!.Value) is not { } levels)
            return new(take, null, null, [], null, [OtherSpan($"{take.Where}, take {take.Id} of {entry.Name}", take.From.Value, take.To.Value, kept)]);
        ChannelLevels With(KeptChannel channel) => channel.With(fullScale.GetValueOrDefault(channel.Channel));
        return new(take, clock, take.To.Value - take.From.Value, [.. levels.Ears.Select(With)], levels.Outside is { } outside ? With(outside) : null, levels.Findings)
        {
            Coherence = levels.Coherence, ComparedBefore = levels.Compared, Incomparable = levels.Incomparable, Safety = levels.Safety,
            Gate = levels.Set is { } set ? new(set, [.. levels.NoiseOnly.Select(With)], levels.NoiseOnlyOutside is { } rest ? With(rest) : null) : null,
        };
    }

    /// <summary>A note for every recording that is there by its levels alone.</summary>
    public static IEnumerable<Problem> Notes(TrialInputs inputs) => inputs.Document.Recordings.Where(r => inputs.Kept.ContainsKey(r.Id)).Select(r => new Problem("PRV-003", Severity.Note, r.Name,
        $"kept levels instead of the sound, which was discarded on {inputs.Kept[r.Id].Discarded}", "a recording, or its kept levels", "The results stand. Spans cannot be moved or added, and checks over several takes stay as they were."));

    /// <summary>A span of which nothing was kept.</summary>
    public static Problem OtherSpan(string where, double from, double to, KeptRecording kept) => new("PRV-001", Severity.Error, where,
        Invariant($"a span from {from:0.###} s to {to:0.###} s of a recording whose sound was discarded on {kept.Discarded}"), "a span of which the levels were kept",
        "Bring the span back to what it was then, or leave it out: without the sound nothing else can be measured.");

    /// <summary>Kept levels that cannot be read.</summary>
    public static Problem Unreadable(string name, string why) => new("PRV-004", Severity.Error, name, $"kept levels that cannot be read: {why}", "the file that was written when the sound was discarded", "Take it from a copy of the trial.");

    /// <summary>A calibration that was not made while the sound was there.</summary>
    public static Problem OtherCalibration(CalibrationEntry entry, KeptRecording kept) => new("PRV-002", Severity.Error, entry.Where,
        $"a calibration that was changed after its sound was discarded on {kept.Discarded}", "the calibration as it was then", "Bring it back to what it was, or state the level of full scale as a sensitivity.");
}
