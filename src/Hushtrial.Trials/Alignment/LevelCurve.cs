using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Logs;

namespace Hushtrial.Trials.Alignment;

/// <summary>A level by intervals, on the clock of the instrument that recorded it: seconds from its first sample or row.</summary>
/// <param name="Starts">Start of each interval, s, rising.</param>
/// <param name="Lengths">Length of each, s, above 0.</param>
/// <param name="Levels">Level of each, dB re anything; NaN where it is missing.</param>
public sealed record LevelCurve(IReadOnlyList<double> Starts, IReadOnlyList<double> Lengths, IReadOnlyList<double> Levels)
{
    /// <summary>A curve of equal steps.</summary>
    /// <param name="step">Length of a step, s.</param>
    /// <param name="levels">Levels, dB; NaN where one is missing.</param>
    public static LevelCurve OfSteps(double step, IReadOnlyList<double> levels) => new([.. levels.Select((_, i) => i * step)], [.. levels.Select(_ => step)], levels);

    /// <summary>The curve of a measured recording; a last step shorter than the others is left off.</summary>
    /// <param name="history">Its level history.</param>
    /// <param name="weighting">Frequency weighting.</param>
    public static LevelCurve Of(BlockHistory history, FrequencyWeighting weighting)
    {
        ArgumentNullException.ThrowIfNull(history);
        var means = weighting switch { FrequencyWeighting.A => history.MeanSquareA, FrequencyWeighting.C => history.MeanSquareC, _ => history.MeanSquareZ };
        var count = history.LastStepSeconds < history.StepSeconds - 1e-9 ? history.Count - 1 : history.Count;
        return OfSteps(history.StepSeconds, [.. means.Take(count).Select(m => m > 0 ? 10 * Math.Log10(m) : double.NaN)]);
    }

    /// <summary>The curve of a log, on the log's own clock: what the document says of its drift is taken off again.</summary>
    /// <param name="log">The log; it needs a level that may be averaged.</param>
    public static LevelCurve Of(LevelLog log)
    {
        ArgumentNullException.ThrowIfNull(log);
        var rate = 1 + (log.Entry.ClockDrift * 1e-6);
        var moments = log.Moments.Where(m => m.Seconds > 0).ToList();
        return new([.. moments.Select(m => (m.Start - moments[0].Start) / rate)], [.. moments.Select(m => m.Seconds / rate)], [.. moments.Select(m => m.Level ?? double.NaN)]);
    }

    /// <summary>Length of the whole, s.</summary>
    public double Seconds => Starts.Count == 0 ? 0 : Starts[^1] + Lengths[^1];

    /// <summary>The usual length of an interval, s.</summary>
    public double UsualLength => Lengths.Count == 0 ? 0 : Lengths.Order().ElementAt(Lengths.Count / 2);
}
