using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>The microphone outside on a second recorder: what it heard during a take, found by the clocks of both recorders.</summary>
/// <remarks>Clocks that are a tenth of a second off, which 'hushtrial align' keeps, change the level of a take of 12 s by less than 0.1 dB.</remarks>
internal static class OutsideRecorder
{
    /// <summary>Measures the span of the second recorder that lies at the time of a take.</summary>
    /// <param name="inputs">The document and its opened recordings.</param>
    /// <param name="take">A recorded take.</param>
    /// <param name="entry">Its recording.</param>
    /// <param name="fullScale">Level of 0 dB re full scale by channel, dB.</param>
    /// <param name="settings">How levels are measured.</param>
    /// <returns>Null where the trial has no microphone outside on another recorder, or it did not hear the take; then with the reason, where the design needs it.</returns>
    public static (ChannelTake? Outside, IReadOnlyList<Problem> Problems) Of(TrialInputs inputs, TakeEntry take, RecordingEntry entry, IReadOnlyDictionary<string, double> fullScale, LevelSettings settings)
    {
        var document = inputs.Document;
        if (document.Channels.FirstOrDefault(c => c.Outside && c.Recorder != entry.Recorder) is not { } channel) return (null, []);
        (ChannelTake?, IReadOnlyList<Problem>) Missing(string found, string expected, string remedy) =>
            (null, document.Design == TrialDesign.OutsideChannel ? [new("TAK-043", Severity.Error, take.Where, found, expected, remedy)] : []);
        var others = document.Recordings.Where(r => r.Recorder == channel.Recorder && r.Run == take.Run && inputs.Recordings.GetValueOrDefault(r.Id)?.Samples is not null).ToList();
        if (entry.StartClock is null || others.Any(o => o.StartClock is null))
            return Missing($"take {take.Id}, and the recorder '{channel.Recorder ?? channel.Id}' without a common clock", "'starts' of the recordings of both", "State them, if only roughly; 'hushtrial align --write' then finds offset and drift.");
        foreach (var other in others)
        {
            var samples = inputs.Recordings[other.Id].Samples!;
            double Second(double own) => other.Clock.Own(entry.Clock.At(own));
            var (first, last) = ((long)Math.Round(Second(take.From!.Value) * samples.SampleRate), (long)Math.Round(Second(take.To!.Value) * samples.SampleRate));
            if (first < 0 || last > samples.Frames || channel.Number > samples.Channels) continue;
            var (number, level) = (channel.Number - 1, fullScale.GetValueOrDefault(channel.Id));
            var span = LevelAnalysis.Measure(samples, number, first, last - first, settings);
            var pass = SignalPass.Measure(samples, [number], first, last - first);
            var signal = new ChannelSignal(pass.Shapes[0], span.History!, pass.Low?.Density(0), pass.Low?.Resolution ?? 0, level, span.SampleRate);
            var levels = TakeMeasurement.Levels(channel.Id, span, level) with
            {
                Signal = signal, Looks = [.. TakeMeasurement.ClaimedHertz(document).Select(f => NarrowLooks.At(samples, number, first, last - first, f, level)).OfType<NarrowLook>()],
            };
            return (new(take, other, channel, levels, signal, first), []);
        }
        return Missing(Invariant($"take {take.Id} from {take.From:0.###} s to {take.To:0.###} s of {entry.Name}, at which no recording of the recorder '{channel.Recorder ?? channel.Id}' ran"), "a recording of it that holds the whole take, with the channel of the microphone outside",
            "Correct the clocks ('hushtrial align' finds them), or leave the take out.");
    }
}
