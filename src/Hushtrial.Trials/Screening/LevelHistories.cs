using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Screening;

/// <summary>The level history of every run's recordings, for the figure: A-weighted, at the first ear microphone.</summary>
public static class LevelHistories
{
    private const int MostValues = 1500;

    /// <summary>Measures the histories.</summary>
    /// <param name="inputs">The document and its opened recordings.</param>
    /// <param name="fullScale">Level of 0 dB re full scale by channel, dB.</param>
    /// <param name="cancellation">Stops between recordings.</param>
    public static IReadOnlyList<RunHistory> Measure(TrialInputs inputs, IReadOnlyDictionary<string, double> fullScale, CancellationToken cancellation)
    {
        var histories = new List<RunHistory>();
        foreach (var entry in inputs.Document.Recordings.Where(r => r.Run is not null))
        {
            if (inputs.Document.ChannelsOf(entry).FirstOrDefault(c => !c.Outside) is not { } channel) continue;
            if (inputs.Kept.TryGetValue(entry.Id, out var kept))
            {
                if (kept.History is { } history && history.Channel == channel.Id)
                    histories.Add(new(entry.Run!, entry.Id, history.StepSeconds * entry.ClockRate, entry.StartClock ?? 0, [.. history.LevelA.Select(l => l + fullScale.GetValueOrDefault(channel.Id))]));
                continue;
            }
            if (!inputs.Recordings.TryGetValue(entry.Id, out var recording) || recording.Samples is not { } samples || channel.Number > samples.Channels) continue;
            // At least a second a value, and never more values than a figure can show.
            var seconds = recording.Duration.TotalSeconds;
            var step = Math.Clamp(Math.Ceiling(seconds / MostValues), 1, 10);
            var span = LevelAnalysis.Measure(samples, channel.Number - 1, 0, samples.Frames,
                new LevelSettings { History = true, Thirds = false, Octaves = false, StepSeconds = step }, null, cancellation);
            histories.Add(new(entry.Run!, entry.Id, step * entry.ClockRate, entry.StartClock ?? 0,
                [.. span.History!.MeanSquareA.Select(m => Level.FromMeanSquareRatio(m)?.Decibels + fullScale.GetValueOrDefault(channel.Id))]));
        }
        return histories;
    }
}
