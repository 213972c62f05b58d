using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;

namespace Hushtrial.Trials.Screening;

/// <summary>The own noise of every channel, from its quiet recording.</summary>
public static class NoiseFloors
{
    // Common practice, no source: a tenth of the energy is 0.5 dB.
    private const double MostNoiseShare = 0.1;

    /// <summary>Levels of the own noise by channel; a channel without a quiet recording is absent.</summary>
    public static IReadOnlyDictionary<string, ChannelLevels> Measure(TrialInputs inputs, IReadOnlyDictionary<string, double> fullScale)
    {
        var floors = new Dictionary<string, ChannelLevels>(StringComparer.Ordinal);
        foreach (var channel in inputs.Document.Channels)
        {
            if (channel.NoiseRecording is { } quiet && inputs.Kept.TryGetValue(quiet, out var kept))
            {
                if (kept.Span(channel.Number, channel.NoiseFrom ?? 0, channel.NoiseTo ?? kept.Seconds) is { } levels) floors[channel.Id] = levels.With(fullScale.GetValueOrDefault(channel.Id));
                continue;
            }
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

    /// <summary>A warning for every take whose A-weighted level holds more than a tenth of own noise by energy.</summary>
    /// <param name="takes">The takes as measured.</param>
    /// <param name="floors">Own noise by channel.</param>
    public static IEnumerable<Problem> Reached(IReadOnlyList<TakeLevels> takes, IReadOnlyDictionary<string, ChannelLevels> floors)
    {
        foreach (var take in takes)
            foreach (var ear in take.Ears)
            {
                if (ear.A is not { } level || floors.GetValueOrDefault(ear.Channel)?.A is not { } floor) continue;
                var share = Math.Min(1, Math.Pow(10, (floor - level) / 10));
                if (share <= MostNoiseShare) continue;
                yield return new("TAK-014", Severity.Warning, $"take {take.Entry.Id}, channel {ear.Channel}",
                    string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{100 * share:0} % of the A-weighted energy is the microphone's own noise"), "at most 10 %",
                    floor > level - 3 ? "The loss is at least what is given, and may be larger: use a quieter microphone or a louder noise." : "The own noise was taken off, with an uncertainty; a quieter microphone would do better.",
                    share < 1 ? 10 * Math.Log10(1 - share) : null);
            }
    }
}
