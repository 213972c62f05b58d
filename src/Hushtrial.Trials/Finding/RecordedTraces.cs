using Hushtrial.Signals.Levels;

namespace Hushtrial.Trials.Finding;

/// <summary>Measures the level histories that takes are looked for in.</summary>
public static class RecordedTraces
{
    /// <summary>Measures them at the first ear microphone.</summary>
    /// <param name="inputs">The document and its opened recordings.</param>
    /// <param name="recordings">Identities of the recordings to look in; null: all.</param>
    /// <param name="progress">Receives the share that is done, 0 to 1.</param>
    /// <param name="cancellation">Stops the work.</param>
    /// <returns>One trace for each recording that has the channel and is at least a second long; none when the trial has no ear microphone.</returns>
    public static IReadOnlyList<LevelTrace> Measure(TrialInputs inputs, IReadOnlyCollection<string>? recordings = null, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        var wanted = inputs.Document.Recordings.Where(r => (recordings is null || recordings.Contains(r.Id)) && inputs.Recordings.ContainsKey(r.Id)).ToList();
        var traces = new List<LevelTrace>();
        foreach (var (index, entry) in wanted.Index())
        {
            if (inputs.Document.ChannelsOf(entry).FirstOrDefault(c => !c.Outside) is { } channel && inputs.Recordings[entry.Id].Samples is { } samples && channel.Number <= samples.Channels && samples.Frames >= samples.SampleRate)
            {
                var span = LevelAnalysis.Measure(samples, channel.Number - 1, 0, samples.Frames, new LevelSettings { History = true, Octaves = false }, null, cancellation);
                traces.Add(LevelTrace.Of(entry.Id, span.History!));
            }
            progress?.Report((index + 1.0) / wanted.Count);
        }
        return traces;
    }
}
