using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>One channel in one take, as the checks that need no other take see it.</summary>
/// <param name="Take">The take.</param>
/// <param name="Recording">Its recording.</param>
/// <param name="Channel">The channel.</param>
/// <param name="Levels">Its levels.</param>
/// <param name="Signal">What else was measured.</param>
/// <param name="FirstFrame">First frame of the take in the recording.</param>
internal sealed record ChannelTake(TakeEntry Take, RecordingEntry Recording, ChannelEntry Channel, ChannelLevels Levels, ChannelSignal Signal, long FirstFrame)
{
    /// <summary>Whether electronics that may be overloaded or fall silent are at work.</summary>
    public bool Active { get; init; }

    public double Seconds => ((Signal.History.Count - 1) * Signal.History.StepSeconds) + Signal.History.LastStepSeconds;

    /// <summary>The place for a message, with a second of the recording where it is known.</summary>
    public string Where(double? second = null) => Place(Recording.Name, Take.Id, Channel.Id) + (second is { } s ? Invariant($", {s:0.000} s") : "");

    public static string Place(string file, string take, string channel) => $"{file}, take {take}, channel {channel}";

    /// <summary>Second of the recording at which a step of the history begins.</summary>
    public double SecondOf(int step) => ((double)FirstFrame / Signal.SampleRate) + (step * Signal.History.StepSeconds);

    /// <summary>Mean square of several bands together in every step, full scale²; null when one of them was not measured.</summary>
    public double[]? Steps(IReadOnlyList<Band> bands)
    {
        var sum = new double[Signal.History.Count];
        foreach (var band in bands)
        {
            var index = -1;
            for (var i = 0; i < Signal.History.Bands.Count; i++) if (Signal.History.Bands[i] == band) index = i;
            if (index < 0) return null;
            var row = Signal.History.Third(index);
            for (var i = 0; i < sum.Length; i++) sum[i] += row[i];
        }
        return sum;
    }

    public Problem Finding(string code, Severity severity, string found, string expected, string remedy, double? effect = null, double? second = null) =>
        new(code, severity, Where(second), found, expected, remedy, effect);
}
