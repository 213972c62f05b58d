using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;

namespace Hushtrial.Trials.Screening;

/// <summary>The own noise of every channel, from its quiet recording.</summary>
public static class NoiseFloors
{
    /// <summary>Levels of the own noise by channel; a channel without a quiet recording is absent.</summary>
    public static IReadOnlyDictionary<string, ChannelLevels> Measure(TrialInputs inputs, IReadOnlyDictionary<string, double> fullScale)
    {
        var floors = new Dictionary<string, ChannelLevels>(StringComparer.Ordinal);
        foreach (var channel in inputs.Document.Channels)
        {
            if (channel.NoiseRecording is not { } id || !inputs.Recordings.TryGetValue(id, out var recording) || recording.Samples is not { } samples) continue;
            var first = (long)((channel.NoiseFrom ?? 0) * samples.SampleRate);
            var last = Math.Min((long)((channel.NoiseTo ?? recording.Duration.TotalSeconds) * samples.SampleRate), samples.Frames);
            if (channel.Number > samples.Channels || last <= first) continue;
            var span = LevelAnalysis.Measure(samples, channel.Number - 1, first, last - first, new LevelSettings { Octaves = false });
            floors[channel.Id] = TakeMeasurement.Levels(channel.Id, span, fullScale.GetValueOrDefault(channel.Id));
        }
        return floors;
    }

    /// <summary>A note for every ear channel whose own noise is not known.</summary>
    public static IEnumerable<Problem> Missing(TrialInputs inputs, IReadOnlyDictionary<string, ChannelLevels> floors) =>
        inputs.Document.Channels.Where(c => !c.Outside && !floors.ContainsKey(c.Id)).Select(c => new Problem("TAK-020", Severity.Note, $"channel {c.Id}",
            "no recording of the microphone's own noise", "a quiet recording with the same gain",
            "Record half a minute in a quiet room; without it no band can be greyed where the own noise was reached, and losses at high frequencies may read too small."));
}
